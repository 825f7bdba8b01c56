"""Where the pieces of a programme can come from: runs, builds, and the stages that nobody recorded."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import cached_property
from statistics import median

from offtool.core.samples.identify import Make, Occasion
from offtool.handbook.sample_signs import SIGNS
from offtool.handbook.stages import STAGES
from offtool.handbook.terms import Stage
from offtool.records.models import SamplePart, Tool, ToolState, Trial
from offtool.records.queries import SampleGround
from offtool.records.queries.sample_ground import TaggedSign

NOT_RECORDED = "not recorded"
LATER_STEEL = "later steel"
WORTH_PIECES = 10.0
"""So many tagged pieces of a stage count as much as the share that was said for it. Our own."""
SOON = timedelta(days=90)
WRONG_DATE = 0.02
"""How often a day is written wrong; common practice, no source."""
YET_TO_COME = 0.1
"""What is left of the share of a stage that had hardly come when the piece was found. Our own."""
_BY_NAME = (
    (r"T\s*0+(?!\d)|first", Stage.FIRST),
    (r"T\s*0*1(?!\d)", Stage.EARLY),
    (r"T\s*\d", Stage.LATE),
    (r"FEP(?![A-Z])", Stage.FINAL),
    (r"EP(?![A-Z])", Stage.ENGINEERING),
    (r"PP(?![A-Z])|pilot", Stage.PILOT),
    (r"PS(?![A-Z])|production", Stage.PRODUCTION),
)
"""What a run is called where its stage is not said; common practice, no source: firms differ."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RunMade:
    """One make of a part, and the run and steel behind it; neither for a stage that nobody recorded."""

    make: Make
    trial: Trial | None
    state: ToolState | None
    after: ToolState | None = None
    """The last state before steel that nobody recorded: what it had cut, that steel has too."""
    share: float = 1.0
    """Of a stage that nobody recorded: how probably it ran on this steel."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StageSaid:
    """A stage in the programme's own words, else in the handbook's."""

    stage: Stage
    engineer: str
    archive: str
    kept: float


def stage_of_run(run: Trial, is_first: bool) -> Stage:
    """The stage of a run: as said, else by its name, else by whether it was the tool's first."""
    if run.stage:
        return Stage(run.stage)
    for pattern, stage in _BY_NAME:
        if re.match(pattern, run.name.strip(), re.IGNORECASE):
            return stage
    return Stage.EARLY if is_first else Stage.LATE


class Origins:
    """The runs, builds and stages of one programme, ready to be asked about a piece."""

    def __init__(self, ground: SampleGround, *, without: int | None = None) -> None:
        self.ground = ground
        self.without = without
        """Key of the sample that is asked about: its own tag teaches nothing of it."""

    @cached_property
    def stages(self) -> Mapping[Stage, StageSaid]:
        """Each stage in the programme's words."""
        own = {one.stage: one for one in self.ground.stage_names}
        found = {}
        for stage, usual in STAGES.items():
            said = own.get(stage)
            found[stage] = StageSaid(
                stage=stage,
                engineer=(said and said.engineer) or usual.engineer,
                archive=(said and said.archive) or usual.archive,
                kept=said.kept if said is not None and said.kept is not None else usual.kept,
            )
        return found

    @cached_property
    def shares(self) -> Mapping[str, Mapping[str, Mapping[Stage, float]]]:
        """By sign and outcome, how often it is met at each stage: the programme's, else the handbook's.

        Both are moved by what was seen on tagged samples, as if they stood for so many pieces of a stage.
        """
        said: dict[str, dict[str, dict[Stage, float]]] = {
            code: {outcome: {stage: sign.at(stage)[outcome] for stage in Stage} for outcome in sign.outcomes}
            for code, sign in SIGNS.items()
        }
        for own in self.ground.sign_shares:
            if own.sign in said and own.outcome in said[own.sign]:
                said[own.sign][own.outcome][Stage(own.stage)] = own.share
        seen = self.tagged
        for code, outcomes in said.items():
            for stage in Stage:
                pieces = sum(seen.get((code, outcome, stage), 0.0) for outcome in outcomes)
                for outcome, shares in outcomes.items():
                    known = WORTH_PIECES * shares[stage] + seen.get((code, outcome, stage), 0.0)
                    shares[stage] = known / (WORTH_PIECES + pieces)
        return said

    @cached_property
    def tagged(self) -> Mapping[tuple[str, str, Stage], float]:
        """How many tagged samples showed an outcome of a sign at a stage; the piece itself is left out.

        A sample counts once for a sign, however many of its parts were looked at.
        """
        rows = [
            (one.sample_id, one.sign, one.outcome, stage)
            for one in self.ground.tagged_signs
            if one.sample_id != self.without and (stage := self._stage_tagged(one)) is not None
        ]
        looks = Counter((sample, sign) for sample, sign, _, _ in rows)
        found: dict[tuple[str, str, Stage], float] = defaultdict(float)
        for sample, sign, outcome, stage in rows:
            found[sign, outcome, stage] += 1 / looks[sample, sign]
        return found

    def _stage_tagged(self, one: TaggedSign) -> Stage | None:
        if one.build_stage:
            return Stage(one.build_stage)
        return self.stage_of.get(one.trial_id) if one.trial_id is not None else None

    @cached_property
    def stage_of(self) -> Mapping[int, Stage]:
        """The stage of each run by its key."""
        first: dict[int, int] = {}
        for run in self.ground.runs:
            first.setdefault(run.tool_id, run.pk)
        return {run.pk: stage_of_run(run, first[run.tool_id] == run.pk) for run in self.ground.runs}

    def makes_of(self, part: SamplePart) -> tuple[RunMade, ...]:
        """What a part can be: every run of the tools that make it, then every stage that nobody recorded."""
        tools = self._tools(part)
        runs = [run for run in self.ground.runs if run.tool_id in {one.pk for one in tools}]
        made = [RunMade(make=self._make(run), trial=run, state=run.state) for run in runs]
        return (*made, *(one for stage in Stage for one in self._not_recorded(stage, tools)))

    def occasions(
        self, parts: Mapping[str, Sequence[RunMade]], *, found_on: date | None = None
    ) -> tuple[Occasion, ...]:
        """Where the piece can come from, each with the makes of every part of it, by label.

        A run or a build that made none of its parts is none of them. A piece that was found soon after the
        last recorded run is hardly from a stage that was to come, and not from a run after it was found.
        """
        recorded = [*self._of_runs(parts), *self._of_builds(parts)]
        known = {one.stage for one, _ in recorded}
        missing = [stage for stage in Stage if stage not in known]
        found: list[tuple[Occasion, date | None]] = [
            *recorded,
            *((one, None) for one in self._of_stages(missing, parts)),
        ]
        counted: dict[Stage, float] = {}
        for one, _ in found:
            counted[one.stage] = counted.get(one.stage, 0.0) + one.kept
        return tuple(
            replace(
                one,
                kept=self._kept(one.stage, one.stage in known, found_on)
                * (one.kept / counted[one.stage])
                * _possible(day, found_on),
            )
            for one, day in sorted(found, key=lambda pair: pair[0].stage.rank)
        )

    def _kept(self, stage: Stage, is_recorded: bool, found_on: date | None) -> float:
        kept = self.stages[stage].kept
        if is_recorded or found_on is None or not self._days:
            return kept
        reached = max(self.stage_reached.rank, 0)
        is_to_come = stage.rank > reached and found_on - max(self._days) < SOON
        return kept * (YET_TO_COME if is_to_come else 1.0)

    @cached_property
    def stage_reached(self) -> Stage:
        """The last stage of which there is a run or a build."""
        known = [*self.stage_of.values(), *(Stage(one.build.stage) for one in self.ground.builds)]
        return max(known, key=lambda one: one.rank, default=Stage.FIRST)

    @cached_property
    def _days(self) -> list[date]:
        runs = [run.ended_on or run.shot_on for run in self.ground.runs]
        built = [one.build.built_on for one in self.ground.builds]
        return [day for day in (*runs, *built) if day is not None]

    def _tools(self, part: SamplePart) -> list[Tool]:
        if part.tool is not None:
            return [part.tool]
        making = {one.tool_id for one in self.ground.cavities if one.part_id == part.part_id}
        return [tool for tool in self.ground.tools if tool.pk in making]

    def _make(self, run: Trial) -> Make:
        return Make(
            run=run.name,
            stage=self.stage_of[run.pk],
            tool=run.tool.code,
            state=run.state.label,
            ordinal=run.state.ordinal,
        )

    def _not_recorded(self, stage: Stage, tools: Sequence[Tool]) -> Iterator[RunMade]:
        """A stage that nobody recorded: on any steel from the last run before it to the first after it.

        Early stages rather ran on the earlier of these states, late ones on the later.
        """
        if not tools:
            yield RunMade(make=Make(run=stage.value, stage=stage), trial=None, state=None)
        for tool in tools:
            runs = [run for run in self.ground.runs if run.tool_id == tool.pk]
            states = [one for one in self.ground.states if one.tool_id == tool.pk]
            before = [run.state.ordinal for run in runs if self.stage_of[run.pk].rank <= stage.rank]
            after = [run.state.ordinal for run in runs if self.stage_of[run.pk].rank > stage.rank]
            first = max(before, default=states[0].ordinal if states else 1)
            last = max(min(after, default=states[-1].ordinal if states else 1), first)
            can_be: list[ToolState | None] = [one for one in states if first <= one.ordinal <= last]
            if not after:
                can_be.append(None)  # the steel may have been cut again since the last state
            for place, state in enumerate(can_be):
                yield self._on_steel(stage, tool, states, state, _nearness(stage, place, len(can_be)))

    def _on_steel(
        self, stage: Stage, tool: Tool, states: Sequence[ToolState], state: ToolState | None, share: float
    ) -> RunMade:
        last = states[-1] if states else None
        ordinal = state.ordinal if state is not None else last.ordinal + 1 if last is not None else 1
        label = state.label if state is not None else LATER_STEEL
        make = Make(run=stage.value, stage=stage, tool=tool.code, state=label, ordinal=ordinal)
        after = last if state is None else None
        return RunMade(make=make, trial=None, state=state, after=after, share=share)

    def _of_runs(self, parts: Mapping[str, Sequence[RunMade]]) -> Iterator[tuple[Occasion, date | None]]:
        """Runs of one name and stage on several tools are one occasion: a piece is put together from them."""
        named: dict[tuple[str, Stage], list[Trial]] = {}
        for run in self.ground.runs:
            named.setdefault((run.name.casefold(), self.stage_of[run.pk]), []).append(run)
        for (_, stage), runs in named.items():
            keys = {run.pk for run in runs}
            own = {label: _places(made, keys) for label, made in parts.items()}
            if parts and not any(own.values()):
                continue
            days = [run.shot_on for run in runs if run.shot_on is not None]
            occasion = Occasion(
                code=runs[0].name,
                stage=stage,
                kept=self._pieces(runs),
                made={label: own[label] or self._up_to(stage, made) for label, made in parts.items()},
            )
            yield occasion, min(days, default=None)

    def _pieces(self, runs: Sequence[Trial]) -> float:
        """How many pieces a run made; where nobody counted them, as many as is usual of the others."""
        known = [run.pieces for run in self.ground.runs if run.pieces]
        usual = median(known) if known else 1.0
        return float(sum(run.pieces or usual for run in runs))

    def _of_builds(self, parts: Mapping[str, Sequence[RunMade]]) -> Iterator[tuple[Occasion, date | None]]:
        known = [one.build.pieces for one in self.ground.builds if one.build.pieces]
        usual = median(known) if known else 1.0
        for one in self.ground.builds:
            keys = {run.pk for run in one.runs}
            own = {label: _places(made, keys) for label, made in parts.items()}
            if parts and keys and not any(own.values()):
                continue
            stage = Stage(one.build.stage)
            occasion = Occasion(
                code=one.build.code,
                stage=stage,
                kept=float(one.build.pieces or usual),
                made={label: own[label] or self._up_to(stage, made) for label, made in parts.items()},
            )
            yield occasion, one.build.built_on

    def _up_to(self, stage: Stage, made: Sequence[RunMade]) -> Mapping[int, float]:
        """The runs of a part that a piece of this stage may have been put together from, late ones first."""
        runs = {
            i: 1.0
            for i, one in enumerate(made)
            if one.trial is not None and one.make.stage.rank <= stage.rank
        }
        late = {i: 1.0 for i in runs if made[i].make.stage.rank >= Stage.LATE.rank}
        return late or runs or self._own(stage, made)

    def _own(self, stage: Stage, made: Sequence[RunMade]) -> dict[int, float]:
        return {i: one.share for i, one in enumerate(made) if one.trial is None and one.make.stage is stage}

    def _of_stages(
        self, stages: Sequence[Stage], parts: Mapping[str, Sequence[RunMade]]
    ) -> Iterator[Occasion]:
        is_any_recorded = bool(self.ground.runs or self.ground.builds)
        for stage in stages:
            built = stage in (Stage.ENGINEERING, Stage.FINAL, Stage.PILOT)
            made = {
                label: {**(self._up_to(stage, makes) if built else {}), **self._own(stage, makes)}
                for label, makes in parts.items()
            }
            code = f"{stage.value}, {NOT_RECORDED}" if is_any_recorded else stage.value
            yield Occasion(code=code, stage=stage, kept=1.0, made=made)


def _possible(day: date | None, found_on: date | None) -> float:
    """A piece is not from a run after it was found, but dates are written wrong."""
    return WRONG_DATE if day is not None and found_on is not None and day > found_on else 1.0


def _nearness(stage: Stage, place: int, of: int) -> float:
    """How probably a stage ran on one of several states: half as probably for each state away."""
    usual = stage.rank / Stage.PRODUCTION.rank * (of - 1)
    return float(0.5 ** abs(place - usual))


def _places(made: Sequence[RunMade], runs: set[int]) -> dict[int, float]:
    """Which of a part's makes are these runs, each as often as it was made."""
    return {
        i: float(one.trial.pieces or 1)
        for i, one in enumerate(made)
        if one.trial is not None and one.trial.pk in runs
    }

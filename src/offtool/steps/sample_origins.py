"""Where the pieces of a programme can come from: runs, builds, and the stages that nobody recorded."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property

from offtool.core.samples.identify import Make, Occasion
from offtool.handbook.sample_signs import SIGNS
from offtool.handbook.stages import STAGES
from offtool.handbook.terms import Stage
from offtool.records.models import SamplePart, Tool, ToolState, Trial
from offtool.records.queries import BuildKept, SampleGround

NOT_RECORDED = "not recorded"
LATER_STEEL = "later steel"
WORTH_PIECES = 10.0
"""So many tagged pieces of a stage count as much as the share that was said for it. Our own."""
SOON = timedelta(days=90)
YET_TO_COME = 0.1
"""What is left of the share of a stage that had hardly come when the piece was found. Our own."""
_BY_NAME = (
    (r"T\s*0\b|first", Stage.FIRST),
    (r"T\s*1\b", Stage.EARLY),
    (r"T\s*\d", Stage.LATE),
    (r"FEP\b", Stage.FINAL),
    (r"EP\b", Stage.ENGINEERING),
    (r"PP\b|pilot", Stage.PILOT),
    (r"PS\b|prod", Stage.PRODUCTION),
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
                pieces = sum(seen[code, outcome, stage] for outcome in outcomes)
                for outcome, shares in outcomes.items():
                    known = WORTH_PIECES * shares[stage] + seen[code, outcome, stage]
                    shares[stage] = known / (WORTH_PIECES + pieces)
        return said

    @cached_property
    def tagged(self) -> Counter[tuple[str, str, Stage]]:
        """How many tagged samples showed an outcome of a sign at a stage; the piece itself is left out."""
        found: Counter[tuple[str, str, Stage]] = Counter()
        for one in self.ground.tagged_signs:
            if one.sample_id == self.without:
                continue
            if one.build_stage:
                found[one.sign, one.outcome, Stage(one.build_stage)] += 1
            elif one.trial_id is not None and one.trial_id in self.stage_of:
                found[one.sign, one.outcome, self.stage_of[one.trial_id]] += 1
        return found

    @cached_property
    def stage_of(self) -> Mapping[int, Stage]:
        """The stage of each run by its key."""
        first: dict[int, int] = {}
        for run in self.ground.runs:
            first.setdefault(run.tool_id, run.pk)
        return {run.pk: stage_of_run(run, first[run.tool_id] == run.pk) for run in self.ground.runs}

    @cached_property
    def unrecorded(self) -> tuple[Stage, ...]:
        """Stages of which there is neither a run nor a build."""
        known = {*self.stage_of.values(), *(Stage(one.build.stage) for one in self.ground.builds)}
        return tuple(stage for stage in Stage if stage not in known)

    def makes_of(self, part: SamplePart) -> tuple[RunMade, ...]:
        """What a part can be: every run of the tools that make it, then the stages nobody recorded."""
        tools = self._tools(part)
        runs = [run for run in self.ground.runs if run.tool_id in {one.pk for one in tools}]
        made = [RunMade(make=self._make(run), trial=run, state=run.state) for run in runs]
        return (*made, *(one for stage in self.unrecorded for one in self._not_recorded(stage, tools)))

    def occasions(
        self, parts: Mapping[str, Sequence[RunMade]], *, found_on: date | None = None
    ) -> tuple[Occasion, ...]:
        """Where the piece can come from, each with the makes of every part of it, by label.

        A piece that was found soon after the last recorded run is hardly from a stage that was to come.
        """
        found = [*self._of_runs(parts), *self._of_builds(parts), *self._of_stages(parts)]
        counted: dict[Stage, float] = {}
        for one in found:
            counted[one.stage] = counted.get(one.stage, 0.0) + one.kept
        return tuple(
            Occasion(
                code=one.code,
                stage=one.stage,
                kept=self._kept(one.stage, found_on) * one.kept / counted[one.stage],
                made=one.made,
            )
            for one in sorted(found, key=lambda one: one.stage.rank)
        )

    def _kept(self, stage: Stage, found_on: date | None) -> float:
        kept = self.stages[stage].kept
        days = [run.ended_on or run.shot_on for run in self.ground.runs if run.shot_on is not None]
        if stage not in self.unrecorded or found_on is None or not days:
            return kept
        reached = max(one.rank for one in self.stage_of.values())
        last = max(day for day in days if day is not None)
        is_to_come = stage.rank > reached and found_on - last < SOON
        return kept * (YET_TO_COME if is_to_come else 1.0)

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
        """A stage that nobody recorded: on the steel of the last run before it, or on later steel."""
        if not tools:
            yield RunMade(make=Make(run=stage.value, stage=stage), trial=None, state=None)
        for tool in tools:
            runs = [run for run in self.ground.runs if run.tool_id == tool.pk]
            states = [one for one in self.ground.states if one.tool_id == tool.pk]
            before = [run for run in runs if self.stage_of[run.pk].rank <= stage.rank]
            after = [run for run in runs if self.stage_of[run.pk].rank > stage.rank]
            state = before[-1].state if before else states[0] if states else None
            last = None
            if before and not after:
                # nothing is known of the steel after the last state: it may have been cut again
                state, last = None, states[-1]
            label = state.label if state is not None else LATER_STEEL
            ordinal = state.ordinal if state is not None else last.ordinal + 1 if last is not None else 1
            make = Make(run=stage.value, stage=stage, tool=tool.code, state=label, ordinal=ordinal)
            yield RunMade(make=make, trial=None, state=state, after=last)

    def _of_runs(self, parts: Mapping[str, Sequence[RunMade]]) -> Iterator[Occasion]:
        """Runs of the same name on several tools are one occasion: the piece was put together from them."""
        names: dict[str, list[Trial]] = {}
        for run in self.ground.runs:
            names.setdefault(run.name.casefold(), []).append(run)
        for runs in names.values():
            keys = {run.pk for run in runs}
            stage = max((self.stage_of[key] for key in keys), key=lambda one: one.rank)
            yield Occasion(
                code=runs[0].name,
                stage=stage,
                kept=float(sum(run.pieces or 0 for run in runs)) or 1.0,
                made={label: _places(made, keys) for label, made in parts.items() if _places(made, keys)},
            )

    def _of_builds(self, parts: Mapping[str, Sequence[RunMade]]) -> Iterator[Occasion]:
        for one in self.ground.builds:
            yield Occasion(
                code=one.build.code,
                stage=Stage(one.build.stage),
                kept=float(one.build.pieces or 1),
                made={label: self._built(one, made) for label, made in parts.items()},
            )

    def _built(self, build: BuildKept, made: Sequence[RunMade]) -> Mapping[int, float]:
        """The runs that the build names; where it names none for a part, any up to its stage."""
        named = _places(made, {run.pk for run in build.runs})
        return named or self._up_to(Stage(build.build.stage), made)

    def _up_to(self, stage: Stage, made: Sequence[RunMade]) -> Mapping[int, float]:
        usable = {i: 1.0 for i, one in enumerate(made) if one.make.stage.rank <= stage.rank}
        late = {i: 1.0 for i in usable if made[i].make.stage.rank >= Stage.LATE.rank}
        return late or usable

    def _of_stages(self, parts: Mapping[str, Sequence[RunMade]]) -> Iterator[Occasion]:
        for stage in self.unrecorded:
            made = {}
            for label, makes in parts.items():
                own = {i: 1.0 for i, one in enumerate(makes) if one.trial is None and one.make.stage is stage}
                built = stage in (Stage.ENGINEERING, Stage.FINAL, Stage.PILOT)
                made[label] = {**self._up_to(stage, makes), **own} if built else own
            is_any_recorded = bool(self.ground.runs or self.ground.builds)
            code = f"{stage.value}, {NOT_RECORDED}" if is_any_recorded else stage.value
            yield Occasion(code=code, stage=stage, kept=1.0, made=made)


def _places(made: Sequence[RunMade], runs: set[int]) -> dict[int, float]:
    """Which of a part's makes are these runs, each as often as it was made."""
    return {
        i: float(one.trial.pieces or 1)
        for i, one in enumerate(made)
        if one.trial is not None and one.trial.pk in runs
    }

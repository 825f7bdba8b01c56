"""Sizes as they stand today: of each cavity, the last trial that measured it well enough."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from django.db.models import Exists, OuterRef, Prefetch

from offtool.core.inspection import CavityFinding
from offtool.core.values import Caution
from offtool.records.models import Cavity, Characteristic, SourceFile, Tool, ToolState, Trial
from offtool.records.queries import place_in_time
from offtool.records.queries.finding import latest_state
from offtool.steps.trial_evidence import SizeSeen, TrialEvidence
from offtool.steps.what_is_asked import drawing_order, size_key

ENOUGH_PARTS = 2
"""Parts of a cavity that show a spread."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CavityMeasured:
    """One cavity of a size, and the trial that it is taken from."""

    trial: Trial
    seen: SizeSeen
    finding: CavityFinding

    @property
    def cavity(self) -> str:
        """Its label; empty where none was recorded."""
        return self.finding.cavity


@dataclass(frozen=True, slots=True, kw_only=True)
class LatestSize:
    """One size, cavity by cavity from the last trial that measured it, and its tool's steel as it is now."""

    measured: tuple[CavityMeasured, ...]
    state_now: ToolState | None
    cautions: tuple[Caution, ...] = ()
    """Cavities that are older than the others, readings that were passed over, another tool."""

    @property
    def cavities(self) -> tuple[CavityFinding, ...]:
        """What was found in each cavity, in the order of their labels."""
        return tuple(one.finding for one in self.measured)

    @property
    def trials(self) -> tuple[Trial, ...]:
        """The trials behind it, newest first."""
        found = {one.trial.pk: one.trial for one in self.measured}
        return tuple(sorted(found.values(), key=place_in_time, reverse=True))

    @property
    def trial(self) -> Trial:
        """The newest trial behind it."""
        return self.trials[0]

    @property
    def seen(self) -> SizeSeen:
        """The size as the newest trial behind it shows it: cavities that it left out are not in there."""
        return next(one.seen for one in self.measured if one.trial.pk == self.trial.pk)

    @property
    def stale_trials(self) -> tuple[Trial, ...]:
        """The trials behind it that ran on steel that was cut since."""
        now = self.state_now
        return tuple(one for one in self.trials if now is not None and one.state_id != now.pk)

    @property
    def is_stale(self) -> bool:
        """Whether steel was cut since any cavity was measured."""
        return bool(self.stale_trials)


class SizesMeasured:
    """The sizes of a record as trials measured them, each trial read once."""

    def __init__(self) -> None:
        self._evidence: dict[int, TrialEvidence] = {}
        self._seen: dict[tuple[int, int], SizeSeen | None] = {}
        self._latest: dict[int, LatestSize | None] = {}
        self._states: dict[int, ToolState | None] = {}

    def state_now(self, tool: Tool) -> ToolState | None:
        """The steel of a tool as it is now."""
        if tool.pk not in self._states:
            self._states[tool.pk] = latest_state(tool)
        return self._states[tool.pk]

    def settled_from(self, trial: Trial) -> int | None:
        """The first shot of a trial that counts; None where nothing says that the press had settled."""
        return self.evidence_of(trial).settled_from

    def evidence_of(self, trial: Trial) -> TrialEvidence:
        """The readings of a trial, judged."""
        if trial.pk not in self._evidence:
            self._evidence[trial.pk] = TrialEvidence(trial)
        return self._evidence[trial.pk]

    def is_of_old_steel(self, trials: Iterable[Trial | None]) -> bool:
        """Whether steel was cut since one of these trials."""
        known = [one for one in trials if one is not None]
        return any((now := self.state_now(one.tool)) is not None and now.pk != one.state_id for one in known)

    def latest(self, characteristics: Collection[Characteristic]) -> dict[int, LatestSize]:
        """The sizes that were measured, by their keys; what no trial measured is left out.

        A part that several tools make is taken from the tool that was tried last; a caution names the others.
        """
        asked = {one.pk: one for one in characteristics}
        unknown = [one for key, one in asked.items() if key not in self._latest]
        self._latest |= dict.fromkeys(one.pk for one in unknown) | dict(self._look_up(unknown))
        known = ((key, self._latest[key]) for key in asked)
        return {key: found for key, found in known if found is not None}

    def in_trials(
        self, characteristics: Collection[Characteristic], trials: Collection[Trial]
    ) -> dict[int, LatestSize]:
        """The sizes as these trials measured them; what none of them measured, as it stands today."""
        found: dict[int, LatestSize] = {}
        for trial in trials:
            for key, seen in self._seen_in(trial, [one.pk for one in characteristics]).items():
                measured = (_of(trial, seen, one) for one in seen.finding.cavities)
                found[key] = LatestSize(measured=tuple(measured), state_now=self.state_now(trial.tool))
        missing = [one for one in characteristics if one.pk not in found]
        return found | self.latest(missing) if missing else found

    def _look_up(self, characteristics: Collection[Characteristic]) -> Iterator[tuple[int, LatestSize]]:
        wanted: dict[int, list[Characteristic]] = defaultdict(list)
        for one in characteristics:
            wanted[one.part_id].append(one)
        tools = _last_tried_first(wanted) if wanted else []
        found: set[int] = set()
        for tool in tools:
            here = [one for part in _parts_of(tool) for one in wanted.get(part, ()) if one.pk not in found]
            for key, sizes in self._in_tool(tool, here).items():
                found.add(key)
                characteristic = next(one for one in here if one.pk == key)
                others = [one for one in tools if one.pk != tool.pk]
                yield key, sizes.as_latest(self.state_now(tool), _left_out(characteristic, tool, others))

    def _in_tool(self, tool: Tool, wanted: Collection[Characteristic]) -> dict[int, _SizeInTool]:
        """The sizes that trials of this tool measured; older trials are read only for cavities still open."""
        sizes = {one.pk: _SizeInTool(one, _labels(tool, one.part_id)) for one in wanted}
        for trial in sorted(tool.trials.all(), key=place_in_time, reverse=True):
            open_ = [key for key, one in sizes.items() if not one.is_complete]
            if not open_:
                break
            for key, seen in self._seen_in(trial, open_).items():
                sizes[key].add(trial, seen)
        return {key: one for key, one in sizes.items() if one.was_measured}

    def _seen_in(self, trial: Trial, keys: Collection[int]) -> dict[int, SizeSeen]:
        unknown = [key for key in keys if (trial.pk, key) not in self._seen]
        if unknown:
            judged = self.evidence_of(trial).only(unknown)
            self._seen |= {(trial.pk, key): None for key in unknown}
            self._seen |= {(trial.pk, one.characteristic.pk): one for one in judged}
        return {key: seen for key in keys if (seen := self._seen[trial.pk, key]) is not None}


class _SizeInTool:
    """One size while the trials of a tool are gone through, newest first."""

    def __init__(self, characteristic: Characteristic, labels: Collection[str]) -> None:
        self.characteristic = characteristic
        self.labels = set(labels)
        self.good: dict[str, CavityMeasured] = {}
        self.poor: list[CavityMeasured] = []
        """Of one part only, or of no cavity that is recorded."""

    def add(self, trial: Trial, seen: SizeSeen) -> None:
        for one in seen.finding.cavities:
            label = one.cavity or (next(iter(self.labels)) if len(self.labels) == 1 else "")
            found = _of(trial, seen, replace(one, cavity=label))
            if label and one.parts >= ENOUGH_PARTS:
                self.good.setdefault(label, found)
            else:
                self.poor.append(found)

    @property
    def is_complete(self) -> bool:
        return bool(self.labels) and self.labels <= self.good.keys()

    @property
    def was_measured(self) -> bool:
        return bool(self.good or self.poor)

    @cached_property
    def used(self) -> tuple[CavityMeasured, ...]:
        """The good ones; a single part where a cavity has nothing else, readings without a cavity where the
        size has nothing else.
        """
        found = dict(self.good)
        for one in self.poor:
            if one.cavity:
                found.setdefault(one.cavity, one)
        if not found:
            newest = self.poor[0].trial
            found = {one.cavity: one for one in self.poor if one.trial.pk == newest.pk}
        return tuple(found[key] for key in sorted(found, key=drawing_order))

    def as_latest(self, state: ToolState | None, others: Iterable[Caution]) -> LatestSize:
        said = (*self._older(), *self._passed_over(), *others)
        return LatestSize(measured=self.used, state_now=state, cautions=said)

    def _older(self) -> Iterator[Caution]:
        """Cavities that the newest trial did not measure."""
        newest = max((one.trial for one in self.used), key=place_in_time)
        here = [one.cavity for one in self.used if one.trial.pk == newest.pk]
        older: dict[str, list[str]] = defaultdict(list)
        for one in self.used:
            if one.trial.pk != newest.pk:
                older[one.trial.name].append(one.cavity)
        if older:
            rest = "; ".join(
                f"{_listed(cavities)} {_is(cavities)} as in {trial}" for trial, cavities in older.items()
            )
            said = f"{newest.name} measured {_cavities(here)} only; {rest}"
            yield Caution(f"{size_key(self.characteristic)}: {said}")

    def _passed_over(self) -> Iterator[Caution]:
        """Newer readings that say less than older ones."""
        used = [(one.trial.pk, one.cavity) for one in self.used]
        over: dict[tuple[str, str], list[str]] = defaultdict(list)
        for one in self.poor:
            if (one.trial.pk, one.cavity) not in used and self._is_newer(one):
                why = "read one part only of" if one.cavity else "recorded no cavity of"
                over[one.trial.name, why].append(one.cavity)
        for (trial, why), cavities in over.items():
            where = f" in {_cavities(cavities)}" if any(cavities) else ""
            said = f"{trial} {why} {size_key(self.characteristic)}{where}"
            yield Caution(f"{said}: older readings, which say more, are used")

    def _is_newer(self, one: CavityMeasured) -> bool:
        same = [each for each in self.used if not one.cavity or each.cavity == one.cavity]
        return any(place_in_time(one.trial) > place_in_time(each.trial) for each in same)


def latest_sizes(characteristics: Collection[Characteristic]) -> dict[int, LatestSize]:
    """The sizes that were measured, by their keys; what no trial measured is left out."""
    return SizesMeasured().latest(characteristics)


def _of(trial: Trial, seen: SizeSeen, cavity: CavityFinding) -> CavityMeasured:
    return CavityMeasured(trial=trial, seen=seen, finding=cavity)


def _last_tried_first(parts: Collection[int]) -> list[Tool]:
    """The tools that make these parts with their cavities, and their trials that have readings."""
    with_readings = Trial.objects.filter(Exists(SourceFile.objects.filter(trial=OuterRef("pk"))))
    tools = Tool.objects.filter(cavities__part__in=list(parts)).distinct().select_related("programme")
    loaded = tools.prefetch_related(
        Prefetch("trials", with_readings.select_related("state", "tool")),
        Prefetch("cavities", Cavity.objects.select_related("part")),
    )
    return sorted(loaded, key=_last_tried, reverse=True)


def _last_tried(tool: Tool) -> tuple[str, int]:
    days = [one.shot_on.isoformat() for one in tool.trials.all() if one.shot_on is not None]
    return max(days, default=""), tool.pk


def _parts_of(tool: Tool) -> list[int]:
    return sorted({one.part_id for one in tool.cavities.all()})


def _labels(tool: Tool, part: int) -> list[str]:
    """The cavities of a tool that make a part."""
    return sorted((one.label for one in tool.cavities.all() if one.part_id == part), key=drawing_order)


def _left_out(size: Characteristic, taken: Tool, others: Iterable[Tool]) -> Iterator[Caution]:
    """The other tools that make the same part."""
    for tool in others:
        labels = _labels(tool, size.part_id)
        if labels:
            yield Caution(
                f"{size_key(size)} is that of {taken.code}; {size.part.code} is made in {tool.code} too, "
                f"whose {_cavities(labels)} {_is(labels)} not in this answer"
            )


def _cavities(labels: Sequence[str]) -> str:
    return f"{'cavity' if len(labels) == 1 else 'cavities'} {_listed(labels)}"


def _listed(labels: Sequence[str]) -> str:
    """1, 2 and 3."""
    return " and ".join(one for one in (", ".join(labels[:-1]), labels[-1]) if one)


def _is(labels: Sequence[str]) -> str:
    return "is" if len(labels) == 1 else "are"

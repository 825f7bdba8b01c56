"""What earlier trials of a tool say of the next: how soon it settles, what to measure and to confirm."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import isfinite

from offtool.core.inspection import parts_for_mean
from offtool.core.values import Verdict
from offtool.handbook.terms import CorrectionStatus, SizeKind, TrialPurpose
from offtool.records.models import Correction, Prediction, Tool, ToolState, Trial
from offtool.records.queries import place_in_time
from offtool.records.queries.finding import latest_state
from offtool.steps.plan_found import Look, SizeToMeasure, ToConfirm
from offtool.steps.press_on_trial import press_of
from offtool.steps.sentences import decimals_for
from offtool.steps.trial_evidence import SizeSeen, TrialEvidence
from offtool.steps.what_is_asked import size_key

TRIALS_LOOKED_AT = 3
"""Of so many of the last trials it is asked how soon they had settled: older steel says less."""
MOST_FOR_A_MEAN = 30
"""Parts of a cavity beyond which a mean is not planned finer; capability asks for such numbers."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Settles:
    """After how many shots earlier trials had settled, and which trials say so."""

    after: int
    trials: tuple[str, ...]


class ToolBefore:
    """The trials of a tool before the one that is planned."""

    def __init__(self, tool: Tool, planned: str) -> None:
        self.tool = tool
        run = [one for one in tool.trials.select_related("state", "tool") if one.name != planned]
        self.trials: list[Trial] = sorted(run, key=place_in_time)
        self.state: ToolState | None = latest_state(tool)

    @cached_property
    def evidence(self) -> list[TrialEvidence]:
        """The last trials that have readings, newest first."""
        seen = (TrialEvidence(one) for one in reversed(self.trials))
        with_readings = (one for one in seen if len(one.readings))
        return [one for one, _ in zip(with_readings, range(TRIALS_LOOKED_AT), strict=False)]

    @cached_property
    def last(self) -> TrialEvidence | None:
        """The last trial that was measured."""
        return self.evidence[0] if self.evidence else None

    @property
    def is_cut_since(self) -> bool:
        """Whether steel was cut since the last trial that was measured."""
        return self.last is not None and self.state is not None and self.last.trial.state_id != self.state.pk

    def settles(self) -> Settles | None:
        """The slowest of the last trials; None where none can tell."""
        found = {one.trial.name: one.settled_from for one in self.evidence}
        told = {name: first - 1 for name, first in found.items() if first is not None}
        return Settles(after=max(told.values()), trials=tuple(told)) if told else None

    def waiting_cuts(self) -> int:
        """Cuts that are decided and not made."""
        return Correction.objects.filter(feature__tool=self.tool, status=CorrectionStatus.PROPOSED).count()

    def to_measure(self, purposes: Sequence[str]) -> Iterator[SizeToMeasure]:
        """For each size that asks for more than is usual: how many parts of a cavity, and why."""
        if self.last is None:
            return
        for one in self.last.sizes:
            if TrialPurpose.CAPABILITY in purposes:
                yield from _to_show(one, self.last.trial.name)
            if TrialPurpose.SIZES in purposes:
                yield from _to_know_mean(one, self.tool.step_mm, self.last.trial.name)

    def to_confirm(self, purposes: Sequence[str]) -> Iterator[ToConfirm]:
        """What was foretold for this steel, findings at the press that are open, sizes that fail.

        Sizes stand there where the trial measures them, findings where it fills a whole part.
        """
        sizes = shows_sizes(purposes)
        if sizes:
            yield from self._foretold_in_words()
        if set(purposes) != {TrialPurpose.SHORT_SHOTS}:
            yield from self._at_the_press()
        if sizes:
            yield from self._failing()

    def _foretold_in_words(self) -> Iterator[ToConfirm]:
        for made in self._foretold():
            one = made.characteristic
            decimals = decimals_for(one.lower, one.upper, one.nominal)
            ends = f"{made.low:.{decimals}f} to {made.high:.{decimals}f}"
            yield ToConfirm(
                about=f"{size_key(one)}, cavity {made.cavity.label}",
                says=f"{made.mean:.{decimals}f} {one.unit} ({ends}), foretold at {made.trial.name}",
                kind="foretold",
            )

    def _foretold(self) -> list[Prediction]:
        waiting = Prediction.objects.filter(judged_in=None, correction__resulting_state=self.state)
        loaded = waiting.filter(trial__tool=self.tool).select_related(
            "characteristic__part", "cavity", "trial"
        )
        return list(loaded.order_by("characteristic__part__code", "characteristic__number", "cavity__label"))

    def _at_the_press(self) -> Iterator[ToConfirm]:
        found = press_of(self.trials[-1]) if self.trials else None
        for one in found.open if found is not None else ():
            cavity = f", cavity {one.cavity}" if one.cavity else ""
            look = (
                Look(what=one.what, cavity=one.cavity, pieces=one.pieces_needed)
                if one.pieces_needed
                else None
            )
            yield ToConfirm(about=f"{one.what}{cavity}", says=one.says, kind="at the press", look=look)

    def _failing(self) -> Iterator[ToConfirm]:
        """Sizes that did not hold at the last trial and of which nothing was foretold."""
        foretold = {one.characteristic_id for one in self._foretold()}
        for one in self.last.sizes if self.last is not None else ():
            if one.finding.verdict is Verdict.FAILS and one.characteristic.pk not in foretold:
                trial = self.last.trial if self.last is not None else None
                says = f"did not hold at {trial.name if trial else ''}, nothing is foretold"
                name = f"{size_key(one.characteristic)} {one.characteristic.name}".rstrip()
                yield ToConfirm(about=name, says=says, kind="failing")


def shows_sizes(purposes: Sequence[str]) -> bool:
    """Whether a trial measures sizes; so it is taken where nothing is asked of it yet."""
    return not purposes or TrialPurpose.SIZES in purposes or TrialPurpose.CAPABILITY in purposes


def _to_show(one: SizeSeen, trial: str) -> Iterator[SizeToMeasure]:
    """A size that the last trial did not show, and the parts of a cavity that would."""
    found = one.finding
    if found.verdict is not Verdict.NOT_SHOWN or found.required_index is None:
        return
    needed = found.parts_needed
    few = min(cavity.parts for cavity in found.cavities)
    if needed is None:
        because = f"more parts alone will hardly show {found.required_index:.2f}: centre it first"
    else:
        because = f"{few} of {trial} do not show {found.required_index:.2f}"
    yield _size(one, TrialPurpose.CAPABILITY, needed, because)


def _to_know_mean(one: SizeSeen, step_mm: float, trial: str) -> Iterator[SizeToMeasure]:
    """Parts for a mean that is known to one step of the toolmaker; only sizes that are cut by it."""
    characteristic = one.characteristic
    sds = [cavity.sd for cavity in one.finding.cavities if isfinite(cavity.sd) and cavity.sd > 0]
    if characteristic.unit != "mm" or characteristic.kind == SizeKind.ANGLE or not sds or step_mm <= 0:
        return
    found = parts_for_mean(max(sds), step_mm)
    said = f"the mean to {step_mm:g} mm, one step of the toolmaker: it spreads {max(sds):.3f} at {trial}"
    if found.parts is not None and found.parts <= MOST_FOR_A_MEAN:
        yield _size(one, TrialPurpose.SIZES, found.parts, said)
    else:
        yield _size(
            one, TrialPurpose.SIZES, None, f"{said}; more than {MOST_FOR_A_MEAN} a cavity would be needed"
        )


def _size(one: SizeSeen, purpose: TrialPurpose, parts: int | None, because: str) -> SizeToMeasure:
    gauge = one.characteristic.gauge
    return SizeToMeasure(
        size=size_key(one.characteristic),
        name=one.characteristic.name,
        gauge=gauge.code if gauge is not None else "",
        purpose=purpose.value,
        parts=parts,
        because=because,
    )

"""From the record to the mathematics: what the trials of a tool say of each size, cavity by cavity."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from math import isfinite

import numpy as np
from numpy.typing import NDArray

from offtool.core.correction import (
    CutMade,
    Feature,
    MeanFound,
    SizeAsked,
    SizeMoved,
    SteelFound,
    ToolEvidence,
)
from offtool.core.inspection import Settled, SizeFinding, find_settled_shot, judge_coded_size, middle
from offtool.handbook.terms import CorrectionStatus, Direction, WeightClass
from offtool.records.models import Characteristic, Correction, Move, SteelSize, Tool, Trial
from offtool.records.queries import load_readings
from offtool.records.reading_arrays import NOT_RECORDED, ReadingArrays

REQUIRED_INDEX = {WeightClass.CRITICAL.value: 1.33, WeightClass.MAJOR.value: 1.0}
"""Index that a size must show where the drawing does not say; common practice, no source."""
SETTLING_SIZES = 200
"""Sizes and cavities at most that settling is looked for in: more tell nothing new."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeSeen:
    """One characteristic as one trial shows it."""

    characteristic: Characteristic
    finding: SizeFinding
    discarded: int


class TrialEvidence:
    """The readings of one trial, judged; the unsettled shots are left out of the judgement and counted."""

    def __init__(self, trial: Trial) -> None:
        self.trial = trial
        self.readings: ReadingArrays = load_readings(trial)

    @cached_property
    def settled(self) -> Settled | None:
        """What the readings say of settling; None where no shot was recorded."""
        known = self.readings.shot != NOT_RECORDED
        if not known.any():
            return None
        cavities = self.readings.cavity_id - NOT_RECORDED
        cell = self.readings.characteristic_id * (int(cavities.max()) + 1) + cavities
        chosen = known & np.isin(cell, np.unique(cell[known])[:SETTLING_SIZES])
        return find_settled_shot(
            self.readings.shot[chosen], self.readings.value[chosen], cell[chosen].astype(str).tolist()
        )

    @property
    def settled_from(self) -> int | None:
        """The first shot that counts: the user's word, else what the readings say."""
        if self.trial.settled_from is not None:
            return self.trial.settled_from
        return self.settled.settled if self.settled else None

    @cached_property
    def sizes(self) -> tuple[SizeSeen, ...]:
        """Every characteristic that was measured, in the order of the drawing."""
        order = np.argsort(self.readings.characteristic_id, kind="stable")
        ids, starts = np.unique(self.readings.characteristic_id[order], return_index=True)
        rows = dict(zip(ids.tolist(), np.split(order, starts[1:]), strict=True)) if len(ids) else {}
        known = Characteristic.objects.filter(pk__in=list(rows)).select_related("gauge", "part__resin")
        return tuple(
            self._seen(one, rows[one.pk])
            for one in sorted(known, key=lambda one: (one.part.code, _natural(one.number)))
        )

    def _seen(self, characteristic: Characteristic, rows: NDArray[np.intp]) -> SizeSeen:
        settled = self._counts(rows)
        kept = rows[settled] if settled.any() else rows
        ids, codes = np.unique(self.readings.cavity_id[kept], return_inverse=True)
        labels = tuple(self.cavity_labels.get(one, "") for one in ids.tolist())
        gauge = characteristic.gauge
        finding = judge_coded_size(
            self.readings.value[kept],
            codes,
            labels,
            lower=characteristic.lower,
            upper=characteristic.upper,
            target=target_of(characteristic),
            required_index=required_index_of(characteristic),
            gauge_uncertainty=gauge.uncertainty if gauge and gauge.study else None,
            gauge_resolution=gauge.resolution if gauge else None,
        )
        return SizeSeen(characteristic=characteristic, finding=finding, discarded=len(rows) - len(kept))

    def _counts(self, rows: NDArray[np.intp]) -> NDArray[np.bool_]:
        """Which readings count: those of settled shots, and those without a shot."""
        shot = self.readings.shot[rows]
        if self.settled_from is None:
            return np.ones(len(rows), dtype=bool)
        return np.asarray((shot == NOT_RECORDED) | (shot >= self.settled_from), dtype=np.bool_)

    @cached_property
    def cavity_labels(self) -> dict[int, str]:
        """Label of each cavity of the tool by its id."""
        return dict(self.trial.tool.cavities.values_list("pk", "label"))


def required_index_of(characteristic: Characteristic) -> float | None:
    """The index a size must show: as entered, else by its class; None where every reading must lie inside."""
    if characteristic.required_index is not None:
        return characteristic.required_index
    return REQUIRED_INDEX.get(characteristic.weight_class)


def target_of(characteristic: Characteristic) -> float:
    """Where the mean should stand: as entered, else the middle of the limits, else nominal."""
    if characteristic.target is not None:
        return characteristic.target
    if characteristic.lower is None or characteristic.upper is None:
        return characteristic.nominal
    return middle(characteristic.lower, characteristic.upper)


def size_key(characteristic: Characteristic) -> str:
    """What core calls a size: part and number together are unique in a programme."""
    return f"{characteristic.part.code} {characteristic.number}"


def tool_evidence(seen: TrialEvidence, earlier: list[TrialEvidence]) -> ToolEvidence:
    """All that the correction of a tool rests on after a trial: that trial, the ones before it, the steel.

    Only sizes in mm are steered by steel; weights, angles and torques are judged and not corrected here.
    """
    tool, state = seen.trial.tool, seen.trial.state
    trials = [*earlier, seen]
    in_mm = {
        one.characteristic.pk: one.characteristic
        for trial in trials
        for one in trial.sizes
        if one.characteristic.unit == "mm"
    }
    return ToolEvidence(
        state=state.label,
        sizes=tuple(_asked(one) for one in in_mm.values()),
        means=tuple(found for trial in trials for found in _means(trial)),
        features=tuple(_features(tool, in_mm)),
        steel=tuple(
            SteelFound(
                feature=one.feature.code,
                cavity=one.cavity.label,
                state=one.state.label,
                measured_mm=one.measured_mm,
                uncertainty_mm=one.uncertainty_mm,
                allowance_mm=one.allowance_mm,
            )
            for one in SteelSize.objects.filter(state__tool=tool, state__ordinal__lte=state.ordinal)
            .select_related("feature", "cavity", "state")
            .order_by("state__ordinal", "pk")
        ),
        cuts=tuple(_cuts(tool, state.ordinal)),
        step_mm=tool.step_mm,
        cut_sd_mm=tool.cut_sd_mm,
    )


def earlier_trials(trial: Trial) -> list[TrialEvidence]:
    """The trials of the same tool before this one, in order of time."""
    before = trial.tool.trials.select_related("state", "tool").exclude(pk=trial.pk)
    return [
        TrialEvidence(one)
        for one in sorted(before, key=_when)
        if _when(one) < _when(trial) and one.source_files.exists()
    ]


def _when(trial: Trial) -> tuple[int, str, int]:
    return trial.state.ordinal, trial.shot_on.isoformat() if trial.shot_on else "", trial.pk


def _asked(characteristic: Characteristic) -> SizeAsked:
    gauge = characteristic.gauge
    return SizeAsked(
        size=size_key(characteristic),
        target=target_of(characteristic),
        lower=characteristic.lower,
        upper=characteristic.upper,
        required_index=required_index_of(characteristic),
        direction=characteristic.direction,
        allowed=allowed_shrinkage(characteristic),
        gauge_uncertainty=gauge.uncertainty if gauge and gauge.study else 0.0,
    )


def allowed_shrinkage(characteristic: Characteristic) -> float:
    """The shrinkage its steel was drawn with; across the flow where the direction is not stated."""
    resin = characteristic.part.resin
    per_cent = {
        Direction.FLOW.value: resin.flow_pct,
        Direction.CROSS.value: resin.cross_pct,
        Direction.THICKNESS.value: resin.thickness_pct,
    }.get(characteristic.direction, resin.cross_pct)
    return per_cent / 100


def _means(seen: TrialEvidence) -> Iterator[MeanFound]:
    for size in seen.sizes:
        if size.characteristic.unit != "mm":
            continue
        for cavity in size.finding.cavities:
            if cavity.cavity:
                yield MeanFound(
                    size=size_key(size.characteristic),
                    cavity=cavity.cavity,
                    trial=seen.trial.name,
                    state=seen.trial.state.label,
                    mean=cavity.mean,
                    parts=cavity.parts,
                    sd=cavity.sd if isfinite(cavity.sd) else None,
                    verdict=cavity.verdict,
                )


def _features(tool: Tool, in_mm: dict[int, Characteristic]) -> Iterator[Feature]:
    moves: dict[int, list[SizeMoved]] = defaultdict(list)
    for move in Move.objects.filter(feature__tool=tool).order_by("pk"):
        if move.characteristic_id in in_mm:
            moves[move.feature_id].append(
                SizeMoved(size=size_key(in_mm[move.characteristic_id]), factor=move.factor, forms=move.forms)
            )
    for feature in tool.features.order_by("pk"):
        yield Feature(
            feature=feature.code,
            moves=tuple(moves[feature.pk]),
            size_change_per_mm=feature.size_change_per_mm,
            drawn_mm=feature.drawn_mm,
            can_add=feature.can_add,
        )


def _cuts(tool: Tool, up_to: int) -> Iterator[CutMade]:
    """What was asked and what was found removed, over all corrections cut into the states seen so far."""
    cut = Correction.objects.filter(
        feature__tool=tool, status=CorrectionStatus.CUT, resulting_state__ordinal__lte=up_to
    ).select_related("feature")
    measured = {
        (one.feature_id, one.cavity_id, one.state_id): one.measured_mm
        for one in SteelSize.objects.filter(state__tool=tool)
    }
    for one in cut:
        after = measured.get((one.feature_id, one.cavity_id, one.resulting_state_id or 0))
        if after is not None:
            yield CutMade(
                asked_mm=one.amount_mm,
                removed_mm=(after - one.size_before_mm) / one.feature.size_change_per_mm,
            )


def _natural(number: str) -> tuple[tuple[int, int, str], ...]:
    """Order of the drawing: 2 before 10, 7a before 7b."""
    pieces = (piece for piece in re.split(r"(\d+)", number) if piece)
    return tuple((0, int(piece), "") if piece.isdecimal() else (1, 0, piece) for piece in pieces)

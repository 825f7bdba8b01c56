"""The readings of one trial, judged size by size."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from offtool.core.inspection import Settled, SizeFinding, find_settled_shot, judge_coded_size
from offtool.records.models import Characteristic, Trial
from offtool.records.queries import load_readings
from offtool.records.reading_arrays import NOT_RECORDED, ReadingArrays
from offtool.steps.what_is_asked import drawing_order, required_index_of, target_of

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
            for one in sorted(known, key=lambda one: (one.part.code, drawing_order(one.number)))
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

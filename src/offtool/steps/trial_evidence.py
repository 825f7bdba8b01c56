"""The readings of one trial, judged size by size."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import cached_property
from math import nan

import numpy as np
from numpy.typing import NDArray

from offtool.core.inspection import Settled, SizeFinding, find_settled_shot, judge_coded_size
from offtool.core.inspection.outliers import outlying
from offtool.handbook.terms import SizeKind
from offtool.records.models import Characteristic, Trial
from offtool.records.queries import left_out_of, load_readings
from offtool.records.reading_arrays import NOT_RECORDED, ReadingArrays
from offtool.steps.gauge_uncertainty import GaugeUncertainty, gauge_uncertainties_of
from offtool.steps.parts_measured import PartsMeasured, parts_measured
from offtool.steps.what_is_asked import drawing_order, required_index_of, size_key, target_of

SETTLING_SERIES = 200
"""Sizes and cavities at most that settling is looked for in: more tell nothing new. Weights come first."""

Rows = NDArray[np.intp]
Mask = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeSeen:
    """One characteristic as one trial shows it; `rows` are its readings among the trial's, used or not."""

    characteristic: Characteristic
    finding: SizeFinding
    gauge: GaugeUncertainty | None
    rows: Rows = field(repr=False)
    is_used: Mask = field(repr=False)
    parts: PartsMeasured = field(repr=False)
    """The parts behind the readings that count."""
    discarded: int
    """Readings of unsettled shots, kept and not used."""
    left_out: int
    """Readings that a person left out."""

    @property
    def used(self) -> Rows:
        """The readings that count."""
        return self.rows[self.is_used]


class TrialEvidence:
    """The readings of one trial, judged. Unsettled shots and readings left out stay seen and do not count."""

    def __init__(self, trial: Trial) -> None:
        self.trial = trial
        self.readings: ReadingArrays = load_readings(trial)
        self.left_out = left_out_of(trial)
        self.is_left_out: Mask = self.left_out.among(self.readings.reading_id)
        self._judged: dict[int, SizeSeen | None] = {}

    @cached_property
    def settled(self) -> Settled | None:
        """What the readings say of settling, part weights among them; None where no shot was recorded."""
        known = (self.readings.shot != NOT_RECORDED) & ~self.is_left_out
        if not known.any():
            return None
        cavities = self.readings.cavity_id - NOT_RECORDED
        cell = self.readings.characteristic_id * (int(cavities.max()) + 1) + cavities
        series = np.unique(cell[known])
        if len(series) > SETTLING_SERIES:
            weighs = np.isin(series // (int(cavities.max()) + 1), self._weights())
            series = series[np.argsort(~weighs, kind="stable")][:SETTLING_SERIES]
        chosen = known & np.isin(cell, series)
        return find_settled_shot(
            self.readings.shot[chosen], self.readings.value[chosen], cell[chosen].astype(str).tolist()
        )

    def _weights(self) -> list[int]:
        of_this_tool = Characteristic.objects.filter(part__cavities__tool=self.trial.tool).distinct()
        return list(of_this_tool.filter(kind=SizeKind.WEIGHT).values_list("pk", flat=True))

    @property
    def settled_from(self) -> int | None:
        """The first shot that counts: the user's word, else what the readings say."""
        if self.trial.settled_from is not None:
            return self.trial.settled_from
        return self.settled.settled if self.settled else None

    @cached_property
    def sizes(self) -> tuple[SizeSeen, ...]:
        """Every characteristic that was measured, in the order of the drawing."""
        return self.only(self._rows)

    @cached_property
    def _rows(self) -> dict[int, Rows]:
        """The readings of each characteristic by its key."""
        order = np.argsort(self.readings.characteristic_id, kind="stable")
        ids, starts = np.unique(self.readings.characteristic_id[order], return_index=True)
        return dict(zip(ids.tolist(), np.split(order, starts[1:]), strict=True)) if len(ids) else {}

    def only(self, characteristics: Iterable[int]) -> tuple[SizeSeen, ...]:
        """Those of these characteristics that were measured, in the order of the drawing, judged once."""
        asked = [key for key in characteristics if key in self._rows]
        self._judge([key for key in asked if key not in self._judged])
        seen = [one for key in asked if (one := self._judged[key]) is not None]
        return tuple(sorted(seen, key=lambda one: _place(one.characteristic)))

    def _judge(self, keys: list[int]) -> None:
        if not keys:
            return
        known = list(Characteristic.objects.filter(pk__in=keys).select_related("gauge", "part__resin"))
        gauges = gauge_uncertainties_of(known)
        for one in known:
            self._judged[one.pk] = self._seen(one, self._rows[one.pk], gauges.get(one.pk))

    def _seen(
        self, characteristic: Characteristic, rows: Rows, gauge: GaugeUncertainty | None
    ) -> SizeSeen | None:
        """One size, judged; None where all its readings are left out."""
        settled, left_out = self._is_settled(rows), self.is_left_out[rows]
        if left_out.all():
            return None
        if not (settled & ~left_out).any():
            settled = np.ones(len(rows), dtype=bool)
        is_used = settled & ~left_out
        parts = parts_measured(self.readings, rows[is_used])
        codes, labels = self.coded_cavities(parts)
        finding = judge_coded_size(
            parts.value,
            codes,
            labels,
            lower=characteristic.lower,
            upper=characteristic.upper,
            target=target_of(characteristic),
            required_index=required_index_of(characteristic),
            gauge_uncertainty=gauge.value if gauge else None,
            gauge_freedom=gauge.freedom if gauge else None,
            gauge_resolution=characteristic.gauge.resolution if characteristic.gauge else None,
        )
        return SizeSeen(
            characteristic=characteristic,
            finding=finding,
            gauge=gauge,
            rows=rows,
            is_used=is_used,
            parts=parts,
            discarded=int((~settled & ~left_out).sum()),
            left_out=int(left_out.sum()),
        )

    def _is_settled(self, rows: Rows) -> Mask:
        """Which readings are of settled shots, or of none that was recorded."""
        shot = self.readings.shot[rows]
        if self.settled_from is None:
            return np.ones(len(rows), dtype=bool)
        return np.asarray((shot == NOT_RECORDED) | (shot >= self.settled_from), dtype=np.bool_)

    def coded_cavities(self, parts: PartsMeasured) -> tuple[NDArray[np.intp], tuple[str, ...]]:
        """The cavities of parts as numbers 0, 1, … and their labels."""
        ids, codes = np.unique(parts.cavity_id, return_inverse=True)
        return codes, tuple(self.cavity_labels.get(one, "") for one in ids.tolist())

    @cached_property
    def emptied(self) -> tuple[str, ...]:
        """Sizes of which every reading is left out: a loaded folder may say so."""
        sizes = self.readings.characteristic_id
        gone = np.setdiff1d(sizes[self.is_left_out], sizes[~self.is_left_out]).tolist()
        if not gone:
            return ()
        named = Characteristic.objects.filter(pk__in=gone).select_related("part")
        return tuple(sorted(size_key(one) for one in named))

    @cached_property
    def pointed_at(self) -> Rows:
        """Readings that count and lie farther from their cavity's others than chance puts one in a trial."""
        used = np.concatenate([np.empty(0, np.intp), *(one.used for one in self.sizes)])
        if not len(used):
            return used
        cavities = self.readings.cavity_id[used] - NOT_RECORDED
        cell = self.readings.characteristic_id[used] * (int(cavities.max()) + 1) + cavities
        groups, codes = np.unique(cell, return_inverse=True)
        steps = {one.characteristic.pk: _step(one.characteristic) for one in self.sizes}
        of_groups = np.array([steps[key] for key in (groups // (int(cavities.max()) + 1)).tolist()])
        mask, _ = outlying(self.readings.value[used], codes, len(groups), steps=of_groups)
        return used[mask]

    @cached_property
    def cavity_labels(self) -> dict[int, str]:
        """Label of each cavity of the tool by its id."""
        return dict(self.trial.tool.cavities.values_list("pk", "label"))

    def several_cavities(self) -> Iterator[SizeSeen]:
        """The sizes that were measured in two cavities or more."""
        return (one for one in self.sizes if len(one.finding.cavities) > 1)


def _place(characteristic: Characteristic) -> tuple[object, ...]:
    """Where a size stands on the drawing."""
    return characteristic.part.code, drawing_order(characteristic.number)


def _step(characteristic: Characteristic) -> float:
    """The step of a size's gauge; NaN where the gauge is not known."""
    return characteristic.gauge.resolution if characteristic.gauge else nan

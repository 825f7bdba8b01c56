"""From readings to parts: what was read of one part again and again is one part, with their mean."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from offtool.records.reading_arrays import NOT_RECORDED, ReadingArrays


@dataclass(frozen=True, slots=True, kw_only=True)
class PartsMeasured:
    """One entry a part, columns of equal length; -1 stands for not recorded. In the order of the readings."""

    value: NDArray[np.float64]
    cavity_id: NDArray[np.int64]
    shot: NDArray[np.int64]
    readings: int
    """How many readings stand behind them."""

    @property
    def averaged(self) -> int:
        """Readings that repeat a part."""
        return self.readings - len(self.value)


def parts_measured(readings: ReadingArrays, rows: NDArray[np.intp]) -> PartsMeasured:
    """The parts behind these rows.

    A shot gives one part from each cavity, so readings of one size with the same cavity, shot and part number
    are of one part. Where no shot is known the part number tells, within its file; where neither is, each
    reading is a part.
    """
    shot, part, cavity = readings.shot[rows], readings.part[rows], readings.cavity_id[rows]
    without_shot = shot == NOT_RECORDED
    place = np.where(without_shot & (part == NOT_RECORDED), np.arange(len(rows)), NOT_RECORDED)
    file = np.where(without_shot, readings.source_id[rows], NOT_RECORDED)
    columns = (place, file, part, shot, cavity)
    order = np.lexsort(columns)
    new = np.ones(len(rows), dtype=bool)
    new[1:] = np.logical_or.reduce([column[order][1:] != column[order][:-1] for column in columns])
    if new.all():
        return PartsMeasured(value=readings.value[rows], cavity_id=cavity, shot=shot, readings=len(rows))
    first = np.minimum.reduceat(order, np.flatnonzero(new))
    mean = np.add.reduceat(readings.value[rows][order], np.flatnonzero(new)) / np.diff(
        np.append(np.flatnonzero(new), len(rows))
    )
    as_read = np.argsort(first)
    at = first[as_read]
    return PartsMeasured(value=mean[as_read], cavity_id=cavity[at], shot=shot[at], readings=len(rows))

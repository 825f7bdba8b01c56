"""The index that an exact gauge would show: the gauge's own repeatability taken out of the spread."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, sqrt

from offtool.core.inspection import PerformanceIndex
from offtool.core.inspection.mean_squares import MeanSquare, ratio_interval
from offtool.core.values import Interval


@dataclass(frozen=True, slots=True, kw_only=True)
class ExactIndex:
    """The index that an exact gauge would show; `value` is None where the gauge explains all spread.

    `interval` has the bounds of the observed index, each with the least or the most that the gauge can take
    of the spread; each end is on the safe side (`python -m tests.coverage exact gauge`).
    """

    value: float | None
    interval: Interval
    share: float
    share_interval: Interval


def exact_index(index: PerformanceIndex, repeatability: MeanSquare) -> ExactIndex:
    """The index of a cavity with the gauge's repeatability taken out of its spread.

    sd_exact^2 = s^2 - r^2, s observed and r of the study: index_exact = index / sqrt(1 - r^2/s^2). The way
    from the mean to the nearer limit stays as observed. r^2/s^2 has an interval from F.
    """
    pair = (MeanSquare(index.sd**2, index.degrees_of_freedom), repeatability)
    ends = ratio_interval((0.0, 1.0), (1.0, 0.0), pair, index.confidence)
    least, most = min(ends.low, 1.0), min(ends.high, 1.0)
    share = repeatability.value / index.sd**2
    return ExactIndex(
        value=_without(index.value, share) if share < 1 else None,
        interval=Interval(
            low=_without(index.low, least if index.low > 0 else most),
            high=_without(index.high, most if index.high > 0 else least),
            confidence=index.confidence,
        ),
        share=min(share, 1.0),
        share_interval=Interval(low=least, high=most, confidence=index.confidence),
    )


def _without(index: float, share: float) -> float:
    """An index with this share of its variance taken away."""
    if share < 1:
        return index / sqrt(1 - share)
    return inf if index > 0 else -inf if index < 0 else 0.0

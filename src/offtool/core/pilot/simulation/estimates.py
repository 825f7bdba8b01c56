"""Means with intervals: over runs that know nothing of each other, or over batches of one long run."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from offtool.core.values import Interval

Array = NDArray[np.float64]

BATCHES = 10
"""Batches of one long run: long enough that neighbours hardly depend on each other; common practice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimated:
    """A mean over so many runs or batches, and the interval of the true mean; None where there is but one."""

    value: float
    interval: Interval | None
    count: int

    @property
    def words(self) -> str:
        if self.interval is None:
            return f"{self.value:.4g}"
        return f"{self.value:.4g} ({self.interval.low:.4g} to {self.interval.high:.4g})"


def estimate_mean(values: Array, confidence: float) -> Estimated:
    """Mean and Student's interval of values that know nothing of each other."""
    if values.size < 2:
        return Estimated(value=float(values[0]), interval=None, count=1)
    from scipy.special import stdtrit

    mean, error = float(values.mean()), float(values.std(ddof=1)) / sqrt(values.size)
    half = float(stdtrit(values.size - 1, (1 + confidence) / 2)) * error
    interval = Interval(low=mean - half, high=mean + half, confidence=confidence)
    return Estimated(value=mean, interval=interval, count=values.size)


def rate_of_batches(at: Array, counted: Array) -> Array:
    """Of one run, the rates of batches of equal length; `counted` is counted up at each time `at`."""
    edges = np.linspace(at[0], at[-1], BATCHES + 1)
    rates: Array = np.diff(np.interp(edges, at, counted)) / np.diff(edges)
    return rates

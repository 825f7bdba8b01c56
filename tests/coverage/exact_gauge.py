"""The bounds of the index that an exact gauge would show, and of the gauge's share of the observed spread."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from offtool.core.inspection import ExactIndex, exact_index, performance_index
from tests.coverage.cases import covers

LOWER, UPPER, MEAN, PART_SD = -4.0, 4.0, 0.8, 1.0
EXACT = (UPPER - MEAN) / (3 * PART_SD)
PARTS, FREEDOM = 20, 40


def found(rng: np.random.Generator, share: float) -> ExactIndex:
    """One world: parts of an exact index of 1.07, read with a gauge that takes a share of the variance."""
    gauge = PART_SD * np.sqrt(share / (1 - share))
    seen = MEAN + rng.normal(0, np.hypot(PART_SD, gauge), PARTS)
    index = performance_index(float(seen.mean()), float(seen.std(ddof=1)), PARTS, lower=LOWER, upper=UPPER)
    repeatability = float(gauge * np.sqrt(rng.chisquare(FREEDOM) / FREEDOM))
    return exact_index(
        index.value,
        index.low,
        index.high,
        index.sd,
        index.degrees_of_freedom,
        repeatability=repeatability,
        repeatability_freedom=FREEDOM,
    )


def _both(one: ExactIndex) -> NDArray[np.bool_]:
    return np.array([one.interval.low <= EXACT, one.interval.high >= EXACT])


@covers("index with an exact gauge, each bound, gauge a tenth of the variance", safe_side=True)
def little_gauge(rng: np.random.Generator) -> NDArray[np.bool_]:
    return _both(found(rng, 0.1))


@covers("index with an exact gauge, each bound, gauge half of the variance", safe_side=True)
def half_gauge(rng: np.random.Generator) -> NDArray[np.bool_]:
    return _both(found(rng, 0.5))


@covers("index with an exact gauge, lower bound alone, gauge a tenth of the variance", safe_side=True)
def little_gauge_from_below(rng: np.random.Generator) -> bool:
    return found(rng, 0.1).interval.low <= EXACT


@covers("index with an exact gauge, lower bound alone, gauge half of the variance", safe_side=True)
def half_gauge_from_below(rng: np.random.Generator) -> bool:
    return found(rng, 0.5).interval.low <= EXACT


@covers("index with an exact gauge: the gauge's share of the spread")
def share_of_the_spread(rng: np.random.Generator) -> bool:
    return 0.3 in found(rng, 0.3).share_interval

"""Means, indices and shrinkage: the intervals that verdicts and corrections rest on."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from offtool.core.correction import pool_shrinkage
from offtool.core.inspection import judge_size, mean_interval, performance_index
from tests.coverage.cases import covers

TRUE_MEAN, TRUE_SD, UPPER = 4.0, 0.005, 4.02
TRUE_INDEX = (UPPER - TRUE_MEAN) / (3 * TRUE_SD)


@covers("mean of one cavity, 5 parts", worlds=8000)
def mean_of_one_cavity(rng: np.random.Generator) -> bool:
    return TRUE_MEAN in mean_interval(rng.normal(TRUE_MEAN, TRUE_SD, 5)).interval


@covers("means of 4 cavities with pooled spread, 5 parts each", worlds=3000)
def means_of_cavities(rng: np.random.Generator) -> NDArray[np.bool_]:
    means = np.array([4.0, 4.003, 3.998, 4.001])
    values = (means[:, None] + rng.normal(0, TRUE_SD, (4, 5))).ravel()
    found = judge_size(values, [label for label in "1234" for _ in range(5)], lower=3.9, upper=4.1)
    return np.array([mean in one.interval for mean, one in zip(means, found.cavities, strict=True)])


@covers("index of one limit, lower bound, 10 parts", worlds=8000)
def index_from_below(rng: np.random.Generator) -> bool:
    values = rng.normal(TRUE_MEAN, TRUE_SD, 10)
    found = performance_index(float(values.mean()), float(values.std(ddof=1)), 10, upper=UPPER)
    return found.low <= TRUE_INDEX


@covers("index of one limit, upper bound, 10 parts", worlds=8000)
def index_from_above(rng: np.random.Generator) -> bool:
    values = rng.normal(TRUE_MEAN, TRUE_SD, 10)
    found = performance_index(float(values.mean()), float(values.std(ddof=1)), 10, upper=UPPER)
    return found.high >= TRUE_INDEX


@covers("index of two limits, both bounds at once each 95 %, 10 parts, centred", worlds=8000, safe_side=True)
def index_of_two_limits(rng: np.random.Generator) -> NDArray[np.bool_]:
    values = rng.normal(TRUE_MEAN, TRUE_SD, 10)
    found = performance_index(
        float(values.mean()), float(values.std(ddof=1)), 10, lower=2 * TRUE_MEAN - UPPER, upper=UPPER
    )
    return np.array([found.low <= TRUE_INDEX, found.high >= TRUE_INDEX])


@covers("shrinkage pooled over 12 sizes that stray by 0.03 %", worlds=4000, safe_side=True)
def pooled_shrinkage(rng: np.random.Generator) -> bool:
    true, strays = 0.006, 0.0003
    own = rng.uniform(0.0001, 0.0004, 12)
    found = pool_shrinkage(true + rng.normal(0, strays, 12) + rng.normal(0, own), own)
    return true in found.interval

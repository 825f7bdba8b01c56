"""Tolerance intervals, outliers, planned numbers, many tests, shares of findings, conformity of a mean."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy import special

from offtool.core.inspection.attributes import (
    compare_shares,
    share_along_trial,
    share_interval,
    shares_by_cavity,
)
from offtool.core.inspection.conformity import Conformity, judge_mean
from offtool.core.inspection.many import control_false_discoveries
from offtool.core.inspection.outliers import grubbs_test, outlying, point_at_outliers
from offtool.core.inspection.sample_size import (
    parts_to_bound_fraction,
    parts_to_find_difference,
    required_observed_index,
)
from offtool.core.inspection.tolerance import tolerance_interval
from tests.coverage.cases import covers

SHARE = 0.95


@covers("tolerance interval, two ends, 5 parts", worlds=8000)
def two_ends_of_few(rng: np.random.Generator) -> bool:
    found = tolerance_interval(rng.normal(4.0, 0.01, 5), share=SHARE).interval
    return bool(np.diff(special.ndtr((np.array([found.low, found.high]) - 4.0) / 0.01))[0] >= SHARE)


@covers("tolerance interval, two ends, 30 parts", worlds=8000)
def two_ends(rng: np.random.Generator) -> bool:
    found = tolerance_interval(rng.normal(4.0, 0.01, 30), share=SHARE).interval
    return bool(np.diff(special.ndtr((np.array([found.low, found.high]) - 4.0) / 0.01))[0] >= SHARE)


@covers("tolerance interval, one end, 8 parts", worlds=8000)
def one_end(rng: np.random.Generator) -> NDArray[np.bool_]:
    readings = rng.normal(4.0, 0.01, 8)
    above = tolerance_interval(readings, share=SHARE, sides="above").interval.high
    below = tolerance_interval(readings, share=SHARE, sides="below").interval.low
    return np.array([above, 8.0 - below]) >= 4.0 + 0.01 * special.ndtri(SHARE)


@covers("tolerance interval, distribution-free, skewed parts", worlds=6000, safe_side=True)
def distribution_free(rng: np.random.Generator) -> bool:
    found = tolerance_interval(rng.exponential(1.0, 130), share=SHARE, method="distribution-free").interval
    return bool(np.exp(-found.low) - np.exp(-found.high) >= SHARE)


@covers("share of a finding, two-sided", worlds=6000, safe_side=True)
def share(rng: np.random.Generator) -> bool:
    return 0.07 in share_interval(int(rng.binomial(64, 0.07)), 64).interval


@covers("share of a finding, one-sided", worlds=6000, safe_side=True)
def share_below(rng: np.random.Generator) -> bool:
    return share_interval(int(rng.binomial(200, 0.03)), 200).less_than >= 0.03


@covers("Grubbs: clean readings not pointed at, 10", worlds=8000)
def grubbs(rng: np.random.Generator) -> bool:
    return not grubbs_test(rng.normal(4.0, 0.01, 10)).positions


@covers("generalised test: clean readings not pointed at, 40", worlds=6000)
def generalised(rng: np.random.Generator) -> bool:
    return not point_at_outliers(rng.normal(4.0, 0.01, 40)).positions


@covers("outliers of a whole trial: none pointed at in 100 groups of 8", worlds=4000)
def whole_trial(rng: np.random.Generator) -> bool:
    mask, _ = outlying(rng.normal(4.0, 0.01, 800), np.repeat(np.arange(100), 8), 100)
    return not mask.any()


@covers("a finding among many that stands is true", worlds=6000, safe_side=True)
def false_discoveries(rng: np.random.Generator) -> bool:
    """One of those that stand, drawn at random: it is false as often as their share is on average."""
    shift = np.repeat([0.0, 3.0], [45, 15])
    found = control_false_discoveries(2 * special.ndtr(-np.abs(rng.normal(shift, 1))))
    return not found.positions or bool(shift[rng.choice(found.positions)] > 0)


@covers("a finding among many that depend on each other is true", worlds=6000, safe_side=True)
def dependent_discoveries(rng: np.random.Generator) -> bool:
    shift = np.repeat([0.0, 3.0], [45, 15])
    common = rng.normal() * np.where(np.arange(60) % 2, 1, -1)
    z = shift + 0.8 * common + 0.6 * rng.normal(size=60)
    found = control_false_discoveries(2 * special.ndtr(-np.abs(z)), dependent=True)
    return not found.positions or bool(shift[rng.choice(found.positions)] > 0)


TWO = parts_to_find_difference(0.01, 0.012)
FOUR = parts_to_find_difference(0.01, 0.015, cavities=4)


def found_different(rng: np.random.Generator, parts: int, cavities: int, difference: float) -> bool:
    """Whether the pooled t of the first two cavities passes the limit for all pairs."""
    means = np.zeros(cavities)
    means[0] = difference
    readings = rng.normal(means, 0.01, (parts, cavities))
    freedom, pairs = cavities * (parts - 1), cavities * (cavities - 1) / 2
    t = np.diff(readings.mean(axis=0)[:2])[0] / np.sqrt(readings.var(axis=0, ddof=1).mean() * 2 / parts)
    return bool(abs(t) > -special.stdtrit(freedom, 0.05 / pairs / 2))


@covers("planned parts find a difference of two cavities", claimed=TWO.power_reached or 0.0, worlds=8000)
def difference_of_two(rng: np.random.Generator) -> bool:
    return found_different(rng, TWO.parts or 2, 2, TWO.difference)


@covers("planned parts find a difference among four cavities", claimed=FOUR.power_reached or 0.0, worlds=8000)
def difference_among_four(rng: np.random.Generator) -> bool:
    return found_different(rng, FOUR.parts or 2, 4, FOUR.difference)


NONE_BAD = parts_to_bound_fraction(0.05)
TWO_BAD = parts_to_bound_fraction(0.05, seen=2)


@covers("parts without a bad one do not pass a share of 5 %", worlds=8000, safe_side=True)
def demonstration(rng: np.random.Generator) -> NDArray[np.bool_]:
    return np.array([rng.binomial(one.parts or 1, 0.05) > one.seen for one in (NONE_BAD, TWO_BAD)])


NEEDED = required_observed_index(1.33, 20, cavities=4)


@covers("an index that must be seen is not seen without the required one", worlds=8000)
def index_seen(rng: np.random.Generator) -> bool:
    mean = rng.normal(0, 1 / np.sqrt(NEEDED.parts))
    sd = np.sqrt(rng.chisquare(NEEDED.degrees_of_freedom) / NEEDED.degrees_of_freedom)
    return bool((3 * NEEDED.required_index - mean) / (3 * sd) < NEEDED.observed_index)


@covers("an unchanged finding is not said to be less", worlds=3000, safe_side=True)
def unchanged(rng: np.random.Generator) -> bool:
    before, after = (int(rng.binomial(48, 0.2)) for _ in range(2))
    return not compare_shares(before, 48, after, 48).is_less


@covers("a finding of all cavities alike is not put down to one", worlds=1500, safe_side=True)
def all_cavities_alike(rng: np.random.Generator) -> bool:
    return not shares_by_cavity(rng.binomial(16, 0.2, 4), [16] * 4, list("1234")).differ


@covers("a steady finding is not said to fade or grow", worlds=1000, safe_side=True)
def steady(rng: np.random.Generator) -> bool:
    counts = rng.binomial(8, 0.2, 6)
    return share_along_trial(counts, [8] * 6, [1.0, 2.0, 3.0, 4.0, 5.0, 6.0]).change == "not shown"


@covers("a mean at the limit is not said to conform", worlds=8000)
def mean_at_the_limit(rng: np.random.Generator) -> NDArray[np.bool_]:
    held = []
    for gauge in (0.001, 0.004, 0.02):
        readings = rng.normal(4.03, 0.01, 8) + rng.normal(0, gauge)
        found = judge_mean(readings, uncertainty=gauge, upper=4.03)
        held.append(found.conformity is not Conformity.CONFORMS)
    return np.array(held)

"""The index with an exact gauge: the gauge's share of the spread, and what is left without it."""

from __future__ import annotations

from math import inf, sqrt

import pytest
from scipy import stats

from offtool.core.inspection import ExactIndex, PerformanceIndex, exact_index, performance_index
from offtool.core.values import ImpossibleInput
from tests.labels import independent

SD, FREEDOM = 0.005, 40
CENTRED = performance_index(4.005, SD, 20, lower=3.98, upper=4.03)


def without(repeatability: float, index: PerformanceIndex = CENTRED, *, scale: float = 1.0) -> ExactIndex:
    return exact_index(
        index.value,
        index.low,
        index.high,
        index.sd * scale,
        index.degrees_of_freedom,
        repeatability=repeatability * scale,
        repeatability_freedom=FREEDOM,
    )


@pytest.mark.parametrize("share", [0.01, 0.3, 0.9])
def test_the_exact_index_is_larger_and_its_bounds_hold_the_observed_ones(share: float) -> None:
    found = without(sqrt(share) * SD)
    assert found.value is not None
    assert found.value == independent(
        CENTRED.value / sqrt(1 - share), way="variance less the gauge's, by hand"
    )
    assert CENTRED.low <= found.interval.low <= found.value <= found.interval.high
    assert found.interval.high >= CENTRED.high
    assert found.cautions == ()


@pytest.mark.parametrize("share", [0.01, 0.3])
def test_the_share_of_the_gauge_lies_where_f_puts_it(share: float) -> None:
    found = without(sqrt(share) * SD).share_interval
    low, high = (float(stats.f.ppf(p, FREEDOM, 19)) for p in (0.025, 0.975))
    assert found.low == independent(share / high, way="ratio of two mean squares, scipy.stats.f", rel=1e-6)
    assert found.high == independent(min(share / low, 1.0), way="the same", rel=1e-6)


def test_a_gauge_that_never_scatters_leaves_the_index_as_observed() -> None:
    found = without(0.0)
    assert (found.value, found.share) == (CENTRED.value, 0.0)
    assert (found.interval.low, found.interval.high) == (CENTRED.low, CENTRED.high)


def test_a_gauge_that_explains_all_spread_leaves_no_index_but_a_bound() -> None:
    found = without(1.2 * SD)
    assert (found.value, found.share, found.interval.high) == (None, 1.0, inf)
    assert "no index is left" in str(found.cautions[0])
    outside = performance_index(4.05, SD, 20, lower=3.98, upper=4.03)
    assert without(1.2 * SD, outside).interval.high < 0


@pytest.mark.parametrize("scale", [1e-3, 25.4])
def test_the_unit_does_not_matter(scale: float) -> None:
    found, scaled = without(0.4 * SD), without(0.4 * SD, scale=scale)
    assert scaled.value == pytest.approx(found.value, rel=1e-12)
    assert scaled.interval.high == pytest.approx(found.interval.high, rel=1e-9)


def test_more_scatter_of_the_gauge_means_a_larger_exact_index() -> None:
    found = [without(share * SD).value or inf for share in (0.0, 0.2, 0.5, 0.8, 0.99, 1.0)]
    assert found == sorted(found)


def test_bounds_that_cross_are_refused() -> None:
    with pytest.raises(ImpossibleInput, match="must not be above the upper bound"):
        exact_index(1.2, 1.6, 0.9, SD, 19, repeatability=0.001, repeatability_freedom=FREEDOM)

"""Intervals from mean squares: exact where theory is exact, published where printed, and their laws."""

from __future__ import annotations

from math import inf

import numpy as np
import pytest
from hypothesis import strategies as st
from scipy import stats

from offtool.core.inspection.mean_squares import (
    MeanSquare,
    combination,
    combination_freedom,
    combination_interval,
    mean_square_interval,
    ratio_interval,
)
from offtool.core.values import NotEnoughData
from tests.core.laws import law
from tests.core.simulated import chance
from tests.labels import independent

SIZES = st.floats(1e-3, 1e3)
FREEDOMS = st.integers(1, 200)


@law(value=SIZES, freedom=FREEDOMS, confidence=st.floats(0.55, 0.99))
def test_one_mean_square_has_the_exact_chi_square_interval(
    value: float, freedom: int, confidence: float
) -> None:
    found = mean_square_interval(MeanSquare(value, freedom), confidence)
    quantiles = stats.chi2.ppf([(1 + confidence) / 2, (1 - confidence) / 2], freedom)
    way = "scipy.stats.chi2"
    assert found.low == independent(value * freedom / quantiles[0], way=way)
    assert found.high == independent(value * freedom / quantiles[1], way=way)


@law(one=SIZES, other=SIZES, n=FREEDOMS, m=FREEDOMS)
def test_the_ratio_of_two_mean_squares_has_the_exact_interval_from_f(
    one: float, other: float, n: int, m: int
) -> None:
    found = ratio_interval((1, 0), (0, 1), (MeanSquare(one, n), MeanSquare(other, m)), 0.95)
    quantiles = stats.f.ppf([0.975, 0.025], n, m)
    assert found.low == independent(one / other / quantiles[0], way="scipy.stats.f", rel=1e-6)
    assert found.high == independent(one / other / quantiles[1], way="scipy.stats.f", rel=1e-6)


@law(inside=SIZES, within=SIZES, groups=st.integers(2, 30), repeats=st.integers(2, 10))
def test_a_share_between_groups_has_the_exact_interval_of_the_intraclass_correlation(
    inside: float, within: float, groups: int, repeats: int
) -> None:
    """(F / Fq - 1) / (F / Fq - 1 + r), Searle 1971, Linear Models, section 9.9."""
    squares = MeanSquare(inside, groups - 1), MeanSquare(within, groups * (repeats - 1))
    between = (1 / repeats, -1 / repeats)
    found = ratio_interval(between, (between[0], between[1] + 1), squares, 0.95)
    f = inside / within / stats.f.ppf([0.975, 0.025], squares[0].freedom, squares[1].freedom)
    exact = np.maximum(0, (f - 1) / (f - 1 + repeats))
    assert found.low == independent(float(exact[0]), way="the exact interval from F", within=1e-7)
    assert found.high == independent(float(exact[1]), way="the exact interval from F", within=1e-7)


def test_a_difference_is_zero_at_its_low_end_exactly_where_f_is_critical() -> None:
    """The difference of Ting et al. is shown above zero just when F shows the ratio above one."""
    critical = float(stats.f.ppf(0.975, 5, 24))
    for share, above in ((0.999, False), (1.001, True)):
        squares = MeanSquare(share * critical, 5), MeanSquare(1.0, 24)
        assert (combination_interval((1, -1), squares, 0.95).low > 0) is above


def test_satterthwaite_of_two_samples_is_the_freedom_of_welch() -> None:
    one, other = [3.1, 2.8, 3.6, 3.3, 2.9], [2.2, 4.1, 3.9, 1.8, 2.7, 3.3, 5.0]
    squares = MeanSquare(float(np.var(one, ddof=1)), 4), MeanSquare(float(np.var(other, ddof=1)), 6)
    found = combination_freedom((1 / 5, 1 / 7), squares)
    expected = stats.ttest_ind(one, other, equal_var=False).df
    assert found == independent(float(expected), way="scipy.stats.ttest_ind, Welch")


DRAWS = 3000


@pytest.mark.parametrize(
    ("coefficients", "expectations", "freedoms"),
    [
        ((0.1, 0.2, 0.7), (3.0, 1.0, 0.5), (2, 18, 60)),
        ((0.2, -0.2), (4.0, 1.0), (9, 18)),
        ((0.3, 0.3, -0.1, -0.2), (5.0, 4.0, 1.0, 0.5), (9, 5, 20, 40)),
    ],
)
def test_a_combination_covers_what_it_says(
    coefficients: tuple[float, ...], expectations: tuple[float, ...], freedoms: tuple[int, ...]
) -> None:
    """94 to 97 %: the modified-large-sample intervals are a little on the safe side."""
    rng = np.random.default_rng(1980)
    true = float(np.dot(coefficients, expectations))
    drawn = np.array(expectations) * rng.chisquare(freedoms, (DRAWS, len(freedoms))) / freedoms
    held = [
        true
        in combination_interval(
            coefficients, [MeanSquare(v, n) for v, n in zip(row, freedoms, strict=True)], 0.95
        )
        for row in drawn
    ]
    assert 0.94 - chance(0.95, DRAWS) <= np.mean(held) <= 0.97 + chance(0.95, DRAWS)


THREE = st.tuples(SIZES, SIZES, SIZES)


@law(values=THREE, signs=st.tuples(*[st.sampled_from([-0.5, 0.0, 1.0, 2.0])] * 3), scale=SIZES)
def test_scaling_the_mean_squares_scales_sums_and_leaves_ratios(
    values: tuple[float, ...], signs: tuple[float, ...], scale: float
) -> None:
    one = [MeanSquare(value, n) for value, n in zip(values, (4, 9, 30), strict=True)]
    other = [MeanSquare(scale * value, n) for value, n in zip(values, (4, 9, 30), strict=True)]
    found, scaled = combination_interval(signs, one, 0.9), combination_interval(signs, other, 0.9)
    size = scale * sum(values)
    assert [scaled.low, scaled.high] == pytest.approx(
        [scale * found.low, scale * found.high], rel=1e-9, abs=1e-9 * size
    )
    ratio, same = ratio_interval(signs, (1, 1, 1), one, 0.9), ratio_interval(signs, (1, 1, 1), other, 0.9)
    assert [same.low, same.high] == pytest.approx([ratio.low, ratio.high], rel=1e-6, abs=1e-9)


@law(values=THREE, confidence=st.floats(0.55, 0.98))
def test_more_confidence_is_a_wider_interval(values: tuple[float, ...], confidence: float) -> None:
    squares = [MeanSquare(value, n) for value, n in zip(values, (4, 9, 30), strict=True)]
    inner = combination_interval((1, 0.5, -0.1), squares, confidence)
    outer = combination_interval((1, 0.5, -0.1), squares, confidence + 0.01)
    assert outer.low <= inner.low <= inner.high <= outer.high


def test_very_many_freedoms_leave_only_the_estimate() -> None:
    squares = MeanSquare(3.0, 1e9), MeanSquare(1.0, 1e9)
    found = combination_interval((1, -1), squares, 0.95)
    assert [found.low, found.high] == pytest.approx([2.0, 2.0], rel=1e-3)
    assert combination((1, -1), squares) == 2.0


def test_a_ratio_over_what_may_be_nothing_has_no_upper_end() -> None:
    squares = MeanSquare(3.0, 4), MeanSquare(1.0, 9)
    assert ratio_interval((0, 1), (1, -1), squares, 0.95).high == inf
    assert ratio_interval((0, 1), (0, 0), squares, 0.95).high == inf


def test_a_mean_square_without_freedom_is_refused() -> None:
    with pytest.raises(NotEnoughData, match="without degrees of freedom"):
        mean_square_interval(MeanSquare(1.0, 0), 0.95)

"""Shrinkage pooled over the sizes of a direction: statsmodels' robust fit, exact data, coverage, laws."""

from __future__ import annotations

import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import strategies as st

from offtool.core.correction import pool_shrinkage
from offtool.core.correction.pooled import spread_between
from offtool.core.values import ImpossibleInput
from tests.core.laws import law
from tests.core.simulated import chance
from tests.labels import independent


def robust_location(value: np.ndarray, uncertainty: np.ndarray) -> tuple[float, np.ndarray]:
    """statsmodels: y/u = b (1/u) + e by Huber's t at 1.345, scale by the median absolute residual about 0."""
    model = sm.RLM(value / uncertainty, 1 / uncertainty, M=sm.robust.norms.HuberT(1.345))
    found = model.fit(scale_est="mad", maxiter=500, tol=1e-14, conv="coefs")
    return float(found.params[0]), found.weights


# With three sizes the equations of location and scale have several roots; the two programs start apart.
@pytest.mark.parametrize("sizes", [6, 15, 40])
@pytest.mark.parametrize("odd", [0, 1])
def test_the_estimate_is_that_of_a_robust_regression(sizes: int, odd: int) -> None:
    """Held equal: the tuning 1.345, the scale, and the uncertainty of each size with the spread between sizes
    added, which is taken as this program finds it; statsmodels then must find the same value and weights."""
    rng = np.random.default_rng(sizes + odd)
    own = rng.uniform(5e-5, 4e-4, sizes)
    value = 0.006 + rng.normal(0, 3e-4, sizes) + rng.normal(0, own)
    value[:odd] += 0.004
    found = pool_shrinkage(value, own)
    total = np.hypot(own, found.between_sizes_sd)
    location, weights = robust_location(value, total)
    assert found.value == independent(location, way="statsmodels RLM", rel=1e-8)
    assert np.array(found.weight) == independent(weights, way="statsmodels RLM", rel=1e-6)


def test_exact_data_with_one_gross_outlier_end_where_the_others_are() -> None:
    found = pool_shrinkage([0.006] * 6 + [0.026], [1e-4] * 7)
    assert found.value == 0.006
    assert found.between_sizes_sd == 0
    assert found.weight[:6] == (1.0,) * 6
    assert found.odd == (6,)


def test_nearly_exact_data_with_one_gross_outlier_hardly_move() -> None:
    value = [0.0060, 0.0061, 0.0059, 0.0060, 0.0062, 0.0058, 0.0260]
    found = pool_shrinkage(value, [5e-5] * 7)
    assert found.value == pytest.approx(0.0060, abs=1e-4)  # the plain mean is 0.0089
    assert found.odd == (6,)


def test_one_size_is_its_own_answer() -> None:
    found = pool_shrinkage([0.0061], [1e-4])
    assert (found.value, found.weight, found.between_sizes_sd) == (0.0061, (1.0,), 0.0)
    assert [str(one) for one in found.cautions] == [
        "only 1 size in this direction: shrinkage is not well pooled"
    ]


def test_two_sizes_are_answered_with_a_caution() -> None:
    found = pool_shrinkage([0.0061, 0.0065], [1e-4, 1e-4])
    assert found.value == pytest.approx(0.0063)
    assert "only 2 sizes" in str(found.cautions[0])


def test_equal_sizes_have_the_interval_of_their_own_uncertainty() -> None:
    found = pool_shrinkage([0.006] * 9, [9e-5] * 9)
    assert found.interval.half_width == independent(
        2.306004 * 9e-5 / 3, way="Student's t of 8 degrees of freedom, printed", rel=1e-6
    )


@pytest.mark.parametrize("sizes", [3, 4, 5, 6, 7, 8, 9, 12, 30])
def test_the_spread_between_sizes_is_found_without_bias(sizes: int) -> None:
    """The median absolute deviation of a few values is too small; the factors mend it, to 3 %."""
    rng = np.random.default_rng(1)
    draws = 12_000
    found = [spread_between(value, np.full(sizes, 1e-9)) for value in rng.normal(0, 1, (draws, sizes))]
    assert np.mean(found) == pytest.approx(1.0, abs=0.03)


@pytest.mark.parametrize("sizes", [3, 5, 8, 20])
@pytest.mark.parametrize(
    ("between", "own"),
    [(4e-4, (1e-5, 1e-5)), (4e-4, (5e-5, 1e-3)), (0.0, (1e-4, 1e-4))],
    ids=["sizes differ", "sizes differ, short ones are blurred", "sizes are alike"],
)
@pytest.mark.parametrize("confidence", [0.8, 0.95])
def test_the_interval_covers_at_least_about_as_often_as_it_says(
    sizes: int, between: float, own: tuple[float, float], confidence: float
) -> None:
    """Over new sizes of the same resin; a fiftieth below what is said is let pass."""
    rng = np.random.default_rng(2)
    draws = 800
    hits = 0
    for _ in range(draws):
        uncertainty = np.exp(rng.uniform(*np.log(own), sizes))
        value = 0.006 + rng.normal(0, between, sizes) + rng.normal(0, uncertainty)
        hits += 0.006 in pool_shrinkage(value, uncertainty, confidence=confidence).interval
    assert hits / draws >= confidence - 0.02 - chance(confidence, draws) / 2


values = st.lists(st.tuples(st.floats(0.003, 0.02), st.floats(1e-5, 1e-3)), min_size=1, max_size=20)


@law(sizes=values, seed=st.integers(0, 99))
def test_the_order_of_the_sizes_does_not_matter(sizes: list[tuple[float, float]], seed: int) -> None:
    mixed = [sizes[i] for i in np.random.default_rng(seed).permutation(len(sizes))]
    one, other = (pool_shrinkage(*zip(*each, strict=True)) for each in (sizes, mixed))
    assert other.value == pytest.approx(one.value, abs=1e-10)
    assert other.interval.half_width == pytest.approx(one.interval.half_width, rel=1e-5, abs=1e-10)


@law(sizes=values, scale=st.floats(0.1, 5))
def test_it_follows_scale(sizes: list[tuple[float, float]], scale: float) -> None:
    one = pool_shrinkage(*zip(*sizes, strict=True))
    other = pool_shrinkage([scale * value for value, _ in sizes], [scale * own for _, own in sizes])
    assert other.value == pytest.approx(scale * one.value, rel=1e-6)
    assert other.between_sizes_sd == pytest.approx(scale * one.between_sizes_sd, rel=1e-6, abs=1e-12)


@law(sizes=values, shift=st.floats(-0.02, 0.02))
def test_it_follows_shift(sizes: list[tuple[float, float]], shift: float) -> None:
    one = pool_shrinkage(*zip(*sizes, strict=True))
    other = pool_shrinkage([value + shift for value, _ in sizes], [own for _, own in sizes])
    assert other.value == pytest.approx(one.value + shift, abs=1e-9)


@law(sizes=values)
def test_the_value_lies_among_the_sizes(sizes: list[tuple[float, float]]) -> None:
    found = pool_shrinkage(*zip(*sizes, strict=True))
    each = [value for value, _ in sizes]
    assert min(each) - 1e-12 <= found.value <= max(each) + 1e-12
    assert all(0 <= weight <= 1 for weight in found.weight)


def test_a_sharper_size_counts_for_more_where_sizes_are_alike() -> None:
    found = pool_shrinkage([0.0060, 0.0060, 0.0060, 0.00602], [1e-5, 1e-4, 1e-4, 1e-4])
    assert abs(found.value - 0.0060) < 1e-6


@pytest.mark.parametrize(
    ("shrinkages", "uncertainties", "argument"),
    [
        ([], [], "uncertainties"),
        ([0.006], [1e-4, 1e-4], "uncertainties"),
        ([0.6], [1e-4], "shrinkages"),
        ([0.006], [0.0], "uncertainties"),
    ],
)
def test_the_impossible_is_refused_by_name(
    shrinkages: list[float], uncertainties: list[float], argument: str
) -> None:
    with pytest.raises(ImpossibleInput) as refused:
        pool_shrinkage(shrinkages, uncertainties)
    assert refused.value.argument == argument

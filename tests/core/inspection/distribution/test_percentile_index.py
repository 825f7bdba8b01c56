"""The index by quantiles and the share outside: published and exact answers, bounds, laws."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import strategies as st
from scipy import optimize, stats

from offtool.core.inspection import performance_index
from offtool.core.inspection.distribution import FAMILIES, fraction_outside, percentile_index
from offtool.core.inspection.distribution.indices import indices, shares_outside
from offtool.core.inspection.distribution.plausible import plausible, weighted_quantile
from offtool.core.values import ImpossibleInput, NotEnoughData, OfftoolError
from tests.core.laws import law
from tests.labels import independent, published, remembered
from tests.published import numbers

BEARINGS = np.array(numbers("ball_bearings.txt"))
DIAMETERS = np.array(numbers("qif_diameters.txt"))
ONE = np.ones(())


def test_the_exponential_between_zero_and_eight() -> None:
    """Closed forms: quantiles -ln(1 - p), share exp(-8)."""
    found = indices(FAMILIES["Weibull"], (ONE, ONE), 0.0, 8.0)
    way = "quantiles of the exponential in closed form"
    assert found.potential == independent(1.210951, way=way, within=5e-7)
    assert found.upper == independent(1.235397, way=way, within=5e-7)
    assert found.lower == independent(1.001953, way=way, within=5e-7)
    below, above = shares_outside(FAMILIES["Weibull"], (ONE, ONE), 0.0, 8.0)
    assert 1e6 * (below + above) == independent(335.463, way="1e6 exp(-8)", within=5e-4)


@pytest.mark.parametrize(
    ("index", "ppm", "source"),
    [
        (1.0, "2699.8", "6.1.6"),
        (4 / 3, "63.34", "6.1.6"),
        (5 / 3, "0.5733", "6.1.6"),
        (2.0, "0.001973", "6.1.6"),
    ],
)
def test_the_share_outside_centred_limits(index: float, ppm: str, source: str) -> None:
    """2 Phi(-3 C), the rounded figures of every text on quality statistics."""
    normal = (np.zeros(()), ONE)
    total = np.add(*shares_outside(FAMILIES["normal"], normal, -3 * index, 3 * index))
    assert 1e6 * total == remembered(
        ppm, source=f"tables of Cp and parts per million, as in e-Handbook {source}"
    )


def test_thirty_published_diameters() -> None:
    found = percentile_index(DIAMETERS, lower=1.8, upper=2.2, family="normal")
    source = "QIF 2.1 sample, capability study with subgroups, summary statistics"
    assert found.parameters[0] == published("1.984466667", source=source)
    assert found.parameters[1] == published("0.078690898", source=source)
    assert found.value == independent(0.78140, way="by hand from the printed mean and deviation", within=5e-6)
    assert found.potential == independent(0.84720, way="by hand from the printed deviation", within=5e-6)
    outside = fraction_outside(DIAMETERS, lower=1.8, upper=2.2, family="normal")
    assert outside.counted == published("1", source=f"{source}: out of tolerance")


@law(
    mean=st.floats(-2, 2),
    seed=st.integers(0, 99),
    parts=st.integers(2, 60),
    two=st.booleans(),
    examples=40,
)
def test_the_normal_is_the_performance_index_again(mean: float, seed: int, parts: int, two: bool) -> None:
    values = np.random.default_rng(seed).normal(mean, 1, parts)
    limits = {"lower": -5.0 if two else None, "upper": 5.0}
    found = percentile_index(values, family="normal", **limits)  # type: ignore[arg-type]
    other = performance_index(float(values.mean()), float(values.std(ddof=1)), parts, **limits)  # type: ignore[arg-type]
    assert (found.value, found.low, found.high) == pytest.approx(
        (other.value, other.low, other.high), rel=1e-7
    )
    assert found.potential == (None if other.potential is None else pytest.approx(other.potential))


@pytest.mark.parametrize("family", ["lognormal", "Weibull", "Rayleigh"])
def test_a_quantile_is_bounded_exactly_by_the_pivots(family: str) -> None:
    """The bound of x(0.99) against the exact ones: noncentral t, simulated pivots, chi-square."""
    x = BEARINGS
    n, p, sure = x.size, 0.99, 0.95
    one = FAMILIES[family]
    cloud = [(one.quantile(np.asarray(p), *parameters), weights) for parameters, weights in plausible(one, x)]
    found = weighted_quantile(*cloud[0], sure)
    if family == "lognormal":
        y = np.log(x)
        factor = stats.nct(n - 1, np.sqrt(n) * stats.norm.ppf(p)).ppf(sure) / np.sqrt(n)
        exact, way, rel = np.exp(y.mean() + factor * y.std(ddof=1)), "noncentral t of the logs", 4e-3
    elif family == "Rayleigh":
        scale = np.sqrt((x**2).sum() / stats.chi2(2 * n).ppf(1 - sure))
        exact, way, rel = scale * np.sqrt(-2 * np.log1p(-p)), "chi-square", 1e-4
    else:
        # Unconditional pivots by simulation; the conditional ones differ by the ancillary of this sample.
        rng = np.random.default_rng(0)
        shape, scale = FAMILIES["Weibull"].fit(rng.weibull(1, (20_000, n)))
        pivot = (np.log(-np.log1p(-p)) - np.log(scale)) * shape
        found_shape, found_scale = FAMILIES["Weibull"].fit(x)
        exact = found_scale * np.exp(np.quantile(pivot, sure) / found_shape)
        way, rel = "20,000 simulated pivots of the maximum likelihood fit", 0.03
    assert found == independent(float(exact), way=way, rel=rel)


def test_the_share_above_one_limit_is_bounded_by_the_noncentral_t() -> None:
    values = np.random.default_rng(4).normal(0, 1, 15)
    found = fraction_outside(values, upper=2.5, family="normal")
    t = np.sqrt(15) * (2.5 - values.mean()) / values.std(ddof=1)
    nc = optimize.brentq(lambda nc: stats.nct.cdf(t, 14, nc) - 0.95, 0, 20)
    exact = float(stats.norm.sf(nc / np.sqrt(15)))
    assert found.high == independent(exact, way="root of scipy.stats.nct.cdf", rel=1e-5)
    assert found.bounds_by == "noncentral t: exact"


def test_a_second_limit_far_away_changes_little() -> None:
    values = np.random.default_rng(4).normal(0, 1, 15)
    near = fraction_outside(values, upper=2.5, family="normal")
    both = fraction_outside(values, lower=-50.0, upper=2.5, family="normal")
    assert both.total == pytest.approx(near.total)
    assert both.high == pytest.approx(near.high, rel=0.02)


def test_the_unbiased_share_is_unbiased() -> None:
    rng = np.random.default_rng(8)
    worlds = 4000
    found = [
        fraction_outside(rng.normal(0, 1, 6), lower=-2.0, upper=1.0, family="normal").unbiased
        for _ in range(worlds)
    ]
    true = float(stats.norm.cdf(-2) + stats.norm.sf(1))
    error = float(np.std(found)) / np.sqrt(worlds)
    assert np.mean(found) == independent(true, way="the true share of the simulated normal", within=4 * error)


@pytest.mark.parametrize("family", FAMILIES)
@law(scale=st.floats(0.01, 100), examples=10)
def test_another_unit_changes_no_index_and_no_share(family: str, scale: float) -> None:
    for lower, upper in ((5.0, 300.0), (None, 200.0), (10.0, None)):
        scaled = tuple(None if one is None else scale * one for one in (lower, upper))
        for formula in (percentile_index, fraction_outside):
            one = formula(BEARINGS, lower=lower, upper=upper, family=family)  # type: ignore[operator]
            other = formula(scale * BEARINGS, lower=scaled[0], upper=scaled[1], family=family)  # type: ignore[operator]
            assert (other.low, other.high) == pytest.approx((one.low, one.high), rel=1e-4)


@law(seed=st.integers(0, 99), shift=st.floats(-100, 100), examples=20)
def test_for_the_normal_another_zero_and_a_mirror_change_nothing(seed: int, shift: float) -> None:
    values = np.random.default_rng(seed).normal(0, 1, 12)
    one = fraction_outside(values, lower=-2.0, upper=3.0, family="normal")
    moved = fraction_outside(values + shift, lower=shift - 2.0, upper=shift + 3.0, family="normal")
    mirrored = fraction_outside(-values, lower=-3.0, upper=2.0, family="normal")
    assert moved.total == pytest.approx(one.total, rel=1e-6)
    assert (mirrored.below, mirrored.above) == pytest.approx((one.above, one.below), rel=1e-9)
    assert mirrored.high == pytest.approx(one.high, rel=1e-6)


@pytest.mark.parametrize("family", FAMILIES)
def test_below_and_above_add_up_and_lie_between_the_bounds(family: str) -> None:
    found = fraction_outside(BEARINGS, lower=20.0, upper=160.0, family=family)  # type: ignore[arg-type]
    assert found.total == found.below + found.above
    assert 0 <= found.low < found.total < found.high <= 1
    assert found.counted == 2
    index = percentile_index(BEARINGS, lower=1.0, upper=260.0, family=family)  # type: ignore[arg-type]
    assert index.low < index.value < index.high
    assert index.value == min(index.lower_index or 9, index.upper_index or 9)
    assert index.potential_low < index.potential < index.potential_high  # type: ignore[operator]


@pytest.mark.parametrize("family", FAMILIES)
def test_more_parts_draw_the_bounds_in_and_more_confidence_apart(family: str) -> None:
    few = percentile_index(BEARINGS, upper=260.0, family=family)  # type: ignore[arg-type]
    many = percentile_index(np.tile(BEARINGS, 4), upper=260.0, family=family)  # type: ignore[arg-type]
    surer = percentile_index(BEARINGS, upper=260.0, family=family, confidence=0.99)  # type: ignore[arg-type]
    assert few.low < many.low < many.high < few.high
    assert surer.low < few.low < few.high < surer.high


def test_chosen_by_the_data_says_so() -> None:
    found = percentile_index(np.random.default_rng(1).lognormal(0, 0.8, 150), upper=20.0)
    assert found.family == "lognormal"
    assert "AICc" in found.why
    assert any("as known" in str(caution) for caution in found.cautions)
    asked = percentile_index(BEARINGS, upper=300.0, family="Weibull")
    assert any("on trust" in str(caution) for caution in asked.cautions)


@pytest.mark.parametrize("formula", [percentile_index, fraction_outside])
def test_the_impossible_is_refused(formula: object) -> None:
    with pytest.raises(ImpossibleInput, match="at least one limit"):
        formula([1.0, 2.0, 3.0, 4.0])  # type: ignore[operator]
    with pytest.raises(NotEnoughData, match="equal"):
        formula([2.0, 2.0, 2.0, 2.0], upper=3.0)  # type: ignore[operator]
    with pytest.raises(NotEnoughData):
        formula([2.0], upper=3.0, family="normal")  # type: ignore[operator]
    with pytest.raises(OfftoolError, match="Weibull does not fit"):
        formula([-1.0, 2.0, 1.0], upper=3.0, family="Weibull")  # type: ignore[operator]

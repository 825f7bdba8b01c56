"""The Weibull of a seam's pulls: published fits, bounds by other ways, stopped pulls, laws."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy import integrate, stats

from offtool.core.values import ImpossibleInput, NotEnoughData
from offtool.core.welding.weibull import WeibullFit, fit_weibull, strength_below
from offtool.core.welding.weibull_bounds import WeibullBounds
from tests.core.laws import law
from tests.labels import independent, published, remembered
from tests.published import numbers

NIST = [54, 187, 216, 240, 244, 335, 361, 373, 375, 386, *[500] * 10]
NIST_STOPPED = [0] * 10 + [1] * 10
NIST_SOURCE = "NIST/SEMATECH e-Handbook 8.4.1.2, ten failures and ten units running at 500 hours"
AIRCRAFT = [0.22, 0.50, 0.88, 1.00, 1.32, 1.33, 1.54, 1.76, 2.50, 3.00, 3.00, 3.00, 3.00]
AIRCRAFT_STOPPED = [0] * 10 + [1] * 3
AIRCRAFT_SOURCE = "Mann and Fertig 1973, aircraft components, in Lawless, Statistical Models and Methods"
TEN = [112, 96, 121, 104, 88, 117, 109, 99, 126, 130]


def test_ten_broken_and_ten_stopped_give_the_published_fit() -> None:
    found = fit_weibull(NIST, stopped=NIST_STOPPED)
    assert found.shape == remembered("1.7208", source=NIST_SOURCE)
    assert found.scale_n == remembered("606.53", source=NIST_SOURCE)
    assert (found.pulls, found.came_apart, found.stopped) == (20, 10, 10)


def test_a_test_ended_at_a_failure_gives_the_published_fit() -> None:
    """Lawless gives location and scale of the logarithms."""
    found = fit_weibull(AIRCRAFT, stopped=AIRCRAFT_STOPPED)
    assert np.log(found.scale_n) == remembered("0.821", source=AIRCRAFT_SOURCE)
    assert 1 / found.shape == remembered("0.71", source=AIRCRAFT_SOURCE)


def test_bearings_without_a_stop_give_the_published_fit() -> None:
    found = fit_weibull(numbers("ball_bearings.txt"))
    source = "Lawless, Statistical Models and Methods for Lifetime Data, ball bearings"
    assert found.shape == remembered("2.102", source=source)
    assert found.scale_n == remembered("81.88", source=source)


@pytest.mark.parametrize("seed", range(4))
def test_the_fit_without_a_stop_is_scipys(seed: int) -> None:
    strengths = 110 * np.random.default_rng(seed).weibull(7, 12)
    shape, _, scale = stats.weibull_min.fit(strengths, floc=0)
    found = fit_weibull(strengths)
    assert (found.shape, found.scale_n) == independent([shape, scale], way="scipy.stats fit", rel=1e-5)


@pytest.mark.parametrize("seed", range(4))
def test_the_fit_with_stops_at_different_loads_is_scipys(seed: int) -> None:
    rng = np.random.default_rng(seed)
    strengths, loads = 110 * rng.weibull(5, 20), rng.uniform(80, 150, 20)
    stopped = strengths > loads
    seen = np.minimum(strengths, loads)
    data = stats.CensoredData.right_censored(seen, stopped)
    shape, _, scale = stats.weibull_min.fit(data, floc=0)
    found = fit_weibull(seen, stopped=stopped.astype(float))
    assert found.shape == independent(shape, way="scipy.stats fit of CensoredData", rel=1e-4)
    assert found.scale_n == independent(scale, way="scipy.stats fit of CensoredData", rel=1e-4)


def by_quadrature(strengths: NDArray[np.float64], stopped: NDArray[np.bool_], limit: float) -> float:
    """P(the strength that nine of ten exceed is below the limit), over ln scale and 1/shape, flat in the
    logarithms of both."""
    logs, broken = np.log(strengths), np.log(strengths[~stopped])
    amount = -np.log(0.9)

    def density(u: float, log_b: float) -> float:
        b = np.exp(log_b)
        likelihood = broken.size * log_b + (b * (broken - u)).sum() - np.exp(b * (logs - u)).sum()
        return float(np.exp(likelihood))

    def top(log_b: float) -> float:
        return float(np.log(limit) - np.log(amount) / np.exp(log_b))

    middle, spread = broken.mean(), 8.0
    ends = (-2.0, 2.5)
    options = {"epsabs": 0, "epsrel": 1e-7}
    part = integrate.dblquad(
        density, *ends, middle - spread, lambda y: min(top(y), middle + spread), **options
    )
    whole = integrate.dblquad(density, *ends, middle - spread, middle + spread, **options)
    return float(part[0] / whole[0])


@pytest.mark.parametrize("limit", [0.15, 0.4, 0.7])
def test_the_bound_of_b10_has_the_probability_of_a_double_integral(limit: float) -> None:
    strengths, stopped = np.array(AIRCRAFT), np.array(AIRCRAFT_STOPPED, dtype=bool)
    p = by_quadrature(strengths, stopped, limit)
    found = WeibullBounds.of(strengths, stopped).strength_quantile(0.1, p)
    assert found == independent(limit, way="quadrature over location and scale of the logs", rel=5e-5)


def test_bounds_are_those_of_the_simulated_pivots() -> None:
    """Over many samples the lower bound of the shape lies above the truth once in twenty (no stop: exact)."""
    rng = np.random.default_rng(8)
    none = np.zeros(4, dtype=bool)
    missed = [WeibullBounds.of(rng.weibull(3.0, 4), none).shape_quantile(0.05) > 3.0 for _ in range(600)]
    assert np.mean(missed) == independent(0.05, way="simulation, 4 standard errors", within=0.0355)


def test_the_share_below_and_the_strength_are_one_statement() -> None:
    found = fit_weibull(TEN, required_n=70)
    assert found.share_at_most is not None
    bounds = WeibullBounds.of(np.array(TEN, dtype=float), np.zeros(10, dtype=bool))
    back = bounds.strength_quantile(found.share_at_most, 0.05)
    assert back == independent(70.0, way="the strength whose lower bound is the requirement", rel=1e-6)


def test_points_stand_at_the_medians_of_their_ranks() -> None:
    found = fit_weibull(TEN)
    exact = [float(stats.beta.median(i, 11 - i)) for i in range(1, 11)]
    assert [one.position for one in found.points] == independent(exact, way="scipy.stats.beta", rel=1e-9)
    assert [one.strength_n for one in found.points] == sorted(TEN)


def test_a_stopped_pull_moves_the_ranks_above_it() -> None:
    """Johnson's adjusted ranks by hand: 1, then (6 - 1) / (1 + 3) = 1.25 more each."""
    found = fit_weibull([10, 20, 30, 40, 50], stopped=[0, 1, 0, 0, 0])
    ranks = [1, 2.25, 3.5, 4.75]
    exact = [float(stats.beta.median(rank, 6 - rank)) for rank in ranks]
    assert [one.position for one in found.points] == independent(exact, way="ranks by hand", rel=1e-9)


def test_the_line_runs_through_the_fit_and_its_bounds_hold_it() -> None:
    found = fit_weibull(TEN)
    assert found.shape is not None
    assert found.scale_n is not None
    for one in found.line:
        exact = stats.weibull_min.ppf(one.position, found.shape, scale=found.scale_n)
        assert one.strength_n == independent(float(exact), way="scipy.stats", rel=1e-9)
        assert one.interval.low < one.strength_n < one.interval.high


def test_where_no_pull_came_apart_there_is_a_bound_and_no_fit() -> None:
    found = fit_weibull([80] * 59, stopped=[1] * 59, required_n=70)
    assert (found.shape, found.scale_n, found.b10_n, found.points, found.line) == (None, None, None, (), ())
    exact = stats.beta.ppf(0.95, 1, 59)  # Clopper and Pearson's upper end for none of 59
    assert found.share_at_most == independent(float(exact), way="scipy.stats.beta", rel=1e-9)
    assert found.share_at_most == published(
        "0.05", source="59 without a failure show 95 % (zero-failure table)"
    )
    assert "no fit" in str(found.cautions[0])


def test_pulls_stopped_short_of_the_requirement_prove_nothing_of_it() -> None:
    assert fit_weibull([60.0] * 8, stopped=[1] * 8, required_n=70).share_at_most == 1.0


@pytest.mark.parametrize(
    ("strengths", "stopped"), [([100.0], None), ([100, 120, 130], [0, 1, 1]), ([90.0] * 6, None)]
)
def test_pulls_without_a_spread_are_refused_with_a_remedy(strengths: list[float], stopped: list[int]) -> None:
    with pytest.raises(NotEnoughData, match=r"pull|gauge"):
        fit_weibull(strengths, stopped=stopped)


def test_marks_that_do_not_belong_to_the_pulls_are_refused() -> None:
    with pytest.raises(ImpossibleInput, match="each of 3 pulls"):
        fit_weibull([90, 100, 110], stopped=[0, 1])
    with pytest.raises(ImpossibleInput, match="must be 0 or 1"):
        fit_weibull([90, 100, 110], stopped=[0, 0.5, 0])


def test_an_early_stop_is_said() -> None:
    assert any("approximate" in str(one) for one in fit_weibull(TEN, stopped=[0, 1, *[0] * 8]).cautions)
    assert fit_weibull(TEN).cautions == ()


def ends(found: WeibullFit) -> list[float]:
    pairs = (found.shape_interval, found.scale_interval, found.b10_interval)
    return [end for one in pairs if one is not None for end in (one.low, one.high)]


@law(examples=15, unit=st.sampled_from([1e-6, 0.2248, 9.81, 1e9]), seed=st.integers(0, 50))
def test_the_unit_does_not_matter(unit: float, seed: int) -> None:
    strengths = 100 * np.random.default_rng(seed).weibull(4, 8)
    plain, scaled = fit_weibull(strengths), fit_weibull(strengths * unit)
    assert ends(scaled) == pytest.approx(
        [*ends(plain)[:2], *(end * unit for end in ends(plain)[2:])], rel=1e-6
    )


@law(examples=15, power=st.sampled_from([0.25, 0.5, 2.0, 3.0]), seed=st.integers(0, 50))
def test_a_power_of_the_strengths_divides_the_shape(power: float, seed: int) -> None:
    strengths = np.random.default_rng(seed).weibull(4, 8)
    plain, raised = fit_weibull(strengths), fit_weibull(strengths**power)
    assert raised.shape == pytest.approx((plain.shape or 0) / power, rel=1e-8)
    wanted = [ends(plain)[0] / power, ends(plain)[1] / power, *(end**power for end in ends(plain)[2:])]
    assert ends(raised) == pytest.approx(wanted, rel=1e-4)


@law(examples=20, seed=st.integers(0, 200), load=st.floats(0.5, 1.5))
def test_a_pull_that_held_longer_never_lowers_the_scale(seed: int, load: float) -> None:
    strengths = np.random.default_rng(seed).weibull(4, 8)
    stopped = np.zeros(9)
    stopped[8] = 1
    short, long = (fit_weibull([*strengths, at], stopped=stopped).scale_n or 0 for at in (load, load * 1.2))
    assert long >= short


def test_the_order_of_the_pulls_does_not_matter() -> None:
    found, turned = (
        fit_weibull(NIST, stopped=NIST_STOPPED),
        fit_weibull(NIST[::-1], stopped=NIST_STOPPED[::-1]),
    )
    assert ends(turned) == pytest.approx(ends(found), rel=1e-9)
    assert [one.position for one in turned.points] == [one.position for one in found.points]


def test_b10_is_exceeded_by_nine_of_ten() -> None:
    found = fit_weibull(TEN)
    assert found.b10_n == strength_below(0.1, found.shape or 0, found.scale_n or 0)
    b10 = stats.weibull_min.isf(0.9, found.shape, scale=found.scale_n)
    assert found.b10_n == independent(float(b10), way="scipy.stats", rel=1e-9)

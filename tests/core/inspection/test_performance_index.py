"""The index and its bounds: printed examples, the noncentral t worked out anew, coverage, laws."""

from __future__ import annotations

from math import sqrt
from statistics import NormalDist, fmean, stdev

import numpy as np
import pytest
from hypothesis import strategies as st
from scipy import integrate, optimize, special, stats

from offtool.core.inspection import performance_index
from offtool.core.inspection.capability import index_bounds, index_values
from offtool.core.values import ImpossibleInput, NotEnoughData
from tests.core.laws import law
from tests.core.simulated import chance
from tests.labels import independent, published, remembered
from tests.published import numbers

HANDBOOK = "NIST/SEMATECH e-Handbook of Statistical Methods"


def upper_limit_index(index: float, parts: int, **how: float | int) -> tuple[float, float]:
    """Bounds of an index found against an upper limit only."""
    found = performance_index(0.0, 1.0, parts, upper=3 * index, **how)  # type: ignore[arg-type]
    return found.low, found.high


def test_the_handbook_example() -> None:
    found = performance_index(16.0, 2.0, 30, lower=8.0, upper=20.0)
    assert found.value == published("0.6667", source=f"{HANDBOOK}, 6.1.6")
    assert found.potential == published("1.0", source=f"{HANDBOOK}, 6.1.6")


def test_the_potential_of_a_textbook_example() -> None:
    found = performance_index(50.0, 1.75, 20, lower=38.0, upper=62.0)
    source = "Montgomery, Introduction to Statistical Quality Control, interval of Cp"
    assert found.potential == remembered("2.29", source=source)
    assert found.value == found.potential


def test_thirty_published_diameters() -> None:
    diameters = numbers("qif_diameters.txt")
    found = performance_index(fmean(diameters), stdev(diameters), 30, lower=1.8, upper=2.2)
    source = "QIF 2.1 sample, capability study with subgroups, summary statistics"
    assert found.mean == published("1.984466667", source=source)
    assert found.sd == published("0.078690898", source=source)
    by_hand = min(2.2 - 1.984466667, 1.984466667 - 1.8) / (3 * 0.078690898)
    assert found.value == independent(by_hand, way="by hand from the printed mean and deviation", rel=1e-8)


@pytest.mark.parametrize(
    ("parts", "share", "confidence", "factor"),
    [
        (10, 0.95, 0.95, remembered("2.911", source="one-sided factors 95/95, as in ISO 16269-6")),
        (30, 0.95, 0.95, remembered("2.220", source="one-sided factors 95/95, as in ISO 16269-6")),
        (100, 0.95, 0.95, remembered("1.927", source="one-sided factors 95/95, as in ISO 16269-6")),
        (10, 0.90, 0.95, remembered("2.355", source="MIL-HDBK-17, one-sided factors, B basis")),
        (10, 0.99, 0.95, remembered("3.981", source="MIL-HDBK-17, one-sided factors, A basis")),
        (43, 0.90, 0.99, remembered("1.8740", source=f"{HANDBOOK}, 7.2.6.3, from the noncentral t")),
    ],
)
def test_the_lower_bound_is_the_one_sided_tolerance_factor(
    parts: int, share: float, confidence: float, factor: object
) -> None:
    """At least `share` lies inside where C is at least z/3, so the index that just shows z/3 is k1/3."""
    shown = NormalDist().inv_cdf(share) / 3
    index = optimize.brentq(
        lambda c: upper_limit_index(c, parts, confidence=confidence)[0] - shown, shown, 20 * shown
    )
    assert 3 * index == factor


CASES = [
    (parts, index, freedom)
    for parts in (2, 5, 10, 30, 200)
    for index in (-0.4, 0.0, 0.67, 1.33, 2.5)
    for freedom in (parts - 1, 8 * (parts - 1))
]


# scipy's noncentral t gives NaN for some t below 0: there the quadrature below stands alone.
@pytest.mark.parametrize(("parts", "index", "freedom"), [case for case in CASES if case[1] >= 0])
def test_the_bounds_are_roots_of_the_noncentral_t(parts: int, index: float, freedom: int) -> None:
    scale = 3 * sqrt(parts)

    def root(tail: float) -> float:
        """Noncentrality, over `scale`, under which the index found is passed with probability 1 - tail."""
        t = scale * index
        # Wide enough for one degree of freedom, narrow enough for scipy's routine, which gives NaN far out.
        away = 3 * sqrt(1 + t**2 / (2 * freedom))
        span = max(t - away, -3.0), t + away
        found = optimize.brentq(lambda nc: stats.nct.cdf(t, freedom, nc) - tail, *span, xtol=1e-11)
        return found / scale

    low, high = upper_limit_index(index, parts, degrees_of_freedom=freedom)
    assert low == independent(root(0.95), way="root of scipy.stats.nct.cdf", rel=3e-6, within=1e-7)
    assert high == independent(root(0.05), way="root of scipy.stats.nct.cdf", rel=3e-6, within=1e-7)


@pytest.mark.parametrize(("parts", "index", "freedom"), CASES)
def test_the_bounds_hold_by_the_definition(parts: int, index: float, freedom: int) -> None:
    """P(index found <= index | true index) by quadrature over the standard deviation: no library t."""

    def not_above(true_index: float) -> float:
        constant = np.log(2) + freedom / 2 * np.log(freedom / 2) - special.gammaln(freedom / 2)

        def density(ratio: float) -> float:  # of s / sigma
            chi = np.exp(constant + (freedom - 1) * np.log(ratio) - freedom * ratio**2 / 2)
            return float(chi * special.ndtr(3 * sqrt(parts) * (index * ratio - true_index)))

        reach = 12 / sqrt(2 * freedom)
        top = sqrt(max(freedom - 1, 0.25) / freedom)
        span = max(top - reach, 1e-12), top + reach
        return float(integrate.quad(density, *span, points=[top], limit=400, epsabs=1e-12)[0])

    low, high = upper_limit_index(index, parts, degrees_of_freedom=freedom)
    assert not_above(low) == independent(0.95, way="quadrature of the definition", within=5e-6)
    assert not_above(high) == independent(0.05, way="quadrature of the definition", within=5e-6)


@pytest.mark.parametrize(("parts", "good_to"), [(30, 0.03), (100, 0.01), (1000, 0.001)])
def test_the_usual_approximation_is_met_within_what_it_is_good_for(parts: int, good_to: float) -> None:
    """Bissell 1990: C +- z sqrt(1 / 9n + C^2 / 2(n - 1)). 0.71635 to 1.28365 at 30 parts and C = 1."""
    reach = 1.959964 * sqrt(1 / (9 * parts) + 1 / (2 * (parts - 1)))
    if parts == 30:
        assert 1 - reach == remembered(
            "0.71635", source="Bissell 1990, Applied Statistics 39:331, worked out"
        )
    low, high = upper_limit_index(1.0, parts, confidence=0.975)
    assert low == pytest.approx(1 - reach, abs=good_to)
    assert high == pytest.approx(1 + reach, abs=good_to)


def test_beyond_the_exact_routine_the_bounds_go_on_smoothly() -> None:
    """Where t passes 1000 an approximation takes over; the two agree there to five digits."""
    parts = np.full(2, 100_000)
    index = np.array([0.999, 1.001]) * 1000 / (3 * sqrt(100_000))
    for found in index_bounds(index, parts, 99_999, 0.95, two_limits=False):
        assert found[1] / found[0] == pytest.approx(1.001 / 0.999, rel=1e-5)


DRAWS = 8_000


def drawn_bounds(
    true_mean: float, lower: float | None, upper: float | None, parts: int, cavities: int = 1
) -> tuple[np.ndarray, np.ndarray]:
    """Bounds found on seeded draws of normal parts with standard deviation 1."""
    rng = np.random.default_rng(20_26)
    freedom = cavities * (parts - 1)
    mean = true_mean + rng.normal(0, 1 / sqrt(parts), DRAWS)
    sd = np.sqrt(rng.chisquare(freedom, DRAWS) / freedom)
    index = index_values(mean, sd, lower, upper)
    both = lower is not None and upper is not None
    return index_bounds(index, np.full(DRAWS, parts), freedom, 0.95, two_limits=both)


@pytest.mark.parametrize("parts", [5, 30])
@pytest.mark.parametrize("cavities", [1, 8])
@pytest.mark.parametrize("true_index", [0.5, 1.33])
def test_with_one_limit_each_bound_covers_as_often_as_it_says(
    parts: int, cavities: int, true_index: float
) -> None:
    low, high = drawn_bounds(0.0, None, 3 * true_index, parts, cavities)
    assert np.mean(low <= true_index) == pytest.approx(0.95, abs=chance(0.95, DRAWS))
    assert np.mean(high >= true_index) == pytest.approx(0.95, abs=chance(0.95, DRAWS))


@pytest.mark.parametrize("parts", [5, 30])
@pytest.mark.parametrize("off_centre", [0.0, 0.3, 1.0])
def test_with_two_limits_each_bound_covers_at_least_as_often_as_it_says(
    parts: int, off_centre: float
) -> None:
    """Safe, and not wastefully: the lower bound misses 0.5 % at least, the upper 1 %."""
    low, high = drawn_bounds(off_centre, -4.0, 4.0, parts)
    true_index = (4.0 - off_centre) / 3
    assert 0.95 - chance(0.95, DRAWS) <= np.mean(low <= true_index) <= 0.995
    assert 0.95 - chance(0.95, DRAWS) <= np.mean(high >= true_index) <= 0.99


@law(
    mean=st.floats(-5, 5),
    sd=st.floats(0.01, 3),
    parts=st.integers(2, 200),
    scale=st.floats(0.01, 100),
    shift=st.floats(-1000, 1000),
)
def test_another_unit_and_another_zero_change_nothing(
    mean: float, sd: float, parts: int, scale: float, shift: float
) -> None:
    one = performance_index(mean, sd, parts, lower=-6, upper=7)
    other = performance_index(
        scale * mean + shift, scale * sd, parts, lower=-6 * scale + shift, upper=7 * scale + shift
    )
    expected = pytest.approx(
        [one.value, one.low, one.high], rel=1e-6, abs=1e-6 * (1 + abs(shift / scale / sd))
    )
    assert [other.value, other.low, other.high] == expected


@law(mean=st.floats(-5, 5), sd=st.floats(0.01, 3), parts=st.integers(2, 200))
def test_the_mirrored_size_has_the_same_index(mean: float, sd: float, parts: int) -> None:
    one = performance_index(mean, sd, parts, lower=-6, upper=7)
    other = performance_index(-mean, sd, parts, lower=-7, upper=6)
    assert (one.value, one.low, one.high) == (other.value, other.low, other.high)


@law(index=st.floats(0.05, 5), parts=st.integers(2, 500))
def test_more_parts_draw_both_bounds_in(index: float, parts: int) -> None:
    low, high = upper_limit_index(index, parts)
    nearer = upper_limit_index(index, parts + 1)
    assert low < nearer[0] < index < nearer[1] < high


@law(index=st.floats(0.05, 5), parts=st.integers(2, 500), confidence=st.floats(0.55, 0.98))
def test_more_confidence_drives_the_bounds_apart(index: float, parts: int, confidence: float) -> None:
    low, high = upper_limit_index(index, parts, confidence=confidence)
    surer = upper_limit_index(index, parts, confidence=confidence + 0.01)
    assert surer[0] < low < high < surer[1]


def test_very_many_parts_leave_only_the_index() -> None:
    low, high = upper_limit_index(1.33, 10**7)
    assert low == pytest.approx(1.33, abs=0.001)
    assert high == pytest.approx(1.33, abs=0.001)


def test_a_second_limit_far_away_does_not_move_the_lower_bound() -> None:
    near = performance_index(0.0, 1.0, 12, upper=4.0)
    both = performance_index(0.0, 1.0, 12, lower=-4000.0, upper=4.0)
    assert (near.value, near.low) == (both.value, both.low)
    assert both.high > near.high
    assert near.potential is None


def test_one_part_has_no_index_and_a_pooled_deviation_gives_it_one() -> None:
    with pytest.raises(NotEnoughData, match="one part shows no spread"):
        performance_index(4.0, 0.01, 1, lower=3.9)
    found = performance_index(4.0, 0.01, 1, lower=3.9, degrees_of_freedom=7)
    assert found.low < found.value < found.high


def test_a_refusal_does_not_carry_the_traces_of_earlier_ones() -> None:
    """An error object kept in the module grows with every raise, and holds what each caller had in hand."""

    def depth() -> int:
        with pytest.raises(NotEnoughData) as refused:
            performance_index(4.0, 0.01, 1, lower=3.9)
        trace, steps = refused.value.__traceback__, 0
        while trace is not None:
            trace, steps = trace.tb_next, steps + 1
        return steps

    assert depth() == depth()


@pytest.mark.parametrize(
    ("given_", "argument", "limit"),
    [
        ({"sd": 0.0, "lower": 1.0}, "sd", "must be above 0"),
        ({"lower": 2.0, "upper": 1.0}, "lower", "must be below the upper limit 1"),
        ({"lower": 1.0, "upper": 1.0}, "lower", "must be below the upper limit 1"),
        ({}, "limits", "at least one limit"),
        ({"lower": 1.0, "confidence": 1.0}, "confidence", "must be below 1"),
        ({"lower": 1.0, "parts": 0}, "parts", "must be at least 1"),
        ({"lower": float("nan")}, "lower", "must be a finite number"),
    ],
)
def test_the_impossible_is_refused_by_name(given_: dict[str, float], argument: str, limit: str) -> None:
    with pytest.raises(ImpossibleInput, match=limit) as refused:
        performance_index(**{"mean": 1.5, "sd": 0.1, "parts": 5, **given_})  # type: ignore[arg-type]
    assert refused.value.argument == argument


def test_an_enormous_index_is_answered_at_once() -> None:
    """The exact routine counts up to t: at an index of 1e8 it would count for minutes and never come back."""
    low, high = upper_limit_index(1e5, 10)
    assert low < 1e5 < high

"""Tolerance intervals: printed factors, the definition integrated the other way round, laws, bad input."""

from __future__ import annotations

from math import exp, inf, log, sqrt

import numpy as np
import pytest
from hypothesis import strategies as st
from scipy import integrate, optimize, special, stats

from offtool.core.inspection.tolerance import (
    chance_below,
    one_sided_factor,
    tolerance_factor,
    tolerance_interval,
)
from offtool.core.values import ImpossibleInput, NotEnoughData
from tests.core.laws import law
from tests.labels import Expected, independent, published, remembered

HANDBOOK = "NIST/SEMATECH e-Handbook 7.2.6.3"
ODEH = "Odeh and Owen 1980, exact two-sided factors 95/95, as in ISO 16269-6"
ONE = "one-sided factors 95/95, as in ISO 16269-6"
WILKS = "Wilks 1942; the usual table of parts for distribution-free intervals"


@pytest.mark.parametrize(
    ("parts", "printed"),
    [
        (2, "36.519"),
        (3, "9.789"),
        (4, "6.341"),
        (5, "5.077"),
        (6, "4.422"),
        (7, "4.020"),
        (8, "3.746"),
        (9, "3.546"),
        (10, "3.393"),
        (30, "2.555"),
        (100, "2.234"),
    ],
)
def test_two_sided_factors_are_the_printed_exact_ones(parts: int, printed: str) -> None:
    assert tolerance_factor(parts, share=0.95).factor == remembered(printed, source=ODEH)


@pytest.mark.parametrize(
    ("parts", "share", "confidence", "expected"),
    [
        (10, 0.95, 0.95, remembered("2.911", source=ONE)),
        (30, 0.95, 0.95, remembered("2.220", source=ONE)),
        (100, 0.95, 0.95, remembered("1.927", source=ONE)),
        (43, 0.90, 0.99, remembered("1.8740", source=f"{HANDBOOK}, from the noncentral t")),
        # R 4.2.2: qt(confidence, n - 1, ncp = sqrt(n) * qnorm(share)) / sqrt(n)
        (5, 0.99, 0.95, independent(5.741084517, way="R, qt with ncp")),
        (10, 0.90, 0.90, independent(2.06566832, way="R, qt with ncp")),
        (30, 0.999, 0.99, independent(4.507698032, way="R, qt with ncp", rel=1e-8)),
    ],
)
def test_one_sided_factors(parts: int, share: float, confidence: float, expected: Expected) -> None:
    for sides in ("below", "above"):
        found = tolerance_factor(parts, share=share, confidence=confidence, sides=sides)  # type: ignore[arg-type]
        assert found.factor == expected


def howe(parts: int, share: float, confidence: float) -> float:
    """z sqrt((n - 1)(1 + 1/n) / chi2), the approximation that the handbook prints."""
    z, chi = stats.norm.ppf((1 + share) / 2), stats.chi2.ppf(1 - confidence, parts - 1)
    return float(z * sqrt((parts - 1) * (1 + 1 / parts) / chi))


def test_the_handbook_example_lies_where_its_approximation_says() -> None:
    assert howe(43, 0.90, 0.99) == published("2.217", source=HANDBOOK)
    readings = np.array([-1.0] * 21 + [0.0] + [1.0] * 21)
    readings = 97.07 + 0.0268 * readings / readings.std(ddof=1)
    found = tolerance_interval(readings, share=0.90, confidence=0.99)
    low, high = (published(printed, source=HANDBOOK) for printed in ("97.0106", "97.1294"))
    approximate = howe(43, 0.90, 0.99)
    assert (found.mean - approximate * found.sd, found.mean + approximate * found.sd) == (low, high)
    assert found.interval.half_width == pytest.approx(approximate * 0.0268, rel=0.003)
    assert found.interval.half_width > approximate * 0.0268


@pytest.mark.parametrize("share", [0.90, 0.95, 0.99])
@pytest.mark.parametrize("confidence", [0.90, 0.95, 0.99])
def test_howes_approximation_is_met_ever_better(share: float, confidence: float) -> None:
    for parts, good_to in ((10, 0.03), (50, 0.006), (1000, 0.001)):
        found = tolerance_factor(parts, share=share, confidence=confidence).factor
        assert howe(parts, share, confidence) == pytest.approx(found, rel=good_to)


@pytest.mark.parametrize("parts", [2, 5, 30, 400])
@pytest.mark.parametrize("times", [1, 500])
@pytest.mark.parametrize(("share", "confidence"), [(0.5, 0.6), (0.95, 0.95), (0.999, 0.99)])
def test_two_ends_hold_the_share_by_the_definition(
    parts: int, times: int, share: float, confidence: float
) -> None:
    """The integral the other way round: over s, how far the mean may lie off for the share still to fit."""
    freedom = times * (parts - 1)
    k = tolerance_factor(parts, share=share, confidence=confidence, degrees_of_freedom=freedom).factor

    def room(reach: float) -> float:
        """How far from the true mean an interval of this reach may stand."""

        def content(off: float) -> float:
            return float(special.ndtr(off + reach) - special.ndtr(off - reach)) - share

        return 0.0 if content(0) <= 0 else optimize.brentq(content, 0, reach + 40)

    constant = log(2) + freedom / 2 * log(freedom / 2) - special.gammaln(freedom / 2)

    def held(s: float) -> float:
        density = exp(constant + (freedom - 1) * log(s) - freedom * s**2 / 2)
        return float((2 * special.ndtr(sqrt(parts) * room(k * s)) - 1) * density)

    least = stats.norm.ppf((1 + share) / 2) / k
    most = sqrt(stats.chi2.isf(1e-13, freedom) / freedom)
    middle = [s for s in (least * 1.001, 1 - 2 / sqrt(2 * freedom), 1.0) if least < s < most]
    total = integrate.quad(held, least, most, points=middle, limit=300, epsabs=1e-7)[0]
    assert total == independent(confidence, way="quadrature over the deviation", within=3e-6)


# scipy's noncentral t gives NaN for a noncentrality beyond 30: a thousand parts only for small shares.
@pytest.mark.parametrize(
    ("parts", "share"),
    [(1, 0.5), (1, 0.9999), (3, 0.9), (3, 0.9999), (50, 0.5), (50, 0.99), (1000, 0.5), (1000, 0.8)],
)
@pytest.mark.parametrize("freedom", [1, 4, 100, 10_000])
def test_one_end_is_a_quantile_of_the_noncentral_t(parts: int, share: float, freedom: int) -> None:
    k = tolerance_factor(
        parts, share=share, confidence=0.95, sides="above", degrees_of_freedom=freedom
    ).factor
    reached = stats.nct.cdf(k * sqrt(parts), freedom, sqrt(parts) * stats.norm.ppf(share))
    assert reached == independent(0.95, way="scipy.stats.nct.cdf", within=1e-9)


@law(t=st.floats(0.1, 20), shift=st.floats(-5, 20), freedom=st.integers(2, 200))
def test_the_quadrature_is_the_noncentral_t(t: float, shift: float, freedom: int) -> None:
    """Beside scipy.stats.nct.sf, whose own digits end about there."""
    expected = pytest.approx(stats.nct.sf(t, freedom, shift), rel=1e-5, abs=1e-9)
    assert chance_below(t, shift, 1, freedom) == expected


@pytest.mark.parametrize(
    ("share", "confidence", "sides", "parts"),
    [
        (0.95, 0.95, "both", remembered("93", source=WILKS)),
        (0.99, 0.95, "both", remembered("473", source=WILKS)),
        (0.95, 0.90, "both", remembered("77", source=WILKS)),
        (0.90, 0.95, "both", remembered("46", source=WILKS)),
        (0.95, 0.95, "above", remembered("59", source=WILKS)),
        (0.99, 0.95, "below", remembered("299", source=WILKS)),
    ],
)
def test_so_many_parts_reach_it_without_a_distribution(
    share: float, confidence: float, sides: str, parts: Expected
) -> None:
    how = {"share": share, "confidence": confidence, "sides": sides, "method": "distribution-free"}
    needed = tolerance_interval([1.0, 2.0, 3.0], **how).parts_needed  # type: ignore[arg-type]
    assert needed == parts
    assert needed is not None
    enough = tolerance_interval(np.arange(needed), **how)  # type: ignore[arg-type]
    assert enough.attained >= confidence
    assert enough.cautions == ()
    assert enough.low_rank == (None if sides == "above" else 1)
    assert enough.high_rank == (None if sides == "below" else needed)
    one_fewer = tolerance_interval(np.arange(needed - 1), **how)  # type: ignore[arg-type]
    assert (one_fewer.interval.low, one_fewer.interval.high) == (-inf, inf)
    assert one_fewer.attained < confidence
    assert str(needed) in one_fewer.cautions[0].text


@law(parts=st.integers(93, 3000), sides=st.sampled_from(["both", "below", "above"]))
def test_the_ranks_are_the_deepest_that_hold_it(parts: int, sides: str) -> None:
    """The share between order statistics is beta: their count is binomial (scipy.stats.binom)."""
    found = tolerance_interval(np.arange(parts), share=0.95, sides=sides, method="distribution-free")  # type: ignore[arg-type]
    ends = 2 if sides == "both" else 1
    rank = found.low_rank or parts + 1 - (found.high_rank or 0)
    attained = stats.binom.cdf(parts - ends * rank, parts, 0.95)
    assert found.attained == independent(attained, way="scipy.stats.binom")
    assert found.attained >= 0.95
    assert stats.binom.cdf(parts - ends * (rank + 1), parts, 0.95) < 0.95
    if sides == "both":
        assert found.low_rank == parts + 1 - (found.high_rank or 0)


samples = st.lists(st.integers(-400, 400), min_size=3, max_size=30).filter(lambda some: len(set(some)) > 1)


@law(some=samples, scale=st.floats(0.01, 100), shift=st.floats(-1000, 1000))
def test_another_unit_and_another_zero_move_it_along(some: list[int], scale: float, shift: float) -> None:
    readings = np.array(some) / 100
    for method in ("normal", "distribution-free"):
        one = tolerance_interval(readings, share=0.6, method=method)  # type: ignore[arg-type]
        other = tolerance_interval(scale * readings + shift, share=0.6, method=method)  # type: ignore[arg-type]
        for end in ("low", "high"):
            expected = scale * getattr(one.interval, end) + shift
            assert getattr(other.interval, end) == pytest.approx(expected, rel=1e-9, abs=1e-9 * abs(shift))


@law(some=samples)
def test_the_mirrored_size_has_the_mirrored_interval(some: list[int]) -> None:
    readings = np.array(some, dtype=float)
    for method in ("normal", "distribution-free"):
        for sides, mirrored in (("both", "both"), ("below", "above")):
            one = tolerance_interval(readings, share=0.6, sides=sides, method=method)  # type: ignore[arg-type]
            other = tolerance_interval(-readings, share=0.6, sides=mirrored, method=method)  # type: ignore[arg-type]
            assert other.interval.high == pytest.approx(-one.interval.low)
            assert other.interval.low == pytest.approx(-one.interval.high)


@law(parts=st.integers(2, 500), share=st.floats(0.5, 0.99), confidence=st.floats(0.55, 0.98))
def test_more_parts_need_less_and_more_share_or_confidence_need_more(
    parts: int, share: float, confidence: float
) -> None:
    for sides in ("both", "above"):

        def factor(n: int, p: float, c: float, sides: str = sides) -> float:
            return tolerance_factor(n, share=p, confidence=c, sides=sides).factor  # type: ignore[arg-type]

        k = factor(parts, share, confidence)
        assert factor(parts, share + 0.005, confidence) > k
        assert factor(parts, share, confidence + 0.01) > k
        # Towards its limit z the factor falls, unless it is asked so little that it may rise.
        if confidence > 0.8 and share > 0.8:
            assert factor(parts + 1, share, confidence) < k
    assert tolerance_factor(parts, share=share, confidence=confidence).factor > 0


@pytest.mark.parametrize("share", [0.5, 0.9, 0.9973])
def test_very_many_parts_leave_only_the_normal_quantile(share: float) -> None:
    both = tolerance_factor(10**9, share=share).factor
    assert both == pytest.approx(stats.norm.ppf((1 + share) / 2), rel=1e-4)
    assert tolerance_factor(10**9, share=share, sides="above").factor == pytest.approx(
        stats.norm.ppf(share), abs=1e-3
    )


def test_a_known_deviation_leaves_only_the_mean_to_be_unsure_of() -> None:
    k = tolerance_factor(9, share=0.95, sides="above", degrees_of_freedom=10**8).factor
    assert k == pytest.approx(stats.norm.ppf(0.95) * (1 + 1 / 3), abs=1e-4)


def test_one_end_leaves_the_other_open() -> None:
    below = tolerance_interval([1.0, 2.0, 3.0, 4.0], sides="below")
    assert below.interval.high == inf
    assert below.interval.low == pytest.approx(2.5 - tolerance_factor(4, sides="below").factor * below.sd)
    above = tolerance_interval([1.0, 2.0, 3.0, 4.0], sides="above")
    assert above.interval.low == -inf


def test_equal_readings_are_answered_with_a_caution() -> None:
    found = tolerance_interval([4.01] * 6)
    assert (found.interval.low, found.interval.high) == (4.01, 4.01)
    assert "too coarse" in found.cautions[0].text


def test_too_few_readings_are_refused_in_words() -> None:
    with pytest.raises(NotEnoughData, match="no readings"):
        tolerance_interval([])
    with pytest.raises(NotEnoughData, match="one part shows no spread"):
        tolerance_interval([4.0])
    with pytest.raises(NotEnoughData, match="one part shows no spread"):
        tolerance_factor(1)
    assert tolerance_factor(1, degrees_of_freedom=7).factor > 0
    assert tolerance_interval([4.0], method="distribution-free").attained == 0.0


@pytest.mark.parametrize(("argument", "bad"), [("share", 0.4), ("share", 1.0), ("confidence", 1.0)])
def test_the_impossible_is_refused_by_name(argument: str, bad: float) -> None:
    with pytest.raises(ImpossibleInput) as refused:
        tolerance_factor(5, **{argument: bad})  # type: ignore[arg-type]
    assert refused.value.argument == argument


def test_a_factor_lies_beyond_the_quantile_it_stands_for() -> None:
    assert one_sided_factor(3.0, 5, 4, 0.95) > 3.0

"""Linearity of a gauge: the digits of NIST, R, the band, laws, bad input."""

from __future__ import annotations

from math import sqrt

import numpy as np
import pytest
from hypothesis import strategies as st
from scipy import stats

from offtool.core.inspection.gauge import LinearityStudy, gauge_linearity
from offtool.core.values import ImpossibleInput, Interval, NotEnoughData
from tests.core.laws import law
from tests.core.simulated import chance
from tests.labels import independent, published
from tests.published import strd

NORRIS = "NIST StRD, linear regression, Norris, certified values"
READ = [2.01, 2.00, 4.02, 4.01, 6.02, 6.03, 8.03, 8.05, 10.04, 10.06]
KNOWN = [2.0, 2.0, 4.0, 4.0, 6.0, 6.0, 8.0, 8.0, 10.0, 10.0]


def norris() -> LinearityStudy:
    """Readings y of ozone references x; bias is y - x, so that the slope is one less."""
    y, x = strd("Norris")
    return gauge_linearity([float(one) for one in y], x)


def ends(interval: Interval | None) -> list[float]:
    assert interval is not None
    return [interval.low, interval.high]


def test_the_certified_digits_of_norris() -> None:
    found = norris()
    way = f"{NORRIS}, all digits but what the difference of two readings takes"
    assert found.slope.value + 1 == independent(1.00211681802045, way=way, rel=1e-12)
    assert found.slope.standard_error == independent(0.429796848199937e-3, way=way, rel=1e-9)
    assert found.intercept.value == independent(-0.262323073774029, way=way, rel=1e-9)
    assert found.intercept.standard_error == independent(0.232818234301152, way=way, rel=1e-9)
    assert found.residual_sd == independent(0.884796396144373, way=way, rel=1e-9)
    assert found.residual_sd == published("0.8847963961", source=NORRIS)
    assert found.freedom == 34


def test_the_line_is_that_of_r() -> None:
    """R 4.2: m <- lm(I(y-x) ~ x); confint(m); summary(m)."""
    found = gauge_linearity(READ, KNOWN)
    assert found.slope.value == independent(0.00575, way="R lm", rel=1e-9)
    assert found.slope.p == independent(0.000283246482736, way="R lm", rel=1e-8)
    assert ends(found.slope.interval) == independent(
        [0.00358332227411, 0.00791667772589], way="R confint", rel=1e-8
    )
    assert ends(found.intercept.interval) == independent(
        [-0.02187211411681, 0.00687211411681], way="R confint", rel=1e-8
    )
    assert found.intercept.p == independent(0.263230407591569, way="R lm", rel=1e-8)
    assert found.residual_sd == independent(0.00840386815699, way="R summary", rel=1e-8)


def test_lack_of_fit_and_no_bias_at_all_are_the_f_tests_of_r() -> None:
    """R 4.2: anova(m, lm(I(y-x) ~ factor(x))); anova(lm(I(y-x) ~ 0), m)."""
    found = gauge_linearity(READ, KNOWN)
    assert found.lack_of_fit_p == independent(0.98566, way="R anova", within=5e-6)
    assert found.zero_p == independent(8.3837e-06, way="R anova", rel=1e-5)
    assert found.bias_shown


def test_the_band_is_that_of_working_and_hotelling() -> None:
    """R 4.2: predict(m, data.frame(x=c(2,6,10)), se.fit=TRUE)$se.fit * sqrt(2*qf(.95,2,8))."""
    points = {one.reference: one for one in gauge_linearity(READ, KNOWN).points}
    for at, reach in ((2.0, 0.01374586695361), (6.0, 0.00793617998591), (10.0, 0.01374586695361)):
        low, high = ends(points[at].band)
        assert (high - low) / 2 == independent(reach, way="R predict", rel=1e-8)
        assert (high + low) / 2 == pytest.approx(points[at].line_bias)


@law(seed=st.integers(0, 9999), examples=40)
def test_zero_leaves_the_band_somewhere_exactly_where_the_line_of_zero_is_refuted(seed: int) -> None:
    """The band over very many sizes stands in for the band over all."""
    rng = np.random.default_rng(seed)
    x = np.repeat([1.0, 2.0, 3.0, 4.0], 3)
    y = x + rng.normal(0.02 * rng.normal(), 0.03, 12)
    found = gauge_linearity(y, x)
    at = np.concatenate([np.linspace(-60, 60, 20001), [1e6, -1e6]])
    line = found.intercept.value + found.slope.value * at
    error = found.residual_sd * np.sqrt(1 / 12 + (at - 2.5) ** 2 / ((x - 2.5) ** 2).sum())
    outside = bool((np.abs(line) > sqrt(2 * stats.f.ppf(0.95, 2, 10)) * error).any())
    near = found.zero_p is not None and abs(found.zero_p - 0.05) < 1e-3
    assert near or outside is found.bias_shown


def test_the_band_holds_at_all_references_together_as_often_as_it_says() -> None:
    rng = np.random.default_rng(1929)
    x = np.repeat([1.0, 2.0, 3.0, 4.0, 5.0], 4)
    draws, missed = 1500, 0
    for _ in range(draws):
        found = gauge_linearity(1.01 * x - 0.02 + rng.normal(0, 0.05, 20), x)
        missed += not all(
            one.band is not None and 0.01 * one.reference - 0.02 in one.band for one in found.points
        )
    assert 0.95 - chance(0.95, draws) <= 1 - missed / draws <= 0.97 + chance(0.95, draws)


@law(seed=st.integers(0, 9999), tilt=st.floats(-0.1, 0.1), shift=st.floats(-5, 5), examples=30)
def test_a_tilt_and_a_shift_of_the_readings_move_slope_and_intercept_by_as_much(
    seed: int, tilt: float, shift: float
) -> None:
    x = np.repeat([1.0, 2.0, 3.0, 4.0], 3)
    y = x + np.random.default_rng(seed).normal(0, 0.03, 12)
    one, other = gauge_linearity(y, x), gauge_linearity(y + tilt * x + shift, x)
    assert other.slope.value == pytest.approx(one.slope.value + tilt, abs=1e-9)
    assert other.intercept.value == pytest.approx(one.intercept.value + shift, abs=1e-9)
    assert other.residual_sd == pytest.approx(one.residual_sd)
    assert other.lack_of_fit_p == pytest.approx(one.lack_of_fit_p, rel=1e-6, abs=1e-9)


@law(seed=st.integers(0, 9999), scale=st.floats(0.01, 100), examples=30)
def test_another_unit_leaves_the_slope_and_scales_the_rest(seed: int, scale: float) -> None:
    x = np.repeat([1.0, 2.0, 3.0, 4.0], 3)
    y = x + np.random.default_rng(seed).normal(0, 0.03, 12)
    one = gauge_linearity(y, x, tolerance=2.0)
    other = gauge_linearity(scale * y, scale * x, tolerance=2.0 * scale)
    assert other.slope.value == pytest.approx(one.slope.value, rel=1e-6, abs=1e-10)
    assert other.residual_sd == pytest.approx(scale * one.residual_sd, rel=1e-6)
    assert other.zero_p == pytest.approx(one.zero_p, rel=1e-5)
    assert other.worst_of_tolerance == pytest.approx(one.worst_of_tolerance)


def test_the_worst_bias_is_named_with_its_reference() -> None:
    found = gauge_linearity(READ, KNOWN, tolerance=0.5)
    assert found.worst.reference == 10.0
    assert found.worst.mean_bias == pytest.approx(0.05)
    assert found.worst_of_tolerance == pytest.approx(0.1)


def test_a_bent_gauge_is_said_to_be_no_line() -> None:
    x = np.repeat([1.0, 2.0, 3.0, 4.0, 5.0], 4)
    y = x + 0.05 * (x - 3) ** 2 + np.tile([0.001, -0.001, 0.002, -0.002], 5)
    found = gauge_linearity(y, x)
    assert found.lack_of_fit_p is not None
    assert found.lack_of_fit_p < 1e-6
    assert any("a straight line does not fit" in str(caution) for caution in found.cautions)


def test_readings_exactly_on_a_line_have_no_band_and_a_caution() -> None:
    found = gauge_linearity([2.1, 2.1, 4.1, 6.1], [2.0, 2.0, 4.0, 6.0])
    assert found.residual_sd == 0
    assert found.points[0].band is None
    assert found.bias_shown
    assert any("too coarse" in str(caution) for caution in found.cautions)
    assert not gauge_linearity([2.0, 4.0, 6.0], [2.0, 4.0, 6.0]).bias_shown


@pytest.mark.parametrize(("values", "references"), [([1.0, 2.0], [1.0, 2.0]), ([1.0, 1.1, 1.2], [1.0] * 3)])
def test_too_few_readings_or_references_are_refused(values: list[float], references: list[float]) -> None:
    with pytest.raises(NotEnoughData, match="show no line"):
        gauge_linearity(values, references)


def test_lists_of_unequal_length_are_refused() -> None:
    with pytest.raises(ImpossibleInput, match="must give one for each of 3 readings"):
        gauge_linearity([1.0, 2.0, 3.0], [1.0, 2.0])

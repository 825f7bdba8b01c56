"""What a toolmaker's cuts have shown: the posterior by quadrature, limits, and many cuts."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import strategies as st
from scipy import integrate, stats

from offtool.core.correction import estimate_cutting
from offtool.core.values import ImpossibleInput
from tests.core.laws import law
from tests.labels import independent

ASKED, REMOVED = [0.03, 0.05, 0.04], [0.024, 0.046, 0.033]


def test_nothing_seen_gives_back_what_is_usual() -> None:
    found = estimate_cutting([], [], usual_sd_mm=0.006)
    assert (found.bias_mm, found.sd_mm, found.cuts) == (0.0, pytest.approx(0.006), 0)
    assert found.bias_uncertainty_mm == pytest.approx(0.8 * 0.006)


def test_the_bias_is_the_posterior_mean_of_a_normal() -> None:
    """By quadrature: prior N(0, 0.8 s), each cut N(bias, sqrt(s^2 + u^2)), s as found."""
    found = estimate_cutting(ASKED, REMOVED, measuring_sd_mm=0.003)
    extra = np.subtract(REMOVED, ASKED)

    def weight(bias: float) -> float:
        likelihood = stats.norm.pdf(extra, bias, np.hypot(found.sd_mm, 0.003)).prod()
        return float(likelihood * stats.norm.pdf(bias, 0, 0.8 * found.sd_mm)) * 1e-6

    def moment(power: int) -> float:
        return float(integrate.quad(lambda b: b**power * weight(b), -0.05, 0.05, points=[0.0], limit=200)[0])

    mean = moment(1) / moment(0)
    variance = moment(2) / moment(0) - mean**2
    assert found.bias_mm == independent(mean, way="quadrature of prior times likelihood", rel=1e-6)
    assert found.bias_uncertainty_mm == independent(variance**0.5, way="the same", rel=1e-5)


def test_the_spread_is_pooled_with_four_imagined_cuts_of_the_usual_one() -> None:
    """Exact fractions of micrometres: extras -6, -4, -7 about -17/3; measuring 3; usual 5."""
    extra = [Fraction(-6), Fraction(-4), Fraction(-7)]
    mean = sum(extra) / 3
    squares = sum((one - mean) ** 2 for one in extra) - 2 * Fraction(9)
    variance = (4 * Fraction(25) + max(squares, Fraction(0))) / (4 + 2)
    found = estimate_cutting(ASKED, REMOVED, measuring_sd_mm=0.003, usual_sd_mm=0.005)
    assert found.sd_mm == independent(float(variance) ** 0.5 / 1000, way="exact fractions", rel=1e-9)
    assert found.freedom == 6


@pytest.mark.parametrize(("bias", "sd"), [(-0.004, 0.003), (0.0, 0.012), (0.006, 0.007)])
def test_many_cuts_show_the_toolmaker_as_he_is(bias: float, sd: float) -> None:
    rng = np.random.default_rng(12)
    asked = rng.uniform(0.01, 0.1, 3000)
    removed = asked + rng.normal(bias, sd, 3000) + rng.normal(0, 0.004, 3000)
    found = estimate_cutting(asked, removed, measuring_sd_mm=0.004)
    assert found.bias_mm == pytest.approx(bias, abs=0.0007)
    assert found.sd_mm == pytest.approx(sd, rel=0.06)
    assert found.bias_uncertainty_mm < 0.0003


def test_the_stated_bias_uncertainty_is_honest() -> None:
    """Toolmakers drawn as the prior says: nine in ten true biases lie within 1.645 uncertainties."""
    rng = np.random.default_rng(7)
    inside = 0
    for _ in range(1500):
        bias = rng.normal(0, 0.8 * 0.005)
        asked = rng.uniform(0.01, 0.1, 6)
        removed = asked + rng.normal(bias, 0.005, 6) + rng.normal(0, 0.004, 6)
        found = estimate_cutting(asked, removed)
        inside += abs(found.bias_mm - bias) <= 1.645 * found.bias_uncertainty_mm
    assert inside / 1500 == pytest.approx(0.9, abs=0.04)


def test_a_toolmaker_who_first_cut_truly_is_expected_to_go_on() -> None:
    true = estimate_cutting([], [], first_cuts_mm=[0.002, -0.003, 0.001, -0.002] * 5)
    wild = estimate_cutting([], [], first_cuts_mm=[0.02, -0.03, 0.01, -0.02] * 5)
    assert true.sd_mm < 0.005 < wild.sd_mm
    assert estimate_cutting([], [], first_cuts_mm=[0.05]).sd_mm == pytest.approx(0.005)


def test_many_first_cuts_leave_six_tenths_of_their_spread() -> None:
    first = np.random.default_rng(3).normal(0, 0.02, 4000)
    found = estimate_cutting([], [], first_cuts_mm=first, measuring_sd_mm=0.0)
    assert found.sd_mm == pytest.approx(0.6 * 0.02, rel=0.05)  # a median of 4000 is good to about 2 %


def test_one_drawn_size_entered_wrongly_does_not_make_the_toolmaker_wild() -> None:
    """Twenty features cut to 0.005, and one whose drawing was misread by a millimetre: with a deviation of
    0.1 no cut of the whole tool would be dared any more."""
    first = [*np.random.default_rng(1).normal(0, 0.005, 20), 1.0]
    assert estimate_cutting([], [], first_cuts_mm=first).sd_mm < 0.01


cuts = st.lists(st.tuples(st.floats(0.005, 0.2), st.floats(-0.02, 0.02)), min_size=1, max_size=12)


@law(made=cuts)
def test_the_bias_is_pulled_towards_none_and_never_past_it(made: list[tuple[float, float]]) -> None:
    found = estimate_cutting([a for a, _ in made], [a + e for a, e in made])
    mean = float(np.mean([e for _, e in made]))
    assert abs(found.bias_mm) <= abs(mean) + 1e-12
    assert found.bias_mm * mean >= -1e-18


@law(made=cuts)
def test_a_toolmaker_who_errs_the_other_way_has_the_other_bias(made: list[tuple[float, float]]) -> None:
    one = estimate_cutting([a for a, _ in made], [a + e for a, e in made])
    other = estimate_cutting([a for a, _ in made], [a - e for a, e in made])
    assert other.bias_mm == pytest.approx(-one.bias_mm, abs=1e-12)
    assert other.sd_mm == pytest.approx(one.sd_mm)


def test_a_toolmaker_said_to_be_exact_has_no_bias() -> None:
    """A usual deviation of zero is allowed, so it must have an answer."""
    found = estimate_cutting([], [], usual_sd_mm=0.0)
    assert (found.bias_mm, found.bias_uncertainty_mm, found.sd_mm) == (0.0, 0.0, 0.0)


def test_each_cut_must_have_been_measured_again() -> None:
    with pytest.raises(ImpossibleInput, match=r"asked_mm|removed_mm"):
        estimate_cutting([0.03, 0.04], [0.03])

"""Whether a trial confirms a prediction: all outcomes, how often a true one is refuted, intervals of sums."""

from __future__ import annotations

from math import inf, sqrt

import numpy as np
import pytest
from hypothesis import strategies as st
from scipy import stats

from offtool.core.correction import Outcome, judge_prediction, predicted_interval
from offtool.core.values import ImpossibleInput
from tests.core.laws import law
from tests.core.simulated import chance
from tests.labels import independent


@pytest.mark.parametrize(
    ("found", "uncertainty", "outcome"),
    [
        (4.003, 0.002, Outcome.CONFIRMED),
        (4.012, 0.002, Outcome.CONFIRMED),  # 9 off, 1.96 * 6.3 = 12.4 allowed
        (4.020, 0.002, Outcome.REFUTED),
        (3.985, 0.002, Outcome.REFUTED),
        (4.003, 0.007, Outcome.UNDECIDED),  # found less sharply than predicted
        (4.040, 0.007, Outcome.REFUTED),
    ],
)
def test_the_three_outcomes(found: float, uncertainty: float, outcome: Outcome) -> None:
    assert judge_prediction(4.003, 0.006, found, uncertainty).outcome is outcome


def test_the_difference_is_judged_by_both_uncertainties() -> None:
    judged = judge_prediction(4.003, 0.006, 4.009, 0.0015)
    assert judged.difference == pytest.approx(0.006)
    assert judged.z == independent(0.006 / 0.006, way="the prediction allows for the sampling")
    blunt = judge_prediction(4.003, 0.006, 4.009, 0.008)
    assert blunt.z == independent(0.006 / sqrt(0.006**2 + 0.008**2), way="by hand")


@pytest.mark.parametrize("uncertainty", [0.0, 0.001, 0.004])
def test_a_right_prediction_is_refuted_once_in_twenty(uncertainty: float) -> None:
    """The prediction's deviation includes the sampling of the trial that judges it, as its range says: what
    is found then lies that far from what was predicted, and no farther."""
    rng = np.random.default_rng(21)
    draws = 4000
    found = rng.normal(4.0, 0.006, draws)
    refuted = sum(
        judge_prediction(4.0, 0.006, float(one), uncertainty).outcome is Outcome.REFUTED for one in found
    )
    assert refuted / draws == pytest.approx(0.05, abs=chance(0.05, draws))


@law(
    off=st.floats(-0.05, 0.05),
    sd=st.floats(0.001, 0.02),
    uncertainty=st.floats(0, 0.02),
    scale=st.floats(0.01, 100),
    shift=st.floats(-10, 10),
)
def test_unit_zero_and_side_do_not_matter(
    off: float, sd: float, uncertainty: float, scale: float, shift: float
) -> None:
    one = judge_prediction(0.0, sd, off, uncertainty)
    other = judge_prediction(shift, scale * sd, shift - scale * off, scale * uncertainty)
    assert other.z == pytest.approx(-one.z, abs=1e-6)
    if abs(abs(one.z) - 1.959964) > 1e-5 and abs(sd - uncertainty) > 1e-12:
        assert one.outcome is other.outcome


def test_more_confidence_refutes_less() -> None:
    assert judge_prediction(0, 1, 2.2, 0, confidence=0.95).outcome is Outcome.REFUTED
    assert judge_prediction(0, 1, 2.2, 0, confidence=0.99).outcome is Outcome.CONFIRMED


def test_a_prediction_needs_an_uncertainty() -> None:
    with pytest.raises(ImpossibleInput, match="predicted_sd"):
        judge_prediction(4.0, 0.0, 4.0, 0.001)


def test_the_interval_of_a_known_variance_is_normal() -> None:
    found = predicted_interval(4.0, [(0.003**2, inf), (0.004**2, inf)], 0.8)
    reach = 0.005 * stats.norm.ppf(0.9)
    assert found.half_width == independent(reach, way="scipy.stats.norm", rel=1e-5)
    assert (found.low + found.high) / 2 == pytest.approx(4.0)


def test_the_interval_of_one_estimated_variance_is_students() -> None:
    found = predicted_interval(4.0, [(0.004**2, 5)], 0.95)
    assert found.half_width == independent(0.004 * stats.t.ppf(0.975, 5), way="scipy.stats.t")


def test_mixed_variances_have_welch_and_satterthwaites_freedom() -> None:
    found = predicted_interval(0.0, [(9.0, 4), (16.0, 10), (1.0, inf)], 0.9)
    freedom = 26**2 / (81 / 4 + 256 / 10)
    reach = sqrt(26) * stats.t.ppf(0.95, freedom)
    assert found.half_width == independent(reach, way="GUM G.4 by hand and scipy.stats.t")


@pytest.mark.parametrize("confidence", [0.8, 0.95])
def test_the_interval_covers_about_as_often_as_it_says(confidence: float) -> None:
    """Two estimated variances and a known one; Welch and Satterthwaite are near, not exact."""
    rng = np.random.default_rng(5)
    draws = 4000
    hits = 0
    for _ in range(draws):
        parts = [(9 * rng.chisquare(4) / 4, 4.0), (16 * rng.chisquare(8) / 8, 8.0), (4.0, inf)]
        hits += rng.normal(0, sqrt(29)) in predicted_interval(0.0, parts, confidence)
    assert hits / draws == pytest.approx(confidence, abs=0.01 + chance(confidence, draws))


def test_no_variance_leaves_no_width() -> None:
    found = predicted_interval(4.0, [(0.0, 3), (0.0, inf)], 0.8)
    assert (found.low, found.high) == (4.0, 4.0)

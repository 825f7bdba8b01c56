"""The three zones of ISO 14253-1: worked example, symmetry, the width of the guard band, risks."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import strategies as st
from scipy import stats

from offtool.core.inspection import Conformity, judge_conformity
from offtool.core.values import ImpossibleInput
from tests.core.laws import law
from tests.core.simulated import chance
from tests.labels import independent

LIMITS = {"lower": 3.98, "upper": 4.03}


@pytest.mark.parametrize(
    ("value", "verdict"),
    [
        # guard band 1.645 * 0.004 = 0.0066: conforms from 3.9866 to 4.0234, does not beyond 3.9734 and 4.0366
        (4.02, Conformity.CONFORMS),
        (4.0234, Conformity.CONFORMS),
        (4.0235, Conformity.UNSURE),
        (4.03, Conformity.UNSURE),
        (4.0365, Conformity.UNSURE),
        (4.0366, Conformity.NOT),
        (3.9866, Conformity.CONFORMS),
        (3.9865, Conformity.UNSURE),
        (3.9735, Conformity.UNSURE),
        (3.9734, Conformity.NOT),
    ],
)
def test_the_worked_example(value: float, verdict: Conformity) -> None:
    assert judge_conformity(value, uncertainty=0.004, **LIMITS).conformity is verdict


def test_the_guard_band_is_the_usual_one() -> None:
    found = judge_conformity(4.0, uncertainty=1.0, confidence=0.95, **LIMITS)
    assert found.guard_band == independent(stats.norm.ppf(0.95), way="scipy.stats.norm")
    # ISO 14253-1 prints 1.65, rounded to the safe side (from memory).
    assert 1.64 < found.guard_band < 1.65


@pytest.mark.parametrize("freedom", [1, 4, 9.5, 60])
def test_an_uncertainty_known_from_few_readings_widens_it(freedom: float) -> None:
    found = judge_conformity(4.0, uncertainty=0.004, degrees_of_freedom=freedom, **LIMITS)
    assert found.guard_band == independent(0.004 * stats.t.ppf(0.95, freedom), way="scipy.stats.t")
    assert found.guard_band > judge_conformity(4.0, uncertainty=0.004, **LIMITS).guard_band


sizes = st.floats(3.9, 4.1)
uncertainties = st.floats(0, 0.05)


@law(value=sizes, uncertainty=uncertainties)
def test_mirrored_it_is_the_same(value: float, uncertainty: float) -> None:
    one = judge_conformity(value, uncertainty=uncertainty, **LIMITS)
    other = judge_conformity(-value, uncertainty=uncertainty, lower=-4.03, upper=-3.98)
    assert one.conformity is other.conformity


@law(value=sizes, uncertainty=uncertainties, times=st.floats(1, 10))
def test_a_worse_gauge_never_proves_more(value: float, uncertainty: float, times: float) -> None:
    one = judge_conformity(value, uncertainty=uncertainty, **LIMITS)
    worse = judge_conformity(value, uncertainty=times * uncertainty, **LIMITS)
    assert worse.guard_band == pytest.approx(times * one.guard_band)
    assert worse.conformity in (one.conformity, Conformity.UNSURE)


@law(value=sizes)
def test_an_exact_gauge_is_never_unsure(value: float) -> None:
    found = judge_conformity(value, uncertainty=0.0, **LIMITS)
    inside = LIMITS["lower"] <= value <= LIMITS["upper"]
    assert found.conformity is (Conformity.CONFORMS if inside else Conformity.NOT)


@law(value=sizes, uncertainty=uncertainties)
def test_one_limit_is_a_second_one_far_away(value: float, uncertainty: float) -> None:
    one = judge_conformity(value, uncertainty=uncertainty, upper=4.03)
    far = judge_conformity(value, uncertainty=uncertainty, lower=-1e6, upper=4.03)
    assert one.conformity is far.conformity


def test_a_tolerance_inside_the_guard_bands_can_never_be_proven() -> None:
    for value in np.linspace(3.97, 4.04, 50):
        found = judge_conformity(float(value), uncertainty=0.02, **LIMITS)
        assert found.conformity is not Conformity.CONFORMS


@pytest.mark.parametrize("limit", [LIMITS["upper"], LIMITS["lower"]])
def test_a_part_at_the_limit_is_wrongly_said_to_conform_at_most_once_in_twenty(limit: float) -> None:
    rng = np.random.default_rng(3)
    draws = 4000
    said = [
        judge_conformity(float(found), uncertainty=0.004, **LIMITS).conformity
        for found in rng.normal(limit, 0.004, draws)
    ]
    for wrong in (Conformity.CONFORMS, Conformity.NOT):
        assert said.count(wrong) / draws == pytest.approx(0.05, abs=chance(0.05, draws))


@pytest.mark.parametrize(
    ("given_", "argument"),
    [
        ({"uncertainty": -0.001, "lower": 1.0}, "uncertainty"),
        ({"uncertainty": 0.001}, "limits"),
        ({"uncertainty": 0.001, "lower": 2.0, "upper": 1.0}, "lower"),
        ({"uncertainty": 0.001, "lower": 1.0, "degrees_of_freedom": 0.5}, "degrees_of_freedom"),
        ({"uncertainty": 0.001, "lower": 1.0, "confidence": 0.5}, "confidence"),
    ],
)
def test_the_impossible_is_refused_by_name(given_: dict[str, float], argument: str) -> None:
    with pytest.raises(ImpossibleInput) as refused:
        judge_conformity(1.5, **given_)  # type: ignore[arg-type]
    assert refused.value.argument == argument

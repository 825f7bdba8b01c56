"""The three zones of ISO 14253-1: worked example, symmetry, guard band, risks; many readings; a mean."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import strategies as st
from scipy import stats

from offtool.core.inspection import Conformity, judge_conformity, judge_size
from offtool.core.inspection.conformity import judge_mean, judge_readings
from offtool.core.values import ImpossibleInput, NotEnoughData
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


readings = st.lists(sizes, max_size=40)


@law(values=readings, uncertainty=uncertainties, confidence=st.floats(0.55, 0.99))
def test_many_readings_are_judged_as_each_by_itself(
    values: list[float], uncertainty: float, confidence: float
) -> None:
    how = {"uncertainty": uncertainty, "confidence": confidence, **LIMITS}
    found = judge_readings(values, **how)
    alone = [judge_conformity(value, **how).conformity for value in values]
    assert (found.inside, found.outside, found.unsure) == (
        alone.count(Conformity.CONFORMS),
        alone.count(Conformity.NOT),
        alone.count(Conformity.UNSURE),
    )
    assert [at for at, one in enumerate(alone) if one is Conformity.NOT] == found.outside_at.tolist()
    assert [at for at, one in enumerate(alone) if one is Conformity.UNSURE] == found.unsure_at.tolist()


def test_no_readings_are_answered_with_a_caution() -> None:
    found = judge_readings([], uncertainty=0.001, **LIMITS)
    assert (found.inside, found.outside, found.unsure) == (0, 0, 0)
    assert "nothing is judged" in found.cautions[0].text


def test_a_million_readings_are_judged_at_once() -> None:
    values = np.random.default_rng(0).normal(4.0, 0.01, 1_000_000)
    found = judge_readings(values, uncertainty=0.002, **LIMITS)
    assert found.inside + found.outside + found.unsure == 1_000_000


FIVE = [4.012, 4.018, 4.015, 4.021, 4.014]


@pytest.mark.parametrize("uncertainty", [0.0, 0.001, 0.004, 0.05])
@pytest.mark.parametrize("gauge_freedom", [None, 3.0, 50.0])
def test_the_mean_has_gauge_and_sampling_uncertainty(uncertainty: float, gauge_freedom: float | None) -> None:
    """JCGM 100:2008, G.4.1, equation G.2b, written out."""
    found = judge_mean(FIVE, uncertainty=uncertainty, upper=4.03, degrees_of_freedom=gauge_freedom)
    sampling = np.var(FIVE, ddof=1) / 5
    combined = sampling + uncertainty**2
    freedom = combined**2 / (sampling**2 / 4 + (uncertainty**4 / gauge_freedom if gauge_freedom else 0.0))
    way = "the guide's equation by hand, scipy.stats.t"
    assert found.combined == independent(np.sqrt(combined), way=way)
    assert found.degrees_of_freedom == independent(min(freedom, 1e9), way=way, rel=1e-6)
    assert found.guard_band == independent(stats.t.ppf(0.95, freedom) * np.sqrt(combined), way=way, rel=1e-6)


def test_with_an_exact_gauge_it_is_students_interval_of_the_mean() -> None:
    found = judge_mean(FIVE, uncertainty=0.0, upper=4.03, confidence=0.975)
    interval = stats.ttest_1samp(FIVE, 4.0).confidence_interval(0.95)
    assert found.mean + found.guard_band == independent(interval.high, way="scipy.stats.ttest_1samp")


@law(
    values=st.lists(sizes, min_size=2, max_size=20),
    uncertainty=uncertainties,
    confidence=st.floats(0.55, 0.99),
)
def test_it_is_what_a_size_of_one_cavity_says(
    values: list[float], uncertainty: float, confidence: float
) -> None:
    found = judge_mean(values, uncertainty=uncertainty, confidence=confidence, **LIMITS)
    (cavity,) = judge_size(
        values, ["1"] * len(values), gauge_uncertainty=uncertainty, confidence=confidence, **LIMITS
    ).cavities
    assert found.mean == pytest.approx(cavity.mean)
    ends = [limit + side * found.guard_band for limit in LIMITS.values() for side in (-1, 1)]
    if min(abs(found.mean - end) for end in ends) > 1e-12:  # on an end, rounding decides
        assert found.conformity is cavity.conformity


@law(values=st.lists(sizes, min_size=2, max_size=20), uncertainty=uncertainties)
def test_the_mirrored_mean_is_judged_the_same(values: list[float], uncertainty: float) -> None:
    one = judge_mean(values, uncertainty=uncertainty, **LIMITS)
    other = judge_mean([-value for value in values], uncertainty=uncertainty, lower=-4.03, upper=-3.98)
    assert one.conformity is other.conformity
    assert one.guard_band == pytest.approx(other.guard_band)


def test_very_many_parts_leave_only_the_gauge() -> None:
    values = np.random.default_rng(2).normal(4.0, 0.01, 200_000)
    found = judge_mean(values, uncertainty=0.004, **LIMITS)
    assert found.guard_band == pytest.approx(stats.norm.ppf(0.95) * 0.004, rel=1e-3)


def test_equal_readings_are_judged_by_the_gauge_alone() -> None:
    found = judge_mean([4.0, 4.0, 4.0], uncertainty=0.004, **LIMITS)
    assert found.guard_band == independent(0.004 * stats.norm.ppf(0.95), way="scipy.stats.norm", rel=1e-7)
    assert "too coarse" in found.cautions[0].text


def test_one_reading_is_no_mean() -> None:
    with pytest.raises(NotEnoughData, match="judge_conformity"):
        judge_mean([4.0], uncertainty=0.004, **LIMITS)

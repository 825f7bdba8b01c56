"""Clamp, share of the barrel, time in the barrel: worked examples, and the laws of scaling."""

from __future__ import annotations

import pytest
from hypothesis import strategies as st

from offtool.core.planning.press.barrel import barrel_share, residence_time
from offtool.core.planning.press.clamp import TOO_MUCH, check_clamp, clamp_force
from offtool.core.planning.press.facts import KN_PER_T, PressFacts, ToolFacts
from offtool.core.values import ImpossibleInput, Verdict
from offtool.handbook.moulding import MOULDING_RESINS, MPA_PER_T_CM2
from tests.core.laws import law
from tests.labels import independent, practice, published

US_TON_KN, IN2_CM2 = 2_000 * 4.4482216152605 / 1_000, 2.54**2
"""2,000 lbf, and a square inch."""


def test_45_square_cm_of_abs_need_18_tonnes() -> None:
    found = clamp_force(45.0, cavity_pressure_mpa=0.35 * MPA_PER_T_CM2, to_spare=1.15)
    assert found.low_t == practice("18")
    assert (
        found.low_t
        == found.high_t
        == independent(45 * 0.35 * 1.15, way="tonnes a square centimetre, by hand")
    )


def test_36_square_inches_at_5_tons_are_180_tons() -> None:
    """Printed at 5 US tons a square inch without anything to spare."""
    pressure = 5 * US_TON_KN / IN2_CM2 / 0.1
    found = clamp_force(36 * IN2_CM2, cavity_pressure_mpa=pressure, to_spare=1.0)
    source = "a public page on clamp: 6 by 6 inches at 5 tons a square inch"
    assert found.low_kn / US_TON_KN == published("180", source=source)
    assert found.low_kn == independent(1601.4, way="180 tons of 2,000 lbf in kN", rel=1e-4)


def test_a_resin_gives_the_range_of_its_pressure() -> None:
    found = clamp_force(45.0, runner_cm2=5.0, resin="abs")
    low, high = MOULDING_RESINS["ABS"].cavity_pressure_mpa
    assert found.low_kn == pytest.approx(50 * low * 0.1 * 1.15)
    assert found.high_kn == pytest.approx(50 * high * 0.1 * 1.15)


@law(area=st.floats(1, 5_000), pressure=st.floats(10, 45), times=st.floats(1.1, 6))
def test_clamp_goes_with_area_and_with_pressure(area: float, pressure: float, times: float) -> None:
    once = clamp_force(area, cavity_pressure_mpa=pressure).high_kn
    assert clamp_force(area * times, cavity_pressure_mpa=pressure).high_kn == pytest.approx(once * times)
    assert clamp_force(area, cavity_pressure_mpa=pressure * times).high_kn == pytest.approx(once * times)


@law(area=st.floats(1, 500), clamp=st.floats(20, 5_000), more=st.floats(1, 2_000))
def test_a_press_with_more_clamp_never_stands_worse(area: float, clamp: float, more: float) -> None:
    order = (Verdict.FAILS, Verdict.NOT_SHOWN, Verdict.HOLDS)
    tool = ToolFacts(code="M1", resin="PP", projected_cm2=area, runner_cm2=0.0)
    one, other = (
        check_clamp(PressFacts(code="P", clamp_kn=kn), tool).verdict for kn in (clamp, clamp + more)
    )
    assert order.index(other) >= order.index(one)


def clamped(clamp_t: float | None, **tool: float | None) -> Verdict:
    told = {"projected_cm2": 45.0, "runner_cm2": 0.0, **tool}
    press = PressFacts(code="P", clamp_kn=clamp_t * KN_PER_T if clamp_t else None)
    return check_clamp(press, ToolFacts(code="M1", resin="ABS", **told)).verdict  # type: ignore[arg-type]


def test_between_least_and_most_it_is_not_shown() -> None:
    assert (clamped(15.0), clamped(18.0), clamped(21.0)) == (Verdict.FAILS, Verdict.NOT_SHOWN, Verdict.HOLDS)


def test_a_runner_that_nobody_measured_leaves_open_what_would_hold_and_not_what_fails() -> None:
    assert clamped(80.0, runner_cm2=None) is Verdict.NOT_SHOWN
    assert clamped(15.0, runner_cm2=None) is Verdict.FAILS
    hot = ToolFacts(code="M1", resin="ABS", projected_cm2=45.0, has_runner=False)
    assert check_clamp(PressFacts(code="P", clamp_kn=800.0), hot).verdict is Verdict.HOLDS


def test_without_its_numbers_it_says_what_is_missing_and_who_knows() -> None:
    found = check_clamp(PressFacts(code="P7"), ToolFacts(code="M1", resin="ABC"))
    assert found.verdict is Verdict.NOT_SHOWN
    missing = {one.what: str(one.who) for one in found.missing}
    assert missing["clamp of P7"] == "the sheet of the press"
    assert missing["silhouette of the parts"].startswith("the mesh")
    assert any("ABC is not on the list" in what for what in missing)


def test_a_clamp_far_too_large_is_cautioned() -> None:
    tool = ToolFacts(code="M1", resin="ABS", projected_cm2=45.0, runner_cm2=0.0)
    need = clamp_force(45.0, resin="ABS").high_kn
    for times, said in ((TOO_MUCH * 1.01, True), (TOO_MUCH * 0.99, False)):
        found = check_clamp(PressFacts(code="P", clamp_kn=need * times), tool)
        assert any("set it down" in str(one) for one in found.cautions) is said


def test_a_shot_of_polystyrene_is_its_share_of_the_rating() -> None:
    assert barrel_share(30.0, barrel_g=150.0, resin="PS").share == independent(0.2, way="30 of 150, by hand")


def test_the_volume_of_a_shot_of_polypropylene() -> None:
    """Printed with the density of the solid; ours is that of the melt, and so is larger."""
    solid = 164.0 / 0.90
    assert solid == published("182.2", source="a trade paper: shot size against barrel capacity")
    found = barrel_share(164.0, barrel_g=300.0, resin="PP")
    assert found.shot_cm3 > solid
    assert found.shot_cm3 == pytest.approx(164.0 / MOULDING_RESINS["PP"].melt_density_g_cm3)


def test_time_in_the_barrel_as_it_is_worked_in_public() -> None:
    found = residence_time(100.0, barrel_g=200.0, cycle_s=15.0, screw_holds=1.4)
    assert found.time_s == published("42", source="a public page: barrel 200 g, factor 1.4, shot 100 g, 15 s")
    assert residence_time(30.0, barrel_g=150.0, cycle_s=35.0).minutes == independent(
        150 * 1.4 / 30 * 35 / 60, way="by hand"
    )


@law(
    code=st.sampled_from(sorted(MOULDING_RESINS)),
    shot=st.floats(1, 100),
    barrel=st.floats(20, 500),
    cycle=st.floats(4, 90),
    times=st.floats(1.1, 4),
)
def test_time_in_the_barrel_scales(code: str, shot: float, barrel: float, cycle: float, times: float) -> None:
    def took(shot: float, barrel: float, cycle: float) -> float:
        return residence_time(shot, barrel_g=barrel, cycle_s=cycle, resin=code).time_s

    once = took(shot, barrel, cycle)
    assert took(shot, barrel, cycle * times) == pytest.approx(once * times)
    assert took(shot, barrel * times, cycle) == pytest.approx(once * times)
    assert took(shot * times, barrel, cycle) == pytest.approx(once / times)
    share = barrel_share(shot, barrel_g=barrel, resin=code).share
    assert once == pytest.approx(1.4 * cycle / share)


@pytest.mark.parametrize(("shot", "said"), [(10.0, "a small shot"), (130.0, "a large shot"), (60.0, "")])
def test_the_usual_window_of_the_barrel_is_a_caution(shot: float, said: str) -> None:
    cautions = " ".join(str(one) for one in barrel_share(shot, barrel_g=150.0, resin="PS").cautions)
    assert said in cautions
    assert bool(cautions) is bool(said)


@pytest.mark.parametrize(("code", "warned"), [("POM", True), ("PVC-P", True), ("ABS", False)])
def test_resins_that_come_apart_are_cautioned_wherever_their_time_is_said(code: str, warned: bool) -> None:
    found = residence_time(10.0, barrel_g=100.0, cycle_s=10.0, resin=code)
    assert any("trained people only" in str(one) for one in found.cautions) is warned


def test_no_pressure_and_no_resin_is_refused() -> None:
    with pytest.raises(ImpossibleInput, match="no pressure is given"):
        clamp_force(45.0)
    with pytest.raises(ImpossibleInput, match="not on the list"):
        clamp_force(45.0, resin="ABX")

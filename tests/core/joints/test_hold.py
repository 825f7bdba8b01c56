"""Between the limb's weight and the peg's strength."""

from __future__ import annotations

from math import pi, sqrt

import pytest
from hypothesis import strategies as st
from scipy.integrate import quad

from offtool.core.joints.hold import hold_torque, peg_torque_ceiling, torque_window
from offtool.core.values import ImpossibleInput
from tests.core.laws import law
from tests.labels import independent, practice


def test_an_arm_held_out_level() -> None:
    found = hold_torque(30.0, 50.0)
    assert found.weight_nm == practice("0.0147")
    assert found.torque_nm == practice("0.03")


def test_a_small_peg_of_abs() -> None:
    found = peg_torque_ceiling(4.0, 40.0)
    assert found.yield_nm == practice("0.29")
    assert found.torque_nm == practice("0.145")


def test_the_window_of_a_small_joint() -> None:
    found = torque_window(30.0, 50.0, 4.0, 40.0)
    assert found.low_nm == practice("0.03")
    assert found.high_nm == practice("0.15")
    assert not found.empty
    assert found.cautions == ()


def test_a_limb_too_heavy_for_its_peg_leaves_no_window() -> None:
    found = torque_window(300.0, 100.0, 3.0, 40.0)
    assert found.empty
    assert "no torque holds the limb" in str(found.cautions[0])


@pytest.mark.parametrize("bore", [0.0, 1.0, 3.5])
def test_the_ceiling_is_the_shear_stress_summed_over_the_section(bore: float) -> None:
    """Stress grows from the axis and is at the limit at the surface."""
    limit = 40 / sqrt(3)
    summed, _ = quad(lambda r: 2 * pi * r * r * limit * r / 2.0, bore / 2, 2.0)
    assert peg_torque_ceiling(4.0, 40.0, peg_bore_mm=bore).yield_nm == independent(
        summed / 1000, way="quadrature over the section", rel=1e-9
    )


@law(scale=st.floats(0.1, 10), share=st.floats(0.05, 1))
def test_the_ceiling_goes_with_the_cube_of_the_size(scale: float, share: float) -> None:
    one, other = peg_torque_ceiling(4.0, 40.0, share=share), peg_torque_ceiling(4 * scale, 40.0, share=share)
    assert other.torque_nm == pytest.approx(scale**3 * one.torque_nm, rel=1e-9)
    assert one.torque_nm == pytest.approx(share * one.yield_nm)


@law(mass=st.floats(0, 1000), lever=st.floats(0, 300), times=st.floats(0, 10))
def test_weight_and_lever_count_alike(mass: float, lever: float, times: float) -> None:
    found = hold_torque(mass * times, lever).torque_nm
    assert hold_torque(mass, lever * times).torque_nm == pytest.approx(found, rel=1e-9, abs=1e-15)


def test_two_limbs_weigh_what_each_does() -> None:
    both = hold_torque(10.0, 40.0).weight_nm + hold_torque(20.0, 70.0).weight_nm
    assert hold_torque(30.0, 60.0).weight_nm == independent(both, way="moments about the joint add")


@pytest.mark.parametrize("bore", [4.0, 5.0])
def test_a_peg_thinner_than_nothing_is_refused(bore: float) -> None:
    with pytest.raises(ImpossibleInput, match="thinner than nothing"):
        peg_torque_ceiling(4.0, 40.0, peg_bore_mm=bore)


def test_a_factor_below_one_asks_for_less_than_the_weight_and_is_refused() -> None:
    with pytest.raises(ImpossibleInput, match="at least 1"):
        hold_torque(30.0, 50.0, safety_factor=0.9)

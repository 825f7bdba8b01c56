"""Peg in socket: Lamé against books, a grid of finite differences, limits and laws."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest
from hypothesis import strategies as st

from offtool.core.joints.evidence import JointMaterial
from offtool.core.joints.materials import material_of
from offtool.core.joints.peg import MODEL, PressFit, peg_in_socket
from offtool.core.joints.response import Materials
from offtool.core.values import ImpossibleInput
from tests.core.joints.rings import Ring, force_of_a_rigid_band, pressure
from tests.core.laws import law
from tests.labels import independent, practice, published, remembered

INCH, PSI = 25.4, 0.00689475729
SHIGLEY = "form of the press-fit example in Shigley, Mechanical Engineering Design; numbers worked out"
NORTON = "Norton, Machine Design, 4th ed., example 10-5, as a public copy prints it"


def pressed(
    peg: float = 4.05,
    bore: float = 4.0,
    outer: float = 8.0,
    length: float = 4.0,
    *,
    through: float = 0.0,
    modulus: tuple[float, float] = (2300.0, 2300.0),
    poisson: tuple[float, float] = (0.39, 0.39),
    allowed: tuple[float, float] = (0.012, 0.012),
    friction: tuple[float, float] = (0.35, 0.35),
    **more: float,
) -> PressFit:
    return peg_in_socket(
        peg,
        bore,
        outer,
        length,
        peg_bore_mm=through,
        inner_modulus_mpa=modulus[0],
        inner_poisson=poisson[0],
        inner_strain_allowed=allowed[0],
        outer_modulus_mpa=modulus[1],
        outer_poisson=poisson[1],
        outer_strain_allowed=allowed[1],
        friction_low=friction[0],
        friction_high=friction[1],
        **more,
    )


def test_steel_on_steel_as_in_the_book() -> None:
    found = pressed(50.05, 50, 100, 10, modulus=(207e3, 207e3), poisson=(0.3, 0.3))
    assert found.pressure_mpa == remembered("77.625", source=SHIGLEY)
    assert found.hoop_stress_mpa == remembered("129.375", source=SHIGLEY)


def test_steel_shaft_in_cast_iron_as_in_the_book() -> None:
    found = pressed(
        0.7825 * INCH,
        0.781 * INCH,
        3.0 * INCH,
        1.5 * INCH,
        modulus=(30e6 * PSI, 14e6 * PSI),
        poisson=(0.28, 0.28),
    )
    assert found.pressure_mpa / PSI == published("15265", source=NORTON)


@pytest.mark.parametrize(("interference", "torque"), [(0.02, "0.15"), (0.05, "0.38"), (0.08, "0.61")])
def test_how_much_a_hundredth_of_a_millimetre_does_to_a_small_abs_joint(
    interference: float, torque: str
) -> None:
    found = pressed(4 + interference)
    assert found.breakaway_nm.low == practice(torque)


def test_the_largest_of_these_stresses_the_socket_by_29_mpa() -> None:
    assert pressed(4.08).hoop_stress_mpa == practice("29")


BODIES = [
    ((0, 50, 207e3, 0.3), (50, 100, 207e3, 0.3)),
    ((0, 4, 2300, 0.39), (4, 8, 2300, 0.39)),
    ((2, 5, 2800, 0.37), (5, 7, 1400, 0.42)),
    ((3.5, 4, 20, 0.47), (4, 12, 2400, 0.38)),
]


@pytest.mark.parametrize(("peg", "socket"), BODIES)
def test_the_pressure_is_that_of_both_rings_solved_on_a_grid(
    peg: tuple[float, ...], socket: tuple[float, ...]
) -> None:
    """At an interference so small that the undeformed diameters are the same."""
    diameter, delta = socket[0], 1e-6 * socket[0]
    found = pressed(
        diameter + delta,
        diameter,
        socket[1],
        through=peg[0],
        modulus=(peg[2], socket[2]),
        poisson=(peg[3], socket[3]),
    )
    solved = pressure(Ring(*peg), Ring(*socket), delta / 2)
    assert found.pressure_mpa == independent(
        solved, way="radial equation of both bodies, finite differences in plane stress", rel=2e-5
    )


def test_a_thin_ring_on_a_rigid_peg_is_a_hoop() -> None:
    """p = E t u / r^2 for a ring of wall t widened by u on radius."""
    found = pressed(100.01, 100.0, 100.4, modulus=(1e12, 2000.0))
    assert found.pressure_mpa == independent(2000 * 0.2 * 0.005 / 50.0**2, way="thin hoop", rel=5e-3)


def test_a_socket_without_end_on_a_rigid_peg() -> None:
    """p = E delta / (d (1 + nu)): the hole in an endless plate."""
    found = pressed(4.004, 4.0, 4e6, modulus=(1e15, 2000.0), poisson=(0.3, 0.4))
    assert found.pressure_mpa == independent(2000 * 0.001 / 1.4, way="hole in an endless plate", rel=1e-6)


def test_a_rigid_peg_widens_the_bore_by_all_of_the_interference() -> None:
    found = pressed(4.05, 4.0, modulus=(1e15, 2300.0))
    assert found.socket_strain == independent(0.05 / 4.0, way="the bore takes the peg's size")
    assert found.peg_strain < 1e-9


def test_a_rigid_socket_strains_only_the_peg() -> None:
    found = pressed(4.05, 4.0, modulus=(2300.0, 1e15))
    assert found.pressure_mpa * (1 - 0.39) / 2300 == independent(0.0125, way="solid bar under even pressure")
    assert found.socket_strain < 1e-9


def test_the_strain_of_the_bore_and_of_the_peg_add_up_to_the_interference() -> None:
    found = pressed(4.05, 4.0)
    across = found.pressure_mpa * (1 - 0.39) / 2300
    assert found.socket_strain + across == independent(
        0.05 / 4.0, way="what does not fit is taken up by both"
    )


def test_a_solid_peg_is_strained_most_along_its_axis_when_it_hardly_shrinks() -> None:
    """Across it shrinks by (1 - nu) p / E, along it grows by 2 nu p / E: more, from nu = 1/3 on."""
    assert pressed(poisson=(0.39, 0.39)).peg_strain * 2300 == pytest.approx(
        0.78 * pressed(poisson=(0.39, 0.39)).pressure_mpa
    )
    assert pressed(poisson=(0.2, 0.39)).peg_strain * 2300 == pytest.approx(
        0.8 * pressed(poisson=(0.2, 0.39)).pressure_mpa
    )


def test_a_hollow_peg_is_strained_most_round_its_bore() -> None:
    found = pressed(through=2.0)
    stress = 2 * found.pressure_mpa * 4.05**2 / (4.05**2 - 2.0**2)
    assert found.peg_strain == independent(stress / 2300, way="Lamé at the inner face, outer pressure")


def test_forces_and_torques_belong_together() -> None:
    found = pressed(friction=(0.3, 0.5))
    area = pi * 4.0 * 4.0
    assert found.pull_off_n.low == independent(0.3 * found.pressure_mpa * area, way="friction on the contact")
    assert found.breakaway_nm.high == independent(
        found.pull_off_n.high * 2.0 / 1000, way="force at the radius"
    )
    assert found.assembly_n == found.pull_off_n
    assert found.running_nm.low == independent(
        0.6 * found.breakaway_nm.low, way="lower friction once it turns"
    )
    assert found.running_nm.high == independent(0.9 * found.breakaway_nm.high, way="the same")


def test_clearance_is_an_answer_of_zero_with_words() -> None:
    found = pressed(3.97)
    assert found.interference_mm == pytest.approx(-0.03)
    assert (found.pressure_mpa, found.breakaway_nm.high, found.strain_use) == (0.0, 0.0, 0.0)
    assert found.fit.startswith("clearance of 0.030 mm")
    assert "At a first trial that is expected" in str(found.cautions[0])


def test_the_side_that_is_overstrained_is_named() -> None:
    found = pressed(4.10, allowed=(0.05, 0.012))
    assert found.strain_use == pytest.approx(found.socket_strain / 0.012)
    assert [str(one)[:24] for one in found.cautions if "may bear" in str(one)] == ["the socket is strained 1"]
    assert not any("may bear" in str(one) for one in pressed(4.02).cautions)


def test_a_torque_above_half_of_what_the_peg_bears_is_cautioned_against() -> None:
    assert any("twist the peg off" in str(one) for one in pressed(4.05, peg_yield_mpa=40.0).cautions)
    assert not any("twist the peg off" in str(one) for one in pressed(4.01, peg_yield_mpa=40.0).cautions)


@pytest.mark.parametrize(
    ("bore", "outer", "contact", "whole"),
    [(4, 8, 4, 8), (4, 8, 4, 5), (4, 5, 4, 8), (4, 6, 2, 6), (4, 12, 2, 20), (10, 11, 5, 15)],
)
def test_longer_ends_stiffen_by_no_more_than_is_said(
    bore: float, outer: float, contact: float, whole: float
) -> None:
    """Against axisymmetric finite elements with a rigid peg; the estimate is above, at most by one and a half
    times the effect itself."""
    ring = Ring(bore, outer, 2300.0, 0.39)
    effect = force_of_a_rigid_band(ring, whole, contact, cells=16) / force_of_a_rigid_band(
        ring, contact, contact, cells=16
    )
    said = pressed(
        bore * 1.001, bore, outer, contact, modulus=(1e12, 2300.0), socket_length_mm=whole
    ).ends_factor
    assert 1 < effect < said
    assert said - 1 < 2.5 * (effect - 1)


def test_ends_that_lie_level_change_nothing_and_longer_ones_are_said() -> None:
    assert pressed(peg_length_mm=4.0, socket_length_mm=4.0).ends_factor == 1.0
    longer = pressed(socket_length_mm=8.0)
    assert longer.pressure_mpa == pressed().pressure_mpa
    assert any(f"up to {longer.ends_factor - 1:.0%} higher" in str(one) for one in longer.cautions)


@pytest.mark.parametrize(
    ("argument", "call"),
    [
        ("socket_outer_mm", {"outer": 4.0}),
        ("socket_outer_mm", {"outer": 3.0}),
        ("peg_diameter_mm", {"through": 4.05}),
        ("socket_length_mm", {"socket_length_mm": 3.0}),
        ("peg_length_mm", {"peg_length_mm": 3.9}),
        ("friction_low", {"friction": (0.5, 0.3)}),
    ],
)
def test_what_cannot_be_is_refused_by_name(argument: str, call: dict[str, float]) -> None:
    with pytest.raises(ImpossibleInput) as refused:
        pressed(**call)  # type: ignore[arg-type]
    assert refused.value.argument == argument


SIZE = st.floats(0.001, 0.1)


@law(small=SIZE, more=SIZE, outer=st.floats(5, 40), through=st.floats(0, 3))
def test_torque_grows_with_interference(small: float, more: float, outer: float, through: float) -> None:
    loose = pressed(4 + small, outer=outer, through=through)
    tight = pressed(4 + small + more, outer=outer, through=through)
    assert tight.breakaway_nm.low > loose.breakaway_nm.low
    assert pressed(4 + small, 4 - more, outer, through=through).breakaway_nm.low > loose.breakaway_nm.low


@law(length=st.floats(0.5, 20), times=st.floats(1.1, 5))
def test_torque_is_proportional_to_length_and_pressure_does_not_know_it(length: float, times: float) -> None:
    short, long = pressed(length=length), pressed(length=times * length)
    assert long.breakaway_nm.low == pytest.approx(times * short.breakaway_nm.low)
    assert long.pressure_mpa == short.pressure_mpa


@law(outer=st.floats(4.1, 40), thicker=st.floats(0.1, 10))
def test_pressure_falls_and_the_bore_widens_as_the_socket_thins(outer: float, thicker: float) -> None:
    thin, thick = pressed(outer=outer), pressed(outer=outer + thicker)
    assert thin.pressure_mpa < thick.pressure_mpa
    assert thin.socket_strain > thick.socket_strain


@law(through=st.floats(0.1, 2.5), more=st.floats(0.1, 1.0))
def test_a_hollower_peg_presses_less(through: float, more: float) -> None:
    assert pressed(through=through + more).pressure_mpa < pressed(through=through).pressure_mpa


@law(scale=st.floats(0.1, 30), through=st.floats(0, 3))
def test_all_lengths_scaled_leave_the_pressure_and_cube_the_torque(scale: float, through: float) -> None:
    one = pressed(through=through)
    other = pressed(4.05 * scale, 4.0 * scale, 8.0 * scale, 4.0 * scale, through=through * scale)
    assert other.pressure_mpa == pytest.approx(one.pressure_mpa, rel=1e-9)
    assert other.breakaway_nm.low == pytest.approx(scale**3 * one.breakaway_nm.low, rel=1e-9)
    assert other.strain_use == pytest.approx(one.strain_use, rel=1e-9)


@law(times=st.floats(0.01, 100))
def test_stiffness_scales_the_torque_and_not_the_strain(times: float) -> None:
    one, other = pressed(), pressed(modulus=(2300 * times, 2300 * times))
    assert other.breakaway_nm.low == pytest.approx(times * one.breakaway_nm.low, rel=1e-9)
    assert other.socket_strain == pytest.approx(one.socket_strain, rel=1e-9)


def test_a_thousand_pieces_at_once_answer_as_one_by_one() -> None:
    rng = np.random.default_rng(7)
    count = 1000
    sizes = {
        "peg_diameter": rng.normal(4.03, 0.03, count),
        "socket_bore": rng.normal(4.0, 0.02, count),
        "socket_outer": rng.uniform(5, 12, count),
        "contact_length": rng.uniform(2, 8, count),
        "peg_bore": np.where(rng.random(count) < 0.5, 0.0, rng.uniform(0.5, 3, count)),
    }
    friction = rng.uniform(0.1, 0.6, count)
    abs_, pom = material_of("ABS"), material_of("POM")
    assert abs_
    assert pom
    found = MODEL.respond(sizes, Materials(inner=pom, outer=abs_), friction)
    for i in range(0, count, 25):
        one = pressed(
            *(
                float(sizes[role][i])
                for role in ("peg_diameter", "socket_bore", "socket_outer", "contact_length")
            ),
            through=float(sizes["peg_bore"][i]),
            modulus=(pom.modulus_mpa, abs_.modulus_mpa),
            poisson=(pom.poisson, abs_.poisson),
            allowed=(pom.strain_allowed, abs_.strain_allowed),
            friction=(float(friction[i]), float(friction[i])),
        )
        assert found.measure[i] == pytest.approx(one.breakaway_nm.low, rel=1e-12)
        assert found.strain_use[i] == pytest.approx(one.strain_use, rel=1e-12)


def test_sizes_that_cannot_be_are_no_number_among_others_that_are() -> None:
    sizes = {
        "peg_diameter": np.array([4.05, 4.05, 3.9, 4.05]),
        "socket_bore": np.full(4, 4.0),
        "socket_outer": np.array([8.0, 4.0, 8.0, 8.0]),
        "contact_length": np.array([4.0, 4.0, 4.0, 0.0]),
    }
    steel = JointMaterial(modulus_mpa=207e3, poisson=0.3, strain_allowed=0.001)
    found = MODEL.respond(sizes, Materials(inner=steel, outer=steel), np.array(0.3))
    assert np.isfinite(found.measure).tolist() == [True, False, True, False]
    assert (found.measure[2], found.strain_use[2]) == (0.0, 0.0)


def test_without_a_material_there_is_no_torque() -> None:
    sizes = {
        "peg_diameter": np.array(4.05),
        "socket_bore": np.array(4.0),
        "socket_outer": np.array(8.0),
        "contact_length": np.array(4.0),
    }
    found = MODEL.respond(sizes, Materials(inner=material_of("ABS")), np.array(0.3))
    assert np.isnan(found.measure)
    assert np.isnan(found.strain_use)

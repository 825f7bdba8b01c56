"""Peg in a clip: against a plane elastic body, integrals of the curved beam's energy, and printed factors."""

from __future__ import annotations

from math import cos, inf, log, pi, radians, sin

import numpy as np
import pytest
from hypothesis import strategies as st
from scipy import integrate, optimize

from offtool.core.joints.clip import LIFTING_RAD, MODEL, PegInClip, peg_in_clip
from offtool.core.joints.evidence import JointMaterial
from offtool.core.joints.response import Materials
from offtool.core.joints.wedge import greatest_push
from offtool.core.values import ImpossibleInput
from tests.core.joints.plane_ring import plane_ring
from tests.core.laws import law
from tests.labels import independent, remembered

E, NU = 2300.0, 0.35
CLIP = JointMaterial(modulus_mpa=E, poisson=NU, strain_allowed=0.02)


def clip(
    peg: float = 4.1,
    bore: float = 4.0,
    outer: float = 7.0,
    length: float = 4.0,
    opening: float = 60.0,
    modulus: float = E,
    friction: tuple[float, float] = (0.3, 0.5),
) -> PegInClip:
    return peg_in_clip(
        peg,
        bore,
        outer,
        length,
        opening_deg=opening,
        outer_modulus_mpa=modulus,
        outer_poisson=NU,
        outer_strain_allowed=CLIP.strain_allowed,
        friction_low=friction[0],
        friction_high=friction[1],
    )


def thin(opening: float) -> tuple[PegInClip, float, float]:
    """A ring of a thousandth of its radius, its radius and E I."""
    found = clip(peg=2.02, bore=1.999, outer=2.001, length=1.0, opening=opening, friction=(0.0, 0.0))
    return found, 1.0, E * 0.001**3 / 12


def spread(found: PegInClip) -> tuple[float, float]:
    """How far each tip is moved outwards to let the peg pass, and the force for it, from the push."""
    share = found.socket_bore_mm * sin(radians(found.opening_deg) / 2) / found.peg_diameter_mm
    stiffness = found.sideways_n.low / (found.peg_diameter_mm * greatest_push(share, found.friction.low))
    way = found.peg_diameter_mm * (1 - share) / 2
    return way, stiffness * way


@pytest.mark.parametrize(
    ("outer", "opening", "rel"),
    [(4.2, 2, 0.002), (4.2, 100, 0.002), (6, 2, 0.03), (6, 120, 0.03), (8, 60, 0.06), (8, 160, 0.12)],
)
def test_a_plane_elastic_ring_on_a_rigid_peg_is_pressed_as_much(
    outer: float, opening: float, rel: float
) -> None:
    """Nothing is supposed there of where they touch, nor of sections that stay plane."""
    body = plane_ring(4, outer, 0.08, opening, NU)
    found = clip(peg=4.08, outer=outer, opening=opening, length=1.0, modulus=1.0)
    way = "plane finite elements with contact"
    assert found.normal_force_n == independent(body.normal, way=way, rel=rel)
    assert found.strain == independent(body.strain, way=way, rel=min(rel, 0.04))
    assert found.opening_growth_mm == independent(body.growth, way=way, rel=min(rel, 0.03))


def test_the_place_of_lifting_is_that_of_least_tip_force() -> None:
    least = optimize.minimize_scalar(
        lambda a: (1 - cos(a)) / (a - sin(a) * cos(a)), bounds=(1.5, 3.0), options={"xatol": 1e-10}
    )
    assert least.x == independent(LIFTING_RAD, way="minimum by search", rel=1e-6)
    root = optimize.brentq(lambda a: a - sin(a) * (2 - cos(a)), 1.5, 3.0, xtol=1e-14)
    assert root == independent(LIFTING_RAD, way="root by bisection")


def energy_give(found: PegInClip, arm: float, lever: bool) -> float:
    """Movement at the tip for 1 N by numerical integration of the curved beam's energy.

    `lever` False: a radial force on an arm held at its end. True: a force straight across, held at the back.
    """
    inner, outer = found.socket_bore_mm / 2, found.socket_outer_mm / 2
    R, A = (inner + outer) / 2, (outer - inner) * found.contact_length_mm
    e = R - (outer - inner) / log(outer / inner)
    G = E / 2 / (1 + NU)

    def density(a: float) -> float:
        if lever:
            M, N, V = R * (cos(a) - cos(arm)), cos(a), sin(a)
        else:
            M, N, V = R * sin(arm - a), sin(arm - a), cos(arm - a)
        return M**2 / (A * e * E) + N**2 * R / (A * E) - 2 * M * N / (A * E) + 1.2 * V**2 * R / (A * G)

    return float(integrate.quad(density, 0, arm, epsabs=0, epsrel=1e-12)[0])


@pytest.mark.parametrize(("outer", "opening"), [(4.4, 20.0), (7.0, 60.0), (11.0, 150.0)])
def test_the_stiffness_is_that_of_the_integrated_energy(outer: float, opening: float) -> None:
    found = clip(outer=outer, opening=opening, friction=(0.1, 0.1))
    arm = min(pi - radians(opening) / 2, LIFTING_RAD)
    tip = found.interference_mm / 2 * (1 - cos(arm)) / energy_give(found, arm, lever=False)
    assert found.tip_force_n == independent(tip, way="scipy.integrate.quad", rel=1e-8)
    way, force = spread(found)
    across = energy_give(found, pi - radians(opening) / 2, lever=True)
    assert force == independent(way / across, way="scipy.integrate.quad", rel=1e-8)


def test_a_thin_slit_ring_opens_as_in_the_textbooks() -> None:
    """delta = 3 pi P R^3 / (E I) for two opposite forces at the slit."""
    found, R, EI = thin(0.01)
    way, force = spread(found)
    opened = 2 * way * EI / (force * R**3)
    assert opened == remembered("9.425", source="3 pi, slit ring, textbooks of strength of materials")


def test_a_thin_clip_is_pressed_as_bending_alone_says() -> None:
    found, R, EI = thin(0.0)
    out = found.interference_mm / 2
    tip = EI * out / R**3 * 2 * (1 - cos(LIFTING_RAD)) / (LIFTING_RAD - sin(LIFTING_RAD) * cos(LIFTING_RAD))
    assert found.tip_force_n == independent(tip, way="thin ring, by hand", rel=0.002)
    assert tip * R**3 / (EI * out) == independent(1.187, way="by hand", rel=5e-4)


@pytest.mark.parametrize(("ratio", "printed"), [("1.3", "72.98"), ("2", "7.725"), ("3", "2.285")])
def test_the_stress_at_the_inner_side_is_winklers(ratio: str, printed: str) -> None:
    """Stress by the hyperbolic theory, as a multiple of M / a^2 for a bar of unit thickness."""
    found = clip(peg=2.3, bore=2.0, outer=2 * float(ratio), length=1.0, friction=(0.1, 0.1))
    _, force = spread(found)
    a, b = 1.0, float(ratio)
    moment = force * (a + b) / 2 * (1 + cos(radians(found.opening_deg) / 2))
    factor = (E * found.passing_strain - force / (b - a)) * a**2 / moment
    source = "Timoshenko and Goodier, Theory of Elasticity, bending of a curved bar, table of stresses"
    assert factor == remembered(printed, source=source)


def test_torque_and_pull_off_are_those_of_the_contact_forces() -> None:
    found = clip(friction=(0.2, 0.4))
    way = "by hand from the contact forces"
    assert found.breakaway_nm.low == independent(0.2 * found.normal_force_n * 4.1 / 2000, way=way)
    assert found.pull_off_n.high == independent(0.4 * found.normal_force_n, way=way)
    assert found.running_nm.low < found.breakaway_nm.low
    assert found.running_nm.high < found.breakaway_nm.high


def test_contact_forces_of_an_open_clip_balance() -> None:
    """With an arm too short to lie on the peg only the tips and the very back press."""
    found = clip(opening=140)
    back = 2 * found.tip_force_n * cos(radians(70))
    expected = 2 * found.tip_force_n + back
    assert found.normal_force_n == independent(expected, way="balance of forces along the opening")


@law(
    outer=st.floats(4.3, 12.0),
    opening=st.floats(0.0, 170.0),
    interference=st.floats(0.005, 0.2),
)
def test_a_clip_is_softer_than_the_closed_socket_of_its_sizes(
    outer: float, opening: float, interference: float
) -> None:
    ratio = (4.0 / outer) ** 2
    pressure = interference / 4 * E / ((1 + ratio) / (1 - ratio) + NU)
    closed = pressure * pi * 4.0 * 4.0
    assert clip(peg=4 + interference, outer=outer, opening=opening).normal_force_n < closed


@law(outer=st.floats(4.3, 12.0), opening=st.floats(0.0, 170.0), more=st.floats(1.01, 1.5))
def test_a_thicker_wall_is_stiffer_and_strained_more(outer: float, opening: float, more: float) -> None:
    wall = (outer - 4) / 2 * more
    one, other = clip(outer=outer, opening=opening), clip(outer=4 + 2 * wall, opening=opening)
    assert other.normal_force_n > one.normal_force_n
    assert other.strain > one.strain


@law(scale=st.floats(0.1, 10.0), opening=st.floats(0.0, 170.0))
def test_all_sizes_larger_means_torque_by_the_cube_and_the_same_strain(scale: float, opening: float) -> None:
    one = clip(opening=opening)
    other = clip(4.1 * scale, 4 * scale, 7 * scale, 4 * scale, opening)
    assert other.breakaway_nm.low == pytest.approx(one.breakaway_nm.low * scale**3, rel=1e-9)
    assert other.strain == pytest.approx(one.strain, rel=1e-9)
    assert other.passing_strain == pytest.approx(one.passing_strain, rel=1e-9)


@law(interference=st.floats(0.001, 0.2), times=st.floats(0.5, 3.0))
def test_force_goes_with_interference_length_and_modulus(interference: float, times: float) -> None:
    one = clip(peg=4 + interference).normal_force_n
    assert clip(peg=4 + times * interference).normal_force_n == pytest.approx(times * one, rel=1e-9)
    assert clip(peg=4 + interference, length=4 * times).normal_force_n == pytest.approx(times * one)
    assert clip(peg=4 + interference, modulus=E * times).normal_force_n == pytest.approx(times * one)


def test_the_two_ways_of_touching_meet() -> None:
    opening = 360 - 2 * np.degrees(LIFTING_RAD)
    below, above = clip(opening=opening - 1e-6), clip(opening=opening + 1e-6)
    assert above.normal_force_n == pytest.approx(below.normal_force_n, rel=1e-6)
    assert above.opening_growth_mm == pytest.approx(below.opening_growth_mm, rel=1e-6)


def test_clearance_is_an_answer_and_is_expected_at_a_first_trial() -> None:
    found = clip(peg=3.97)
    assert (found.normal_force_n, found.strain, found.breakaway_nm.high) == (0.0, 0.0, 0.0)
    assert "clearance of 0.03 mm" in str(found.cautions[0])
    assert "first trial" in str(found.cautions[0])


def test_an_opening_of_half_a_turn_holds_nothing() -> None:
    found = clip(opening=180)
    assert not found.holds
    assert found.breakaway_nm.high == found.sideways_n.high == 0.0
    assert "falls out" in str(found.cautions[0])
    assert clip(opening=179).holds


def test_a_wide_opening_lets_a_small_peg_in_and_a_slit_only_along_the_axis() -> None:
    small = clip(peg=3.0, opening=120)
    assert (small.sideways_n.high, small.passing_strain) == (0.0, 0.0)
    slit = clip(opening=0)
    assert slit.sideways_n.low == inf
    assert any("along its axis" in str(one) for one in slit.cautions)


def test_too_much_strain_is_said_seated_and_on_the_way() -> None:
    said = " ".join(map(str, clip(peg=4.5, friction=(0.2, 0.3)).cautions))
    assert "of the seated clip" in said
    assert "on the way in sideways" in said
    assert "above a tenth of the bore" in said
    assert "presses the peg in too" in " ".join(map(str, clip(outer=14).cautions))


def test_a_clip_without_wall_and_crossed_frictions_are_refused() -> None:
    with pytest.raises(ImpossibleInput, match="no wall is left"):
        clip(outer=4.0)
    with pytest.raises(ImpossibleInput, match="friction_low"):
        clip(friction=(0.5, 0.3))


def test_many_pieces_at_once_answer_as_one_by_one() -> None:
    rng = np.random.default_rng(4)
    n = 200
    sizes = {
        "peg_diameter": rng.normal(4.05, 0.05, n),
        "socket_bore": rng.normal(4.0, 0.02, n),
        "socket_outer": rng.uniform(5, 8, n),
        "contact_length": np.asarray(4.0),
        "opening_deg": rng.uniform(0, 200, n),
    }
    friction = rng.uniform(0.2, 0.5, n)
    found = MODEL.respond(sizes, Materials(outer=CLIP), friction)
    for i in range(n):
        one = clip(
            *(float(np.broadcast_to(size, n)[i]) for size in sizes.values()),
            friction=(friction[i], friction[i]),
        )
        assert found.measure[i] == pytest.approx(one.breakaway_nm.low, rel=1e-12)
        assert found.strain_use[i] == pytest.approx(one.strain_use, rel=1e-12)


def test_pieces_that_cannot_be_and_materials_not_known_are_not_numbers() -> None:
    sizes = {
        "peg_diameter": np.array([4.1, 4.1, 4.1, -1.0]),
        "socket_bore": np.array([4.0, 4.0, 0.0, 4.0]),
        "socket_outer": np.array([7.0, 3.9, 7.0, 7.0]),
        "contact_length": np.asarray(4.0),
    }
    measure = MODEL.respond(sizes, Materials(outer=CLIP), np.asarray(0.3)).measure
    assert list(np.isnan(measure)) == [False, True, True, True]
    assert np.isnan(MODEL.respond(sizes, Materials(), np.asarray(0.3)).measure).all()


def test_the_inputs_stay_on_the_result() -> None:
    found = clip()
    assert (found.peg_diameter_mm, found.socket_outer_mm, found.opening_deg) == (4.1, 7.0, 60.0)
    assert (found.friction.low, found.friction.high) == (0.3, 0.5)

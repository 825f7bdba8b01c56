"""Ball in a socket: Lamé's hollow sphere solved anew, torques by quadrature, and what a lip does."""

from __future__ import annotations

from math import acos, asin, degrees, inf, pi, sin, sqrt

import numpy as np
import pytest
from hypothesis import strategies as st
from scipy import integrate, linalg

from offtool.core.joints.ball import MODEL, BallInSocket, ball_in_socket
from offtool.core.joints.evidence import JointMaterial
from offtool.core.joints.response import Materials
from offtool.core.joints.wedge import greatest_push
from offtool.core.values import ImpossibleInput
from tests.core.laws import law
from tests.labels import independent

BALL = JointMaterial(modulus_mpa=2600, poisson=0.35, strain_allowed=0.06)
SOCKET = JointMaterial(modulus_mpa=1300, poisson=0.4, strain_allowed=0.06)


def joint(
    ball: float = 6.03,
    bore: float = 6.0,
    lip: float = 5.7,
    outer: float = 9.0,
    *,
    inner: JointMaterial = BALL,
    socket: JointMaterial = SOCKET,
    friction: tuple[float, float] = (0.15, 0.25),
) -> BallInSocket:
    return ball_in_socket(
        ball,
        bore,
        lip,
        outer,
        inner_modulus_mpa=inner.modulus_mpa,
        inner_poisson=inner.poisson,
        inner_strain_allowed=inner.strain_allowed,
        outer_modulus_mpa=socket.modulus_mpa,
        outer_poisson=socket.poisson,
        outer_strain_allowed=socket.strain_allowed,
        friction_low=friction[0],
        friction_high=friction[1],
    )


def growth_of_a_hollow_sphere(inner: float, outer: float, material: JointMaterial, n: int = 1000) -> float:
    """Growth of the inner radius for 1 MPa inside: the radial equation u'' + 2 u'/r - 2 u/r^2 = 0 by finite
    differences of second order, the pressures at both faces as boundary values."""
    E, nu = material.modulus_mpa, material.poisson
    r, h = np.linspace(inner, outer, n + 1, retstep=True)
    bands = np.zeros((5, n + 1))  # row i, column j at [2 + i - j, j]

    def put(i: int, j: int, value: float) -> None:
        bands[2 + i - j, j] = value

    for i in range(1, n):
        put(i, i - 1, 1 / h**2 - 1 / (r[i] * h))
        put(i, i, -2 / h**2 - 2 / r[i] ** 2)
        put(i, i + 1, 1 / h**2 + 1 / (r[i] * h))
    stiff = E / ((1 + nu) * (1 - 2 * nu))
    for i, way in ((0, 1), (n, -1)):
        put(i, i, stiff * (-way * (1 - nu) * 1.5 / h + 2 * nu / r[i]))
        put(i, i + way, stiff * way * (1 - nu) * 2 / h)
        put(i, i + 2 * way, -stiff * way * (1 - nu) * 0.5 / h)
    pressures = np.zeros(n + 1)
    pressures[0] = -1.0
    return float(linalg.solve_banded((2, 2), bands, pressures)[0])


@pytest.mark.parametrize("outer", [6.6, 9.0, 20.0])
def test_the_pressure_closes_the_interference_on_spheres_solved_anew(outer: float) -> None:
    found = joint(outer=outer)
    shell = growth_of_a_hollow_sphere(3.0, outer / 2, SOCKET)
    ball = 3.0 * (1 - 2 * BALL.poisson) / BALL.modulus_mpa
    way = "finite differences of the radial equation, a solid ball by hand"
    assert found.pressure_mpa == independent(0.015 / (shell + ball), way=way, rel=1e-4)
    assert found.socket_strain == independent(found.pressure_mpa * shell / 3.0, way=way, rel=1e-4)
    assert found.ball_strain == independent(found.pressure_mpa * ball / 3.0, way=way)


def test_a_thin_shell_has_the_strain_of_a_balloon() -> None:
    """Hoop stress p R / (2 t) both ways."""
    found = joint(outer=6.012)
    strain = found.pressure_mpa * 3.0 / (2 * 0.006) * (1 - SOCKET.poisson) / SOCKET.modulus_mpa
    assert found.socket_strain == independent(strain, way="membrane, by hand", rel=0.01)
    assert found.socket_strain == independent(0.015 / 3, way="the ball does not give", rel=0.01)


def torque(found: BallInSocket, friction: float, *, across: bool) -> float:
    """Friction times lever over the covered zone, by quadrature over both angles, in N·m."""
    r, covered = found.ball_diameter_mm / 2, np.radians(found.covered_deg)

    def lever(turn: float, t: float) -> float:
        return sqrt(1 - (sin(t) * np.cos(turn)) ** 2) if across else sin(t)

    shape, _ = integrate.dblquad(
        lambda turn, t: lever(turn, t) * sin(t), 0, covered, 0, pi / 2, epsabs=1e-10, epsrel=1e-10
    )
    return float(4 * friction * found.pressure_mpa * r**3 * shape / 1000)


@pytest.mark.parametrize("lip", [5.99, 5.5, 4.0])
def test_torques_are_the_sums_over_the_covered_zone(lip: float) -> None:
    found = joint(lip=lip)
    way = "scipy.integrate.dblquad over the zone"
    assert found.about_nm.low == independent(torque(found, 0.15, across=False), way=way, rel=1e-7)
    assert found.across_nm.high == independent(torque(found, 0.25, across=True), way=way, rel=1e-7)


def test_a_ball_covered_all_round_turns_the_same_about_any_axis() -> None:
    found = joint(lip=1e-4)
    expected = pi**2 * 0.15 * found.pressure_mpa * 3.015**3 / 1000
    assert found.across_nm.low == independent(expected, way="pi^2 mu p r^3, by hand", rel=1e-6)
    assert found.about_nm.low == independent(expected, way="pi^2 mu p r^3, by hand", rel=1e-6)


def test_half_a_ball_has_half_of_that_and_between_the_two_it_turns_easier_across() -> None:
    half = joint(lip=6 - 1e-9)
    expected = pi**2 / 2 * 0.15 * half.pressure_mpa * 3.015**3 / 1000
    assert half.across_nm.low == independent(expected, way="half of pi^2 mu p r^3", rel=1e-4)
    assert half.about_nm.low == independent(expected, way="half of pi^2 mu p r^3", rel=1e-4)
    for lip in (5.9, 5.0, 3.0, 1.0):
        assert joint(lip=lip).across_nm.low < joint(lip=lip).about_nm.low


def test_the_covered_angle_is_that_of_the_lip() -> None:
    assert joint(lip=3.0).covered_deg == independent(180 - 30, way="sine of the lip over the hollow")
    assert joint(lip=5.7).covered_deg == independent(180 - degrees(asin(0.95)), way="by hand")


def test_the_strain_past_the_lip_is_that_of_its_growth_to_the_ball() -> None:
    found = joint(ball=6.0, lip=5.8, bore=6.0)
    assert found.lip_strain == independent(0.2 / 5.8, way="by hand")
    assert found.strain_use == independent(0.2 / 5.8 / 0.06, way="by hand")


def test_the_force_past_the_lip_is_that_of_a_long_tube_on_an_elastic_foundation() -> None:
    """D w'''' + E t w / R^2 = 0 with a line load at the end."""
    found = joint(outer=6.3)
    R, t, E, nu = (5.7 + 6.3) / 4, 0.3, SOCKET.modulus_mpa, SOCKET.poisson
    D = E * t**3 / (12 * (1 - nu**2))
    reach = sqrt(R * t)

    def slopes(_: object, y: np.ndarray) -> np.ndarray:
        return np.vstack([y[1], y[2], y[3], -E * t / (R**2 * D) * y[0]])

    def ends(near: np.ndarray, far: np.ndarray) -> np.ndarray:
        return np.array([near[2], near[3] - 1 / D, far[0], far[1]])

    x = np.linspace(0, 12 * reach, 400)
    solved = integrate.solve_bvp(slopes, ends, x, np.zeros((4, len(x))), tol=1e-6, max_nodes=20_000)
    assert solved.success
    stiffness = 2 * pi * R / abs(float(solved.y[0, 0]))
    push = 6.03 / 2 * stiffness * greatest_push(5.7 / 6.03, 0.15)
    assert found.past_lip_n.low == independent(
        push, way="scipy.integrate.solve_bvp, by collocation", rel=1e-3
    )


@law(interference=st.floats(0.001, 0.1), outer=st.floats(6.5, 20.0), more=st.floats(1.01, 2.0))
def test_torque_grows_with_interference_and_with_the_wall(
    interference: float, outer: float, more: float
) -> None:
    one = joint(ball=6 + interference, outer=outer)
    assert joint(ball=6 + interference * more, outer=outer).across_nm.low > one.across_nm.low
    assert joint(ball=6 + interference, outer=6 + (outer - 6) * more).across_nm.low > one.across_nm.low


@law(scale=st.floats(0.1, 10.0), lip=st.floats(1.0, 5.99))
def test_all_sizes_larger_means_torque_by_the_cube_and_forces_by_the_square(scale: float, lip: float) -> None:
    one = joint(lip=lip)
    other = joint(6.03 * scale, 6 * scale, lip * scale, 9 * scale)
    assert other.across_nm.high == pytest.approx(one.across_nm.high * scale**3, rel=1e-9)
    assert other.pressure_mpa == pytest.approx(one.pressure_mpa, rel=1e-9)
    assert other.strain_use == pytest.approx(one.strain_use, rel=1e-9)
    if one.past_lip_n.high < inf:
        assert other.past_lip_n.high == pytest.approx(one.past_lip_n.high * scale**2, rel=1e-6)


@law(lip=st.floats(1.0, 5.9), more=st.floats(1.001, 1.01))
def test_a_narrower_lip_covers_more_and_turns_harder(lip: float, more: float) -> None:
    assert joint(lip=lip).across_nm.low > joint(lip=lip * more).across_nm.low
    assert joint(lip=lip).about_nm.low > joint(lip=lip * more).about_nm.low


def test_a_lip_as_wide_as_the_ball_or_the_hollow_holds_nothing() -> None:
    wide = joint(lip=6.03)
    assert not wide.stays_in
    assert (wide.across_nm.high, wide.past_lip_n.high, wide.lip_strain) == (0.0, 0.0, 0.0)
    assert "falls out" in str(wide.cautions[0])
    without = joint(lip=6.01)
    assert not without.stays_in
    assert "slips out" in str(without.cautions[0])


def test_a_ball_with_clearance_turns_freely_and_stays_in() -> None:
    found = joint(ball=5.95)
    assert found.stays_in
    assert (found.pressure_mpa, found.across_nm.high) == (0.0, 0.0)
    assert found.lip_strain > 0
    assert found.past_lip_n.low > 0
    assert "clearance of 0.05 mm" in str(found.cautions[0])


def test_too_much_strain_at_the_lip_is_said_with_a_remedy_and_a_lip_that_locks_too() -> None:
    said = " ".join(map(str, joint(lip=5.0).cautions))
    assert "past the lip" in said
    assert "slots" in said
    narrow = joint(lip=1.0, friction=(0.2, 0.4))
    assert acos(1 / 6.03) + np.arctan(0.2) > pi / 2
    assert narrow.past_lip_n.low == inf
    assert any("bevel" in str(one) for one in narrow.cautions)


def test_a_socket_without_wall_is_refused() -> None:
    with pytest.raises(ImpossibleInput, match="that of the hollow"):
        joint(outer=6.0)
    with pytest.raises(ImpossibleInput, match="that of the lip"):
        joint(outer=6.5, lip=6.6)
    with pytest.raises(ImpossibleInput, match="friction_low"):
        joint(friction=(0.3, 0.2))


def test_many_pieces_at_once_answer_as_one_by_one() -> None:
    rng = np.random.default_rng(4)
    n = 200
    sizes = {
        "ball_diameter": rng.normal(6.02, 0.03, n),
        "socket_bore": rng.normal(6.0, 0.01, n),
        "opening_diameter": rng.uniform(4.0, 6.1, n),
        "socket_outer": np.asarray(9.0),
    }
    friction = rng.uniform(0.1, 0.4, n)
    found = MODEL.respond(sizes, Materials(inner=BALL, outer=SOCKET), friction)
    for i in range(n):
        one = joint(
            *(float(np.broadcast_to(size, n)[i]) for size in sizes.values()),
            friction=(friction[i], friction[i]),
        )
        assert found.measure[i] == pytest.approx(one.across_nm.low, rel=1e-12)
        assert found.strain_use[i] == pytest.approx(one.strain_use, rel=1e-12)


def test_pieces_that_cannot_be_and_materials_not_known_are_not_numbers() -> None:
    sizes = {
        "ball_diameter": np.array([6.03, 6.03, -1.0, 6.03]),
        "socket_bore": np.array([6.0, 6.0, 6.0, 0.0]),
        "opening_diameter": np.asarray(5.7),
        "socket_outer": np.array([9.0, 5.9, 9.0, 9.0]),
    }
    measure = MODEL.respond(sizes, Materials(inner=BALL, outer=SOCKET), np.asarray(0.3)).measure
    assert list(np.isnan(measure)) == [False, True, True, True]
    assert np.isnan(MODEL.respond(sizes, Materials(inner=BALL), np.asarray(0.3)).measure).all()

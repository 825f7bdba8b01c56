"""Cantilever snaps: a published example, beams integrated anew, and what the shapes of a finger do."""

from __future__ import annotations

from math import inf, radians, tan

import numpy as np
import pytest
from hypothesis import strategies as st
from scipy import integrate

from offtool.core.joints.evidence import JointMaterial
from offtool.core.joints.response import Materials
from offtool.core.joints.snap import (
    MODEL,
    CantileverSnap,
    SnapUndercut,
    cantilever_snap,
    snap_undercut_allowed,
)
from offtool.core.values import ImpossibleInput
from tests.core.laws import law
from tests.labels import independent, remembered

GUIDE = "a resin maker's public snap-fit design guide, calculation example I; arithmetic reproduced"
FINGER = JointMaterial(modulus_mpa=1815, poisson=0.37, strain_allowed=0.04)


def snap(
    length: float = 19.0,
    root: float = 3.28,
    width: float = 9.5,
    undercut: float = 2.4,
    *,
    tip: float = 0.5,
    share: float = 1.0,
    lead: float = 30.0,
    hold: float = 45.0,
    friction: tuple[float, float] = (0.6, 0.6),
) -> CantileverSnap:
    return cantilever_snap(
        length,
        root,
        width,
        undercut,
        tip_share=tip,
        width_share=share,
        lead_deg=lead,
        hold_deg=hold,
        inner_modulus_mpa=FINGER.modulus_mpa,
        inner_strain_allowed=FINGER.strain_allowed,
        friction_low=friction[0],
        friction_high=friction[1],
    )


def allowed(length: float = 19.0, root: float = 3.28, **rest: float) -> SnapUndercut:
    return snap_undercut_allowed(length, root, inner_strain_allowed=0.02, use="once", **rest)


def test_the_published_finger_has_the_published_thickness() -> None:
    """The undercut allowed goes with 1 over the thickness, so that one of 1 mm gives the thickness."""
    thickness = allowed(root=1.0, tip_share=0.5).undercut_mm / 2.4
    assert thickness == remembered("3.28", source=GUIDE)


def test_the_published_finger_takes_the_published_forces() -> None:
    found = snap()
    assert found.deflection_force_n == remembered("32.5", source=GUIDE)
    assert 100 * found.strain == remembered("2.0", source=GUIDE)
    assert found.mating_n.low == independent(
        32.5 * 1.8, way="the guide's 58.5 N, from its force and factor as rounded there", rel=0.003
    )


def test_a_finger_of_one_thickness_has_the_printed_strain() -> None:
    """1.5 h y / L^2, of which a public page on snap fits prints 4.16 %, cut off."""
    found = snap(15.0, 2.5, 5.0, 2.5, tip=1.0)
    assert found.strain == independent(1.5 * 2.5 * 2.5 / 15**2, way="by hand")
    assert int(10_000 * found.strain) == 416


def test_the_factors_of_the_guide_are_those_of_the_integral() -> None:
    source = "a resin maker's public snap-fit design guide, undercut allowed, rectangle"
    per = 0.02 * 19.0**2 / 3.28
    assert allowed(tip_share=1.0).undercut_mm / per == remembered("0.67", source=source)
    assert allowed(tip_share=0.5).undercut_mm / per == remembered("1.09", source=source)


def bent_by_quad(k: float) -> float:
    """Tip deflection for P L^3 = E I = 1 by the virtual work integral along the finger."""
    return float(
        integrate.quad(lambda x: (1 - x) ** 2 / (1 - (1 - k) * x) ** 3, 0, 1, epsabs=0, epsrel=1e-12)[0]
    )


@pytest.mark.parametrize("tip", [0.05, 0.3, 0.5, 0.89, 0.91, 0.999999, 1.0, 1.05, 1.5])
def test_deflection_of_any_taper_is_that_of_virtual_work(tip: float) -> None:
    found = snap(tip=tip)
    force = 1815 * 9.5 * 3.28**3 / 12 * 2.4 / (bent_by_quad(tip) * 19**3)
    assert found.deflection_force_n == independent(force, way="scipy.integrate.quad", rel=1e-10)


@pytest.mark.parametrize(("tip", "share"), [(1.0, 1.0), (0.5, 0.6), (0.25, 1.7)])
def test_a_finger_solved_as_a_boundary_value_problem_bends_and_strains_as_much(
    tip: float, share: float
) -> None:
    """E I w'' = P (L - x), clamped, the tip moved by the undercut: summed along the finger."""
    found = snap(tip=tip, share=share)
    n, L = 2000, 19.0
    x, h = np.linspace(0, L, n + 1, retstep=True)
    thickness = 3.28 * (1 - (1 - tip) * x / L)
    centre, inertia = section(thickness, 9.5, share)
    # With M = P (L - x), the slope and deflection are sums of M / (E I): the trapezoid rule twice.
    curvature = (L - x) / (1815 * inertia)
    slope = integrate.cumulative_trapezoid(curvature, dx=h, initial=0)
    deflection = integrate.trapezoid(slope, dx=h)
    force = 2.4 / deflection
    way = "trapezoid rule along 2000 pieces"
    assert found.deflection_force_n == independent(force, way=way, rel=1e-5)
    assert found.strain == independent(force * (curvature * centre).max(), way=way, rel=1e-5)
    assert found.compression_strain == independent(
        force * (curvature * (thickness - centre)).max(), way=way, rel=1e-5
    )


def section(thickness: np.ndarray, width: float, share: float) -> tuple[np.ndarray, np.ndarray]:
    """Neutral axis from the side in tension and second moment by Gauss points, which are exact here."""
    points, weights = np.polynomial.legendre.leggauss(4)
    y, w = (points + 1) / 2, weights / 2
    wide = width * (1 + (share - 1) * y)
    centre = (w * wide * y).sum() / (w * wide).sum()
    return centre * thickness, (w * wide * (y - centre) ** 2).sum() * thickness**3


@law(tip=st.floats(0.05, 1.5), share=st.floats(0.2, 5.0))
def test_undercut_allowed_and_strain_are_the_same_relation(tip: float, share: float) -> None:
    most = allowed(tip_share=tip, width_share=share).undercut_mm
    assert snap(undercut=most, tip=tip, share=share).strain == pytest.approx(0.02, rel=1e-9)
    assert snap(tip=tip, share=share).undercut_allowed_mm == pytest.approx(2 * most, rel=1e-9)


@law(undercut=st.floats(0.1, 3.0), times=st.floats(0.3, 3.0), tip=st.floats(0.2, 1.0))
def test_force_and_strain_go_with_the_undercut_and_as_powers_of_the_sizes(
    undercut: float, times: float, tip: float
) -> None:
    one = snap(undercut=undercut, tip=tip)
    more = snap(undercut=undercut * times, tip=tip)
    assert more.deflection_force_n == pytest.approx(one.deflection_force_n * times)
    assert more.strain == pytest.approx(one.strain * times)
    longer = snap(length=19 * times, undercut=undercut, tip=tip)
    assert longer.deflection_force_n == pytest.approx(one.deflection_force_n / times**3)
    assert longer.strain == pytest.approx(one.strain / times**2)
    thicker = snap(root=3.28 * times, undercut=undercut, tip=tip)
    assert thicker.deflection_force_n == pytest.approx(one.deflection_force_n * times**3)
    assert thicker.strain == pytest.approx(one.strain * times)
    assert snap(width=9.5 * times, undercut=undercut, tip=tip).strain == pytest.approx(one.strain)


@law(one=st.floats(0.2, 1.0), other=st.floats(0.2, 1.0))
def test_a_thinner_tip_is_softer(one: float, other: float) -> None:
    low, high = sorted((one, other))
    assert snap(tip=low).deflection_force_n <= snap(tip=high).deflection_force_n


@law(share=st.floats(0.2, 5.0))
def test_a_trapezoid_turned_round_swaps_tension_and_compression(share: float) -> None:
    one, other = snap(width=9.5, share=share), snap(width=9.5 * share, share=1 / share)
    assert other.deflection_force_n == pytest.approx(one.deflection_force_n, rel=1e-12)
    assert other.strain == pytest.approx(one.compression_strain, rel=1e-12)
    assert other.compression_strain == pytest.approx(one.strain, rel=1e-12)


def test_a_triangle_has_its_axis_at_a_third() -> None:
    found = snap(share=1e-12)
    assert found.compression_strain / found.strain == independent(2.0, way="centroid of a triangle", rel=1e-9)
    inertia = 9.5 * 3.28**3 / 36
    force = 1815 * inertia * 2.4 / (bent_by_quad(0.5) * 19**3)
    assert found.deflection_force_n == independent(force, way="b h^3 / 36", rel=1e-9)


def test_a_strong_taper_is_strained_most_off_its_root() -> None:
    at_root = 1.5 * 3.28 * 2.4 / 19**2 / (3 * bent_by_quad(0.25))
    found = snap(tip=0.25)
    assert found.strain == independent(at_root / (4 * 0.25 * 0.75), way="top of M c / I, by hand")
    assert found.strain > at_root


def test_pull_off_is_the_wedge_of_the_hold_angle() -> None:
    found = snap(friction=(0.3, 0.5), hold=45)
    expected = found.deflection_force_n * (0.5 + tan(radians(45))) / (1 - 0.5 * tan(radians(45)))
    assert found.pull_off_n.high == independent(expected, way="by hand")
    assert found.pull_off_n.low < found.pull_off_n.high
    assert snap(lead=45, hold=45).mating_n == snap(lead=45, hold=45).pull_off_n


def test_a_hook_that_locks_holds_for_ever_and_is_said_to() -> None:
    assert snap(hold=90).pull_off_n.low == inf
    assert any("hook locks" in str(one) for one in snap(hold=90).cautions)
    between = snap(hold=60, friction=(0.3, 0.7))
    assert between.pull_off_n.low < inf
    assert between.pull_off_n.high == inf
    assert any("not certain" in str(one) for one in between.cautions)
    assert any("cannot be pushed in" in str(one) for one in snap(lead=60).cautions)


@pytest.mark.parametrize("undercut", [0.0, -0.1])
def test_without_an_undercut_nothing_holds(undercut: float) -> None:
    found = snap(undercut=undercut, hold=90)
    assert (found.deflection_force_n, found.strain, found.pull_off_n.high, found.mating_n.high) == (
        0,
        0,
        0,
        0,
    )
    assert "holds nothing" in str(found.cautions[0])


def test_strain_stubbiness_and_large_deflection_are_said() -> None:
    assert "above the 4.0% allowed" in " ".join(map(str, snap(undercut=5.0).cautions))
    assert "allowed" not in " ".join(map(str, snap(undercut=4.0).cautions))
    assert "small deflections" in " ".join(map(str, snap().cautions))
    assert "also shears" in " ".join(map(str, snap(length=10.0).cautions))
    assert len(snap(length=30.0).cautions) == 1


def test_repeated_use_allows_six_tenths_of_the_undercut() -> None:
    once = snap_undercut_allowed(15, 2, inner_strain_allowed=0.02, use="once")
    often = snap_undercut_allowed(15, 2, inner_strain_allowed=0.02, use="repeated")
    assert often.undercut_mm == independent(0.6 * once.undercut_mm, way="common practice, by hand")
    assert (once.strain, often.strain) == (0.02, pytest.approx(0.012))
    assert once.gain_by_taper == independent(1.0, way="no taper")


def test_crossed_frictions_are_refused() -> None:
    with pytest.raises(ImpossibleInput, match="friction_low"):
        snap(friction=(0.5, 0.2))


def test_many_pieces_at_once_answer_as_one_by_one() -> None:
    rng = np.random.default_rng(4)
    n = 200
    sizes = {
        "beam_length": rng.normal(19, 0.1, n),
        "root_thickness": rng.normal(3.28, 0.05, n),
        "width": np.asarray(9.5),
        "undercut": rng.normal(0.1, 0.1, n),
        "tip_share": rng.uniform(0.3, 1.1, n),
        "width_share": rng.uniform(0.5, 1.5, n),
        "hold_deg": rng.uniform(20, 90, n),
    }
    friction = rng.uniform(0.1, 0.6, n)
    found = MODEL.respond(sizes, Materials(inner=FINGER), friction)
    for i in range(n):
        length, root, width, undercut, tip, share, hold = (
            float(np.broadcast_to(size, n)[i]) for size in sizes.values()
        )
        one = snap(
            *(length, root, width, undercut),
            tip=tip,
            share=share,
            hold=hold,
            friction=(friction[i], friction[i]),
        )
        assert found.measure[i] == pytest.approx(one.pull_off_n.low, rel=1e-12)
        assert found.strain_use[i] == pytest.approx(one.strain_use, rel=1e-12)


def test_pieces_that_cannot_be_and_materials_not_known_are_not_numbers() -> None:
    sizes = {
        "beam_length": np.array([19.0, 0.0, 19.0, 19.0]),
        "root_thickness": np.array([3.0, 3.0, -1.0, 3.0]),
        "width": np.asarray(9.5),
        "undercut": np.asarray(1.0),
        "tip_share": np.array([1.0, 1.0, 1.0, 0.0]),
    }
    measure = MODEL.respond(sizes, Materials(inner=FINGER), np.asarray(0.3)).measure
    assert list(np.isnan(measure)) == [False, True, True, True]
    assert np.isnan(MODEL.respond(sizes, Materials(), np.asarray(0.3)).measure).all()

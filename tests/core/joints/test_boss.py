"""Screw in boss: its parts recomputed, its limits, and that it ranks bores and walls the right way."""

from __future__ import annotations

from math import cos, pi, radians, sqrt, tan
from typing import Any

import numpy as np
import pytest
from hypothesis import strategies as st
from scipy.integrate import quad

from offtool.core.joints.boss import MODEL, ScrewedBoss, screw_in_boss
from offtool.core.joints.evidence import JointMaterial
from offtool.core.joints.materials import material_of, one_piece, yield_of
from offtool.core.joints.response import Materials, Response
from offtool.core.values import ImpossibleInput
from tests.core.laws import law
from tests.labels import independent, practice

USUAL: dict[str, Any] = {
    "screw_diameter_mm": 3.0,
    "screw_core_mm": 2.0,
    "screw_pitch_mm": 1.35,
    "boss_bore_mm": 2.4,
    "boss_outer_mm": 6.0,
    "engagement_mm": 6.0,
    "modulus_mpa": 2300.0,
    "poisson": 0.39,
    "strain_allowed": 0.02,
    "yield_mpa": 40.0,
    "friction_low": 0.3,
    "friction_high": 0.3,
}


ROLES = {name.removesuffix("_mm"): value for name, value in USUAL.items() if name.endswith("_mm")}


def answer(**changed: float) -> Response:
    """What the joint is judged by, in ABS assembled once."""
    boss = material_of("ABS", repeated=False)
    return MODEL.respond(one_piece(**{**ROLES, **changed}), Materials(outer=boss), np.asarray(0.3))


def driven(**changed: float | None) -> ScrewedBoss:
    return screw_in_boss(**{**USUAL, **changed})


def test_the_usual_boss_is_one_that_shops_accept() -> None:
    """A bore of 0.8 and an outer diameter of 2 screws is what bosses are drawn with."""
    found = driven()
    assert USUAL["boss_bore_mm"] / USUAL["screw_diameter_mm"] == practice("0.8")
    assert found.strain_use < 1
    assert found.ratio.low > 2
    assert not any("may bear" in str(one) or "times driving" in str(one) for one in found.cautions)


def test_a_boss_of_a_known_material_screwed_once_passes_the_usual_rule() -> None:
    """A bore of 0.8 and an outer diameter of 2 screws, in the strain that the material bears once."""
    boss = material_of("ABS", repeated=False)
    found = MODEL.respond(one_piece(**ROLES), Materials(outer=boss), np.asarray(0.0))
    assert boss is not None
    assert boss.strain_allowed == practice("0.020")
    assert found.strain_use < 1


@law(bore=st.floats(2.0, 3.2), wider=st.floats(0.0, 0.5), least=st.floats(50, 1000))
def test_a_wider_bore_never_holds_more_nor_strains_more(bore: float, wider: float, least: float) -> None:
    """So that a joint without thread is loose, and steel is never told to widen a loose bore."""
    narrow, wide = (answer(boss_bore=one) for one in (bore, bore + wider))
    assert wide.measure <= narrow.measure
    assert wide.strain_use <= narrow.strain_use
    assert answer(boss_bore=3.0).measure < least


def test_friction_moves_neither_hold_nor_strain() -> None:
    boss = Materials(outer=material_of("ABS", repeated=False))
    low, high = (MODEL.respond(one_piece(**ROLES), boss, np.asarray(mu)) for mu in (0.0, 0.8))
    assert (low.measure, low.strain_use) == (high.measure, high.strain_use)


def test_the_bore_grows_by_what_the_flanks_displace() -> None:
    """The section of the flank, turned round and summed over its height, spread over one pitch."""
    half = tan(radians(15))
    turned, _ = quad(lambda r: 2 * pi * r * 2 * (1.5 - r) * half, 1.2, 1.5)
    bore = sqrt(2.4**2 + 4 / pi * turned / 1.35)
    assert driven().boss_strain == independent(
        bore / 2.4 - 1, way="solid of revolution by quadrature", rel=1e-9
    )


def test_a_core_wider_than_the_bore_is_displaced_as_well() -> None:
    """With a thread that all but vanishes, the screw is a plain pin pressed in."""
    found = driven(screw_core_mm=2.999999, boss_bore_mm=2.9, screw_pitch_mm=100.0)
    assert found.boss_strain == independent(0.1 / 2.9, way="the bore takes the pin's size", rel=2e-2)


def test_the_wall_presses_as_lame_says_until_all_of_it_yields() -> None:
    found = driven()
    give = ((36 + 2.4**2) / (36 - 2.4**2) + 0.39) / 2300
    assert found.pressure_mpa == independent(found.boss_strain / give, way="Lamé, bore under pressure")
    yielded, _ = quad(lambda r: 2 / sqrt(3) * 40 / r, 1.0, 3.0)
    assert driven(boss_bore_mm=2.0).pressure_mpa == independent(
        yielded, way="equilibrium of a fully yielded tube, by quadrature", rel=1e-9
    )


def test_pull_out_shears_the_pitch_cylinder() -> None:
    expected = 40 / sqrt(3) * pi * 2.5 * 6.0
    assert driven().pull_out_n == independent(expected, way="shear strength on a cylinder, by hand")


def test_stripping_and_driving_are_force_and_friction_at_their_levers() -> None:
    found = driven()
    along = 1.35 / (2 * pi) + 0.3 * (1.25 / cos(radians(15)) + 0.75 * 3.0)
    assert found.stripping_nm.low == independent(found.pull_out_n * along / 1000, way="by hand")
    rubbing = 0.3 * found.pressure_mpa * pi * 2.4 * 6.0 * 1.25
    assert found.driving_nm.low == independent(rubbing / 1000, way="by hand")
    assert found.ratio.low == independent(
        found.stripping_nm.low / found.driving_nm.low, way="one over the other"
    )


def test_without_friction_only_the_pitch_lifts() -> None:
    found = driven(friction_low=0.0, friction_high=0.0)
    work = found.stripping_nm.low * 1000 * 2 * pi
    assert work == independent(found.pull_out_n * 1.35, way="work of one turn lifts by one pitch")
    assert found.driving_nm.low == 0


def test_a_bore_as_wide_as_the_screw_holds_nothing() -> None:
    found = driven(boss_bore_mm=3.0)
    assert (found.pull_out_n, found.ratio.high, found.boss_strain) == (0.0, 0.0, 0.0)
    assert str(found.cautions[0]) == "the bore is as wide as the screw: nothing holds"


@law(bore=st.floats(2.3, 2.9), wider=st.floats(0.01, 0.1))
def test_a_wider_bore_strains_less_drives_easier_and_holds_no_more(bore: float, wider: float) -> None:
    """While the wall stays elastic; a yielded one presses over less area the narrower the bore is."""
    tight, loose = driven(boss_bore_mm=bore), driven(boss_bore_mm=bore + wider)
    assert loose.boss_strain < tight.boss_strain
    assert loose.driving_nm.low < tight.driving_nm.low
    assert loose.pull_out_n <= tight.pull_out_n


@law(outer=st.floats(3, 12), thicker=st.floats(0.1, 5))
def test_a_thicker_boss_presses_harder(outer: float, thicker: float) -> None:
    assert driven(boss_outer_mm=outer + thicker).pressure_mpa > driven(boss_outer_mm=outer).pressure_mpa


@law(length=st.floats(1, 20), times=st.floats(1.1, 4))
def test_forces_and_torques_go_with_the_length(length: float, times: float) -> None:
    short, long = driven(engagement_mm=length), driven(engagement_mm=length * times)
    assert long.pull_out_n == pytest.approx(times * short.pull_out_n)
    assert long.ratio.low == pytest.approx(short.ratio.low)


@law(scale=st.floats(0.2, 10))
def test_all_lengths_scaled_leave_strain_and_ratio(scale: float) -> None:
    lengths = {name: value * scale for name, value in USUAL.items() if name.endswith("_mm")}
    found, one = driven(**lengths), driven()
    assert found.boss_strain == pytest.approx(one.boss_strain, rel=1e-9)
    assert found.ratio.low == pytest.approx(one.ratio.low, rel=1e-9)
    assert found.driving_nm.low == pytest.approx(scale**3 * one.driving_nm.low, rel=1e-9)


def test_too_small_a_bore_and_too_thin_a_boss_are_cautioned_against() -> None:
    words = " ".join(map(str, driven(boss_bore_mm=2.0, boss_outer_mm=5.9, engagement_mm=4.0).cautions))
    for said in ("it can split", "no safe setting", "thinner than twice", "less thread than twice"):
        assert said in words


@pytest.mark.parametrize(
    ("argument", "changed"),
    [
        ("boss_outer_mm", {"boss_outer_mm": 2.4}),
        ("screw_diameter_mm", {"screw_core_mm": 3.0}),
        ("friction_low", {"friction_low": 0.5}),
    ],
)
def test_what_cannot_be_is_refused_by_name(argument: str, changed: dict[str, float]) -> None:
    with pytest.raises(ImpossibleInput) as refused:
        driven(**changed)
    assert refused.value.argument == argument


def test_many_bosses_at_once_answer_as_one_by_one() -> None:
    rng = np.random.default_rng(11)
    count = 200
    sizes = {
        "screw_diameter": rng.uniform(2.8, 3.2, count),
        "screw_core": rng.uniform(1.8, 2.2, count),
        "screw_pitch": rng.uniform(1.0, 1.5, count),
        "boss_bore": rng.uniform(1.9, 3.1, count),
        "boss_outer": rng.uniform(5, 8, count),
        "engagement": rng.uniform(4, 9, count),
    }
    friction = rng.uniform(0.2, 0.5, count)
    boss = material_of("ABS", repeated=False)
    assert boss
    found = MODEL.respond(sizes, Materials(inner=material_of("STEEL"), outer=boss), friction)
    for i in range(0, count, 10):
        mu = float(friction[i])
        one = driven(
            **{f"{role}_mm": float(values[i]) for role, values in sizes.items()},
            yield_mpa=yield_of(boss),
            modulus_mpa=boss.modulus_mpa,
            strain_allowed=boss.strain_allowed,
            friction_low=mu,
            friction_high=mu,
        )
        assert found.measure[i] == pytest.approx(one.pull_out_n, rel=1e-12)
        assert found.strain_use[i] == pytest.approx(one.strain_use, rel=1e-12)


def test_sizes_that_cannot_be_are_no_number() -> None:
    sizes = {
        name.removesuffix("_mm"): np.array([value] * 3) for name, value in USUAL.items() if "_mm" in name
    }
    sizes["boss_outer"] = np.array([6.0, 2.4, 6.0])
    sizes["screw_core"] = np.array([2.0, 2.0, 3.0])
    boss = JointMaterial(modulus_mpa=2300.0, poisson=0.39, strain_allowed=0.02)
    found = MODEL.respond(sizes, Materials(outer=boss), np.array(0.3))
    assert np.isfinite(found.measure).tolist() == [True, False, False]

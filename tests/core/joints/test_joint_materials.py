"""The handbook's materials and friction: within what textbooks print, whole, and found either way round."""

from __future__ import annotations

import pytest

from offtool.core.joints.evidence import JointMaterial
from offtool.core.joints.materials import material_of, yield_of
from offtool.handbook.friction import FRICTION, RUNNING_SHARE, SURFACE_FACTOR, friction_range
from offtool.handbook.joint_materials import JOINT_MATERIALS, REPEATED_SHARE, joint_material
from offtool.handbook.resins import RESINS
from tests.labels import practice

TEXTBOOK_MODULUS_MPA = {
    "ABS": (2100, 2800, "Dowling, Mechanical Behavior of Materials, table 4.3"),
    "PMMA": (2240, 3240, "Callister, Materials Science and Engineering, table B.2"),
    "PP": (1140, 1550, "Callister, table B.2"),
    "PE-HD": (1080, 1080, "Callister, table B.2"),
}
TEXTBOOK_YIELD_MPA = {
    "ABS": (34, 50, "Dowling, table 4.3"),
    "PMMA": (53.8, 73.1, "Callister, table B.4"),
    "PP": (31.0, 37.2, "Callister, table B.4"),
}


@pytest.mark.parametrize("code", TEXTBOOK_MODULUS_MPA)
def test_the_modulus_lies_where_textbooks_have_it(code: str) -> None:
    low, high, _ = TEXTBOOK_MODULUS_MPA[code]
    found = joint_material(code)
    assert found
    assert low <= found.modulus_mpa <= high


@pytest.mark.parametrize("code", TEXTBOOK_YIELD_MPA)
def test_the_yield_strength_lies_where_textbooks_have_it(code: str) -> None:
    low, high, _ = TEXTBOOK_YIELD_MPA[code]
    found = joint_material(code)
    assert found
    assert low <= found.yield_mpa <= high


def test_every_resin_of_the_handbook_has_a_stiffness_and_steel_has_one() -> None:
    assert {one.code for one in RESINS} | {"STEEL"} <= {one.code for one in JOINT_MATERIALS}
    assert len({one.code for one in JOINT_MATERIALS}) == len(JOINT_MATERIALS)


@pytest.mark.parametrize("code", [one.code for one in JOINT_MATERIALS])
def test_every_row_is_possible_and_says_where_it_comes_from(code: str) -> None:
    found = joint_material(code)
    assert found
    assert 0 < found.poisson < 0.5
    assert 0 < found.strain_repeated <= found.strain_once < 1
    assert 0 < found.yield_mpa < found.modulus_mpa
    assert 0 < found.remains_1000h[0] <= found.remains_1000h[1] <= 1
    assert found.source


@pytest.mark.parametrize("code", [one.code for one in JOINT_MATERIALS if one.code != "STEEL"])
def test_moved_again_and_again_a_plastic_bears_six_tenths(code: str) -> None:
    found = joint_material(code)
    assert found
    assert practice("0.6") == REPEATED_SHARE
    assert found.strain_repeated == pytest.approx(REPEATED_SHARE * found.strain_once, abs=5.1e-4)


def test_a_material_is_found_by_its_code_once_or_repeatedly() -> None:
    once, repeated = material_of("abs", repeated=False), material_of("ABS")
    assert once
    assert repeated
    assert (once.strain_allowed, repeated.strain_allowed) == (0.020, 0.012)
    assert repeated.name == "ABS"
    assert material_of("XYZ") is None


def test_yield_is_the_handbooks_or_a_fortieth_of_the_modulus() -> None:
    pom = material_of("POM")
    assert pom
    assert yield_of(pom) == 65.0
    other = JointMaterial(modulus_mpa=2000.0, poisson=0.38, strain_allowed=0.02, name="own grade")
    assert yield_of(other) == 50.0


HARD = ["ABS", "PS-HI", "PC", "POM", "PP", "PE-HD", "PA66"]


@pytest.mark.parametrize("code", HARD)
def test_hard_plastics_yield_at_about_a_fortieth_of_their_modulus(code: str) -> None:
    """That is why the fallback takes a fortieth; PS-HI is the farthest off, by half."""
    found = joint_material(code)
    assert found
    assert 25 <= found.modulus_mpa / found.yield_mpa <= 80


def test_friction_does_not_ask_which_comes_first() -> None:
    for one in FRICTION:
        assert friction_range(one.second, one.first.lower()) == one
    pairs = [frozenset((one.first, one.second)) for one in FRICTION]
    assert len(set(pairs)) == len(pairs)


@pytest.mark.parametrize(
    ("first", "second", "low", "high"),
    [
        ("ABS", "ABS", "0.30", "0.65"),
        ("PA66", "PA66", "0.10", "0.50"),
        ("POM", "POM", "0.20", "0.35"),
        ("POM", "ABS", "0.15", "0.25"),
        ("PVC-P", "ABS", "0.5", "0.9"),
    ],
)
def test_pairs_that_figures_are_made_of(first: str, second: str, low: str, high: str) -> None:
    found = friction_range(first, second)
    assert (found.low, found.high) == (practice(low), practice(high))


def test_an_unknown_pair_gets_a_wide_range_that_says_so() -> None:
    found = friction_range("PP", "XYZ")
    assert not found.known
    assert "not known" in found.source
    assert all(found.low <= one.low for one in FRICTION if one.known and one.low >= 0.15)
    soft = friction_range("TPE", "POM")
    assert soft.high > found.high


def test_every_range_is_in_order_and_has_a_source() -> None:
    for one in FRICTION:
        assert 0 < one.low < one.high
        assert one.source
    assert (practice("0.5"), practice("2")) == SURFACE_FACTOR
    assert 0 < RUNNING_SHARE[0] < RUNNING_SHARE[1] < 1

"""Melt of a seam: geometry against numerical integration, and volume that neither comes nor goes."""

from __future__ import annotations

from math import inf, radians, tan

import pytest
from hypothesis import strategies as st
from scipy import integrate

from offtool.core.joints.evidence import SizeGiven
from offtool.core.values import ImpossibleInput
from offtool.core.welding.melt import (
    Flash,
    SeamMelt,
    groove_melt,
    ridge_melt,
    seam_melt,
    shear_melt,
    step_melt,
)
from offtool.core.welding.seam import SeamSizes
from offtool.handbook.terms import SeamKind
from tests.core.laws import law
from tests.labels import independent

HEIGHTS = st.floats(0.05, 1.5)
ANGLES = st.floats(40, 120)


def groove(
    height: float = 0.5, *, depth: float = 0.2, plus_minus: float = 0.0, tongue: float = 0.0
) -> SeamMelt:
    return groove_melt(
        height,
        120.0,
        tongue_width_mm=1.8,
        groove_width_mm=2.0,
        groove_depth_mm=depth,
        tongue_height_mm=tongue,
        plus_minus_mm=plus_minus,
    )


@pytest.mark.parametrize(("height", "angle"), [(0.4, 90.0), (0.5, 60.0), (0.8, 75.0)])
def test_the_ridge_has_the_volume_that_integration_gives(height: float, angle: float) -> None:
    found = ridge_melt(height, 120.0, joint_width_mm=2.0, ridge_angle_deg=angle)
    area = integrate.quad(lambda up: 2 * (height - up) * tan(radians(angle / 2)), 0, height)[0]
    assert found.section_mm2.low == found.section_mm2.high
    assert found.section_mm2.low == independent(area, way="width of the ridge integrated over its height")
    assert found.volume_mm3.high == independent(120 * area, way="the same along the seam")


def test_a_right_angle_gives_the_square_of_the_height() -> None:
    assert ridge_melt(0.4, 1.0, joint_width_mm=2.0).section_mm2.low == independent(0.16, way="by hand")


@law(height=HEIGHTS, angle=ANGLES, width=st.floats(0.5, 5), gap=st.floats(0.02, 0.4))
def test_melt_keeps_its_volume_wherever_it_goes(
    height: float, angle: float, width: float, gap: float
) -> None:
    found = step_melt(height, 50.0, joint_width_mm=width, side_gap_mm=gap, ridge_angle_deg=angle)
    assert found.film_mm is not None
    assert found.rise_mm is not None
    assert found.film_mm.low * width * 50 == pytest.approx(found.volume_mm3.low, rel=1e-12)
    assert found.rise_mm.low * gap * 50 == pytest.approx(found.volume_mm3.low, rel=1e-12)


@law(height=HEIGHTS, factor=st.floats(0.1, 3))
def test_all_sizes_times_a_factor_is_its_cube_in_volume(height: float, factor: float) -> None:
    small = groove_melt(height, 60.0, tongue_width_mm=1.8, groove_width_mm=2.0, groove_depth_mm=0.3)
    large = groove_melt(
        height * factor,
        60.0 * factor,
        tongue_width_mm=1.8 * factor,
        groove_width_mm=2.0 * factor,
        groove_depth_mm=0.3 * factor,
    )
    assert large.volume_mm3.low == pytest.approx(small.volume_mm3.low * factor**3, rel=1e-9)
    assert large.room_mm3 is not None
    assert small.room_mm3 is not None
    assert large.room_mm3.low == pytest.approx(small.room_mm3.low * factor**3, rel=1e-9)
    assert large.filled is not None
    assert small.filled is not None
    assert large.filled.low == pytest.approx(small.filled.low, rel=1e-9)


@law(heights=st.lists(HEIGHTS, min_size=2, max_size=5, unique=True), angle=ANGLES)
def test_a_higher_or_blunter_ridge_melts_more(heights: list[float], angle: float) -> None:
    found = [
        ridge_melt(one, 10.0, joint_width_mm=2.0, ridge_angle_deg=angle).volume_mm3.low
        for one in sorted(heights)
    ]
    assert found == sorted(found)
    blunter = ridge_melt(max(heights), 10.0, joint_width_mm=2.0, ridge_angle_deg=angle + 5)
    assert blunter.volume_mm3.low > found[-1]


def test_no_ridge_no_melt_and_it_says_no_weld() -> None:
    found = ridge_melt(0.0, 100.0, joint_width_mm=2.0)
    assert (found.volume_mm3.low, found.volume_mm3.high) == (0.0, 0.0)
    assert "no weld" in found.words


def test_the_groove_is_filled_by_melt_over_room() -> None:
    found = groove()
    assert found.filled is not None
    assert found.filled.high == independent(0.25 / 0.40, way="0.5 squared over 2.0 times 0.2, by hand")
    assert found.flash is Flash.NOT_EXPECTED
    assert groove(0.8).flash is Flash.EXPECTED
    assert "flash expected" in groove(0.8).words


def test_gaps_beside_the_tongue_count_when_its_height_is_given() -> None:
    found = groove(tongue=1.0).room_mm3
    assert found is not None
    assert found.low == independent((0.40 + 0.2 * 1.0) * 120, way="under and beside the tongue, by hand")


def test_a_spread_that_reaches_over_full_cannot_be_called() -> None:
    found = groove(0.62, plus_minus=0.03)
    assert found.flash is Flash.UNSURE
    assert found.filled is not None
    low = 0.59**2 / (2.03 * 0.23)
    high = 0.65**2 / (1.97 * 0.17)
    assert found.filled.low == independent(low, way="least melt over most room, by hand")
    assert found.filled.high == independent(high, way="most melt over least room, by hand")


@law(height=HEIGHTS, plus_minus=st.floats(0, 0.04))
def test_more_spread_holds_less_spread(height: float, plus_minus: float) -> None:
    narrow, wide = groove(height, plus_minus=plus_minus / 2), groove(height, plus_minus=plus_minus)
    assert wide.volume_mm3.low <= narrow.volume_mm3.low <= narrow.volume_mm3.high <= wide.volume_mm3.high


def test_no_room_is_full_of_any_melt() -> None:
    found = groove(depth=0.0)
    assert found.filled is not None
    assert found.filled.low == inf
    assert found.flash is Flash.EXPECTED


def test_a_step_without_height_gives_the_rise_and_does_not_call_flash() -> None:
    found = step_melt(0.4, 100.0, joint_width_mm=1.0, side_gap_mm=0.08)
    assert found.filled is None
    assert found.rise_mm is not None
    assert found.rise_mm.low == independent(0.16 / 0.08, way="by hand")
    assert found.flash is Flash.UNSURE
    lower = step_melt(0.4, 100.0, joint_width_mm=1.0, side_gap_mm=0.08, step_height_mm=1.9)
    assert lower.flash is Flash.EXPECTED


def test_a_shear_joint_melts_its_overlap_and_clearance_melts_nothing() -> None:
    assert shear_melt(0.3, 2.0, 120.0).volume_mm3.low == independent(72.0, way="by hand")
    assert shear_melt(-0.1, 2.0, 120.0).volume_mm3.high == 0.0
    assert "no weld" in shear_melt(-0.1, 2.0, 120.0).words
    assert "some pieces" in shear_melt(0.02, 2.0, 120.0, plus_minus_mm=0.05).words


def test_a_seam_given_as_a_table_is_the_seam_given_by_name() -> None:
    sizes = {"seam_length": 120.0, "ridge_height": 0.5, "tongue_width": 1.8, "groove_width": 2.0}
    given = tuple(SizeGiven(role=role, value=value) for role, value in {**sizes, "groove_depth": 0.2}.items())
    found = seam_melt(SeamSizes(kind=SeamKind.GROOVE, sizes=given))
    assert (found.volume_mm3, found.filled, found.words) == (
        groove().volume_mm3,
        groove().filled,
        groove().words,
    )


@pytest.mark.parametrize(
    ("role", "value", "said"),
    [
        ("ridge_height", 500.0, "ridge_height = 500.0 mm: must be at most 5; give it in mm"),
        ("side_gap", -0.05, "side_gap = -0.05 mm: must be at least 0"),
        ("wall", 1.5, "role = wall: is no size of a seam of the kind step"),
    ],
)
def test_what_cannot_be_is_refused_by_name(role: str, value: float, said: str) -> None:
    seam = SeamSizes(kind=SeamKind.STEP, sizes=(SizeGiven(role=role, value=value),))
    with pytest.raises(ImpossibleInput, match=said):
        seam_melt(seam)


def test_a_missing_size_and_one_given_twice_are_named() -> None:
    height = SizeGiven(role="ridge_height", value=0.4)
    with pytest.raises(ImpossibleInput, match="seam_length = nothing mm: must be given"):
        seam_melt(SeamSizes(kind=SeamKind.RIDGE, sizes=(height,)))
    with pytest.raises(ImpossibleInput, match="given twice"):
        seam_melt(SeamSizes(kind=SeamKind.RIDGE, sizes=(height, height)))


def test_every_answer_carries_the_cautions_of_the_welder() -> None:
    for found in (groove(), ridge_melt(0.4, 10.0, joint_width_mm=2.0), shear_melt(0.3, 2.0, 10.0)):
        said = " ".join(caution.text for caution in found.cautions)
        assert "hearing protection" in said
        assert "Two-hand" in said
        assert "differ by country" in said

"""A loop of sizes in a plane: closed forms of four links and slider; derivatives by complex step."""

from __future__ import annotations

from itertools import product
from math import acos, atan2, cos, degrees, radians, sin, sqrt
from typing import Any

import numpy as np
import pytest
from hypothesis import strategies as st

from offtool.core.joints.evidence import JointEvidence, Link, SizeGiven
from offtool.core.joints.loop import loop_of_sizes
from offtool.core.joints.loop_links import loop_links, loop_model, require_loop
from offtool.core.joints.response import Materials
from offtool.core.values import ImpossibleInput, NotEnoughData, OfftoolError
from offtool.handbook.terms import JointKind
from tests.core.laws import law
from tests.labels import independent

LENGTHS, ANGLES = [30.0, 12.0, 8.0], [10.0, 95.0, 170.0]
SPANS: dict[str, Any] = {"plus_minus": [0.05, 0.04, 0.03], "angle_plus_minus": [0.1, 0.2, 0.3]}
WAYS: dict[str, dict[str, Any]] = {
    "distance": {},
    "free length": {"gap_deg": 180.0, "free_deg": 250.0},
    "swinging": {"gap_deg": 180.0, "swing_mm": 25.0, "swing_plus_minus": 0.05},
}


def ends(lengths: Any, angles: Any) -> tuple[Any, Any]:
    a = np.asarray(angles) * np.pi / 180
    return (lengths * np.cos(a)).sum(), (lengths * np.sin(a)).sum()


def gap_of(way: str, row: Any) -> Any:
    """The gap solved another way, in operations that take complex numbers."""
    x, y = ends(row[:3], row[3:6])
    match way:
        case "distance":
            return np.sqrt(x * x + y * y)
        case "free length":
            # x - g + f cos 250 = 0, y + f sin 250 = 0
            return x - y / sin(radians(250)) * cos(radians(250))
        case _:
            # The link from the open end to the line of the gap: x + g + 25 cos = 0, y + 25 sin = 0.
            return x - np.sqrt(row[6] ** 2 - y * y)


@pytest.mark.parametrize("way", WAYS)
def test_slopes_are_the_derivatives_by_complex_step(way: str) -> None:
    found = loop_of_sizes(LENGTHS, ANGLES, **SPANS, **WAYS[way])
    row = np.array([*LENGTHS, *ANGLES, 25.0])[: 7 if way == "swinging" else 6]
    step = 1e-30
    slopes = [gap_of(way, row + 1j * step * np.eye(row.size)[i]).imag / step for i in range(row.size)]
    assert [link.slope for link in found.links] == independent(slopes, way="complex step", rel=1e-9)


@pytest.mark.parametrize("way", WAYS)
def test_the_gap_and_its_worst_case_are_those_of_all_corners(way: str) -> None:
    found = loop_of_sizes(LENGTHS, ANGLES, **SPANS, **WAYS[way])
    row = np.array([*LENGTHS, *ANGLES, 25.0])[: 7 if way == "swinging" else 6]
    spans = np.array([0.05, 0.04, 0.03, 0.1, 0.2, 0.3, 0.05])[: row.size]
    corners = [gap_of(way, row + spans * signs).real for signs in product((-1, 1), repeat=row.size)]
    assert found.gap == independent(gap_of(way, row).real, way="solved as two equations")
    assert found.worst_low == independent(min(corners), way="all corners")
    assert found.worst_high == independent(max(corners), way="all corners")


def test_four_links_close_as_the_law_of_cosines_says() -> None:
    """Frame 50 and crank 20 at 60 degrees: the diagonal, which coupler and rocker share."""
    found = loop_of_sizes([50.0, 20.0], [180.0, 60.0], [0.0, 0.0])
    way = "law of cosines"
    assert found.gap == independent(sqrt(50**2 + 20**2 - 2 * 50 * 20 * cos(radians(60))), way=way)
    # With coupler and rocker 30 and 35 the fourth side is the frame again.
    diagonal = found.gap
    at_crank = acos((diagonal**2 + 30**2 - 35**2) / (2 * diagonal * 30))
    from_crank = atan2(-20 * sin(radians(60)), 50 - 20 * cos(radians(60)))
    coupler = degrees(from_crank + at_crank)
    closed = loop_of_sizes([20.0, 30.0, 50.0], [60.0, coupler, 180.0], [0.0] * 3)
    assert closed.gap == independent(35.0, way="the rocker's own length")


def test_a_slider_stands_where_pythagoras_puts_it() -> None:
    found = loop_of_sizes([12.0], [90.0], [0.0], gap_deg=180.0, swing_mm=20.0, swing_against=False)
    assert abs(found.gap) == independent(16.0, way="Pythagoras: 12, 16, 20")
    other = loop_of_sizes([12.0], [90.0], [0.0], gap_deg=180.0, swing_mm=20.0, swing_against=True)
    assert other.gap == -found.gap


@law(turn=st.floats(-720, 720), scale=st.floats(0.01, 100))
def test_turning_the_drawing_changes_nothing_and_units_scale(turn: float, scale: float) -> None:
    for way in WAYS.values():
        found = loop_of_sizes(LENGTHS, ANGLES, **SPANS, **way)
        moved = {key: value + turn if key.endswith("_deg") else value for key, value in way.items()}
        turned = loop_of_sizes(LENGTHS, [a + turn for a in ANGLES], **SPANS, **moved)
        assert turned.gap == pytest.approx(found.gap, abs=1e-9)
        assert turned.rss_high == pytest.approx(found.rss_high, abs=1e-9)
    bare = loop_of_sizes(LENGTHS, ANGLES, [0.1] * 3)
    scaled = loop_of_sizes([scale * x for x in LENGTHS], ANGLES, [scale * 0.1] * 3)
    assert scaled.gap == pytest.approx(scale * bare.gap)
    assert scaled.sd == pytest.approx(scale * bare.sd)


def test_a_straight_loop_is_a_chain() -> None:
    found = loop_of_sizes([40.0, 25.0, 12.0], [0.0, 180.0, 180.0], [0.1, 0.05, 0.03], gap_deg=180.0)
    assert (found.gap, found.worst_high - found.gap) == (pytest.approx(3.0), pytest.approx(0.18))


def test_a_loop_that_does_not_close_says_how_far_and_which_way() -> None:
    with pytest.raises(OfftoolError, match="stays open by 12 mm across the gap, towards 270 deg"):
        loop_of_sizes([12.0, 30.0], [90.0, 0.0], [0.0, 0.0], gap_deg=0.0)
    with pytest.raises(OfftoolError, match="stays open by 2 mm across the gap"):
        loop_of_sizes([12.0], [90.0], [0.0], gap_deg=0.0, swing_mm=10.0)


def test_a_free_link_along_the_gap_cannot_close_it() -> None:
    with pytest.raises(OfftoolError, match="parallel to the gap"):
        loop_of_sizes([12.0], [90.0], [0.0], gap_deg=0.0, free_deg=180.0)


def test_unknowns_too_many_are_refused() -> None:
    with pytest.raises(ImpossibleInput, match="two unknowns beside the gap"):
        loop_of_sizes([12.0], [90.0], [0.0], gap_deg=0.0, free_deg=45.0, swing_mm=20.0)
    with pytest.raises(ImpossibleInput, match="must be given where another link is free"):
        loop_of_sizes([12.0], [90.0], [0.0], free_deg=45.0)


GIVEN = tuple(SizeGiven(role=name, value=value) for name, value in zip("abc", LENGTHS, strict=True))
KNOWN = tuple(Link(role=name, angle_deg=angle) for name, angle in zip("abc", ANGLES, strict=True))


@pytest.mark.parametrize(
    ("more", "way"),
    [
        ((Link(role="gap"),), "distance"),
        ((Link(role="gap", angle_deg=180.0), Link(role="rest", angle_deg=250.0)), "free length"),
        ((Link(role="gap", angle_deg=180.0), Link(role="arm")), "swinging"),
    ],
)
def test_links_of_the_evidence_answer_as_the_formula(more: tuple[Link, ...], way: str) -> None:
    given = (*GIVEN, SizeGiven(role="arm", value=25.0)) if way == "swinging" else GIVEN
    links = loop_links(JointEvidence(kind=JointKind.LOOP, given=given, links=(*KNOWN, *more), gap="gap"))
    sizes = {one.role: np.float64(one.value) for one in given}
    require_loop(links, {one.role: one.value for one in given})
    answer = loop_model(links).respond(
        {k: np.asarray(v) for k, v in sizes.items()}, Materials(), np.zeros(())
    )
    assert float(answer.measure) == pytest.approx(loop_of_sizes(LENGTHS, ANGLES, **SPANS, **WAYS[way]).gap)


def test_links_with_too_little_known_are_refused_by_name() -> None:
    def links(*more: Link) -> JointEvidence:
        return JointEvidence(kind=JointKind.LOOP, given=GIVEN, links=(*KNOWN, *more), gap="gap")

    with pytest.raises(NotEnoughData, match="more than one unknown beside the gap: d, e"):
        loop_links(links(Link(role="d", angle_deg=1.0), Link(role="e", angle_deg=2.0)))
    with pytest.raises(NotEnoughData, match="d has neither size nor direction"):
        loop_links(links(Link(role="d")))
    with pytest.raises(OfftoolError, match="the gap has no direction, and d is free as well"):
        loop_links(links(Link(role="gap"), Link(role="d", angle_deg=1.0)))
    with pytest.raises(ImpossibleInput, match="has a size"):
        loop_links(JointEvidence(kind=JointKind.LOOP, given=GIVEN, links=KNOWN, gap="a"))

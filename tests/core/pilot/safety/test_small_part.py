"""Small parts whose limit is reckoned by hand, and what is said of them.

The gauge: 31.75 mm wide, 25.4 mm deep on one side and 57.15 mm on the other. Its floor slants at 45 degrees.
"""

from __future__ import annotations

from math import hypot, sqrt

import numpy as np
import pytest

from offtool.core.pilot.safety import (
    SmallPart,
    judge_small_part,
    small_part_ball,
    small_part_box,
    small_part_rod,
)
from offtool.core.pilot.safety.gauge import DEPTH, LONGEST, RADIUS, VOLUME
from offtool.core.pilot.safety.search import SURFACE
from offtool.core.values import ImpossibleInput, Verdict
from offtool.handbook.toy_law import LAW_DECIDES
from tests.core.pilot.safety import shapes
from tests.labels import independent


def test_the_gauge_has_the_size_of_its_pieces() -> None:
    """A cylinder cut at 45 degrees: its mean depth counts for volume and wall; the floor is an ellipse."""
    assert independent(15.875, way="by hand") == RADIUS
    assert independent(41.275, way="by hand") == DEPTH
    heights = np.linspace(-RADIUS, RADIUS, 200_001)
    slices = 2 * np.sqrt(RADIUS**2 - heights**2) * (DEPTH + heights)
    assert independent(np.trapezoid(slices, heights), way="slice by slice", rel=1e-6) == VOLUME
    turn = (np.arange(10_000) + 0.5) * 2 * np.pi / 10_000
    wall = (DEPTH + RADIUS * np.cos(turn)).mean() * 2 * np.pi * RADIUS
    ellipse = np.pi * RADIUS * RADIUS * sqrt(2)
    assert independent(np.pi * RADIUS**2 + wall + ellipse, way="piece by piece", rel=1e-9) == SURFACE
    assert independent(hypot(31.75, 57.15), way="by hand") == LONGEST


@pytest.mark.parametrize(("diameter", "fits"), [(0.01, True), (31.74, True), (31.75, True), (31.76, False)])
def test_a_ball_fits_up_to_the_width(diameter: float, fits: bool) -> None:
    """Middle on the axis, r below the rim: the floor is (41.275 - r) / sqrt 2 = 18.0 mm away, over 15.9."""
    assert (DEPTH - RADIUS) / sqrt(2) > RADIUS
    found = small_part_ball(diameter)
    assert found.fits is fits
    assert found.out_mm == independent(diameter / 2 - 15.875, way="by hand", within=1e-9)


@pytest.mark.parametrize(("diameter", "fits"), [(31.7, True), (32.3, False)])
def test_the_mesh_of_a_ball_is_judged_as_the_ball(diameter: float, fits: bool) -> None:
    assert judge_small_part(shapes.ball(diameter, 2000, seed=1)).fits is fits


@pytest.mark.parametrize(("length", "fits"), [(25.0, True), (65.37, True), (65.385, False), (100.0, False)])
def test_a_thin_rod_fits_from_the_rim_to_the_deepest_point(length: float, fits: bool) -> None:
    """sqrt(31.75^2 + 57.15^2) = 65.377 mm: from the rim over the shallow side to the foot of the deep one."""
    assert judge_small_part(np.array([[0, 0, 0], [length, 0, 0.0]])).fits is fits


@pytest.mark.parametrize(("edge", "fits"), [(22.4, True), (22.5, False), (24.0, False)])
def test_a_cube_fits_while_the_diagonal_of_its_face_does(edge: float, fits: bool) -> None:
    """Upright, the diagonal a sqrt 2 fits up to a = 22.45 mm, and 22.45 < 25.4 fits the shallow side.

    No other turn is better: seen along a unit u, the circle about the cube has the radius
    sqrt(3 a^2 / 4 - s^2 a^2 / 4), s the least of |u1 ± u2 ± u3|. With |u1| the largest, one choice of
    signs gives at most |u1| <= 1, so that the radius is at least a / sqrt 2.
    """
    assert small_part_box(edge, edge, edge).fits is fits


@pytest.mark.parametrize(
    ("diameter", "thickness", "fits"), [(31.6, 1.0, True), (31.8, 1.0, False), (50, 0.5, False)]
)
def test_a_disc_fits_while_it_is_no_wider(diameter: float, thickness: float, fits: bool) -> None:
    """Seen from any side a disc shows a whole diameter: the one square to the line of sight."""
    assert small_part_rod(diameter, thickness).fits is fits


@pytest.mark.parametrize(("length", "fits"), [(25.3, True), (26.6, False)])
def test_a_rod_as_wide_as_the_gauge_stands_upright(length: float, fits: bool) -> None:
    """It cannot lean, so that it may be as long as the shallow side is deep, 25.4 mm, and hardly more."""
    assert small_part_rod(31.7, length).fits is fits


def test_a_square_plate_fits_on_edge_where_it_would_not_lie() -> None:
    """30 by 30 by 1 mm: its diagonal is 42.4 mm, but upright it is a strip of 30 by 1, and 30 mm deep enough.

    On edge across the slant, at the middle or deeper, there are 41.275 mm.
    """
    assert small_part_box(30, 30, 1).fits is True
    assert hypot(30, 30) > 31.75


def test_what_is_too_long_too_thick_or_too_wide_says_so() -> None:
    assert "no straight line in the gauge is over 65.4 mm" in small_part_box(80, 5, 5).words
    assert "it holds a ball of 32.00 mm" in small_part_box(32, 32, 32).words
    assert "it has 40.5 cm³" in small_part_box(30, 30, 45).words
    assert "its surface is 60.3 cm2" in small_part_box(45, 45, 11).words
    assert "from every side it is wider" in small_part_box(23, 23, 23).words
    assert "in each it is too wide or too long" in small_part_box(50, 25, 10).words


def test_it_holds_where_the_part_is_no_small_part() -> None:
    fitting, not_fitting = small_part_box(20, 20, 20), small_part_box(30, 30, 30)
    assert (fitting.verdict, not_fitting.verdict) == (Verdict.FAILS, Verdict.HOLDS)
    assert "it is a small part" in fitting.words
    assert fitting.out_mm < 0 < not_fitting.out_mm
    assert LAW_DECIDES in fitting.cautions


def test_near_the_limit_the_moulded_piece_decides() -> None:
    assert any("Try moulded pieces" in str(one) for one in small_part_ball(31.9).cautions)
    assert not any("Try moulded pieces" in str(one) for one in small_part_ball(40.0).cautions)


@pytest.mark.parametrize(
    "shape", [shapes.box(20, 15, 10), shapes.box(50, 25, 10), shapes.ball(30, 200, seed=2)]
)
def test_the_pose_told_stands_out_by_what_is_told(shape: shapes.Floats) -> None:
    """The walls' distances written out once more, in the part's own axes."""
    found = judge_small_part(shape)
    assert found.out_mm == independent(of_pose(shape, found), way="distance from each wall", within=1e-9)


def of_pose(shape: shapes.Floats, found: SmallPart) -> float:
    assert found.held is not None
    up, deep = np.array(found.held.up), np.array(found.held.deep_side)
    return shapes.out_of_gauge(shape, np.stack([np.cross(deep, up), deep, up]), np.array(found.held.rim))


@pytest.mark.parametrize(
    ("vertices", "limit"),
    [
        (np.zeros((0, 3)), "must be points"),
        (np.zeros((5, 2)), "must be points"),
        (np.array([[0, 0, 0], [1, np.nan, 0]]), "must be finite, in row 2"),
    ],
)
def test_what_is_no_point_is_refused(vertices: shapes.Floats, limit: str) -> None:
    with pytest.raises(ImpossibleInput, match=limit):
        judge_small_part(vertices)


@pytest.mark.parametrize(
    "vertices",
    [
        np.zeros((1, 3)),
        np.zeros((6, 3)),
        np.array([[0, 0, 0], [20, 0, 0], [0, 20, 0.0]]),
        np.column_stack([np.linspace(0, 30, 50), np.zeros(50), np.zeros(50)]),
        np.column_stack([shapes.ball(20, 60, seed=3)[:, :2], np.zeros(60)]),
    ],
)
def test_a_point_a_line_and_a_flat_piece_have_their_answer(vertices: shapes.Floats) -> None:
    assert judge_small_part(vertices).fits is True

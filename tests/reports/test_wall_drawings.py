"""The drawings of a part's walls: both sides, what they say without colour, and that they stand alone."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import numpy as np
import pytest
import trimesh

from offtool.core.planning.geometry import Mesh, PartMeasured, inspect_mesh, make_picture, measure_part
from offtool.core.planning.geometry.picture import PartPicture
from offtool.reports.wall_colours import HUE, RIM, TOO_THICK, wall_classes, wall_colour
from offtool.reports.wall_drawing import draw_swatch, draw_walls
from offtool.reports.wall_histogram import draw_wall_histogram
from tests.web.test_look import luminance


def boss() -> tuple[PartMeasured, PartPicture]:
    """A plate of 2 mm with a boss of 6 mm."""
    post = trimesh.creation.cylinder(radius=3, height=12, sections=48)
    post.apply_translation((12, -5, 6))
    solid = trimesh.boolean.union([trimesh.creation.box((60, 40, 2)), post], engine="manifold")
    inspected = inspect_mesh(Mesh(vertices=solid.vertices, faces=solid.faces))
    measured = measure_part(inspected, points=2000)
    return measured, make_picture(inspected.mesh, measured.walls)


@pytest.fixture(scope="module")
def drawn() -> str:
    measured, picture = boss()
    walls = measured.geometry.walls
    assert walls is not None
    return draw_walls(picture, walls.by_sphere.median_mm, walls.thickest)


def test_the_drawing_is_whole_small_and_says_what_it_shows(drawn: str) -> None:
    tree = ElementTree.fromstring(drawn)
    assert tree.attrib["role"] == "img"
    assert "median 2 mm; thickest 1: 6" in tree.attrib["aria-label"]
    assert len(drawn) < 300_000


def test_both_sides_are_drawn_each_in_its_half(drawn: str) -> None:
    assert "from above" in drawn
    assert "from below" in drawn
    starts = [float(x) for x in re.findall(r'<path d="M([\d.]+) ', drawn)]
    assert min(starts) < 100
    assert max(starts) > 460
    assert all(0 <= x <= 560 for x in starts)


def test_the_thickest_place_carries_its_number_and_the_key_its_words(drawn: str) -> None:
    assert drawn.count(">1</text>") == 2
    for words in ("under 1 mm", "1.5 to 2.5 mm", "over 3 mm: cools last", "rim or outer corner"):
        assert words in drawn
    assert "style=" not in drawn


def test_what_is_too_thick_has_a_colour_of_its_own_and_the_rest_grow_darker() -> None:
    classes = wall_classes(2.0)
    assert [wall_colour(classes, mm) for mm in (0.5, 1.2, 2.0, 2.8, 3.0, 50.0)] == [
        *HUE,
        TOO_THICK,
        TOO_THICK,
    ]
    assert wall_colour(classes, float("nan")) == RIM
    lights = [luminance(colour) for colour in HUE]
    assert lights == sorted(lights, reverse=True)


def test_the_histogram_marks_the_median_and_says_the_ends() -> None:
    measured, _ = boss()
    walls = measured.geometry.walls
    assert walls is not None
    found = draw_wall_histogram(walls)
    assert "half is thinner than 2" in found
    assert "median 2 mm" in found
    assert found.count('class="bar"') == np.count_nonzero(walls.shares)
    shares = [float(one) for one in re.findall(r"mm: ([\d.]+) % of the wall", found)]
    assert sum(shares) == pytest.approx(100, abs=0.05 * len(shares) + 0.01)


def test_a_swatch_has_words_for_those_who_do_not_see_it() -> None:
    assert 'aria-label="in this colour:"' in draw_swatch(TOO_THICK)

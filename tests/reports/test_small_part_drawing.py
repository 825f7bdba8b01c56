"""A part in the cylinder: the gauge is drawn as the law has it, the part where it was found."""

from __future__ import annotations

import re
from itertools import product

import numpy as np
import pytest

from offtool.core.pilot.safety import judge_small_part
from offtool.core.pilot.safety.side_view import seen_from_the_side
from offtool.reports.colours import DOUBT, MARK, NO
from offtool.reports.small_part_drawing import draw_small_part
from offtool.steps.small_parts_of import PartInGauge
from tests.labels import independent
from tests.reports.drawn import drawn
from tests.web.test_look import TOKENS


def part(size: float, **changed: object) -> PartInGauge:
    corners = np.array(list(product(*((0.0, one) for one in (size, 12.0, 9.0)))))
    found = judge_small_part(corners)
    assert found.held is not None
    given = {
        "part": "HO-04",
        "name": "arm",
        "fits": found.fits,
        "out_mm": found.out_mm,
        "words": found.words,
        "held": found.held,
        "outline": seen_from_the_side(corners, found.held),
        "mesh_file": "arm.stl",
        "mesh_sha": "",
        "read_at": None,
    } | changed
    return PartInGauge(**given)  # type: ignore[arg-type]


@pytest.mark.parametrize("size", [20.0, 60.0, 300.0])
def test_a_drawing_stands_alone_and_says_what_was_found(size: float) -> None:
    svg = draw_small_part(part(size), asked=True)
    drawing = drawn(svg)
    assert drawing.leaves_its_view() == []
    assert drawing.says.startswith("HO-04 in the small-parts cylinder, seen from the side: it ")
    assert set(re.findall(r'(?:fill|stroke)="(#[0-9a-f]{6})"', svg)) <= {*TOKENS.values(), "#ffffff"}


def test_the_gauge_has_the_inches_of_the_law() -> None:
    (gauge,) = drawn(draw_small_part(part(20.0), asked=True)).named("gauge")
    (_, top), (_, shallow), (_, deep), _ = gauge.places
    wide = gauge.right - gauge.left
    wanted = [1.00 / 1.25, 2.25 / 1.25]
    got = [(shallow - top) / wide, (deep - top) / wide]
    assert got == independent(wanted, way="depths over the diameter, in inches", within=0.01)


def test_what_fits_is_drawn_inside_and_its_colour_says_whether_it_may() -> None:
    small, large = part(20.0), part(60.0)
    drawing = drawn(draw_small_part(small, asked=True))
    (gauge,), (outline,) = drawing.named("gauge"), drawing.named("part")
    assert gauge.left - 0.1 <= outline.left <= outline.right <= gauge.right + 0.1
    assert f'stroke="{NO}"' in draw_small_part(small, asked=True)
    assert f'stroke="{DOUBT}"' in draw_small_part(small, asked=False)
    assert f'stroke="{MARK}"' in draw_small_part(large, asked=True)


def test_without_a_pose_nothing_is_drawn() -> None:
    assert draw_small_part(part(20.0, outline=()), asked=True) == ""

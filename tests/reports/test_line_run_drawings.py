"""Drawings of a run: every share and level is where its number says, and all of it inside the drawing."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest

from offtool.core.pilot.simulation import Estimated, StoreLevel
from offtool.reports.line_run_output import draw_output
from offtool.reports.line_run_places import NAMES, WIDTH, draw_places
from offtool.reports.line_run_stores import _level, draw_stores
from offtool.reports.line_run_words import before_in_words
from offtool.steps.line_run_found import LineRunFound, WaitsBefore
from offtool.steps.run_line import run_line
from tests.reports.drawn import Drawing, drawn
from tests.steps.run_lines import SLUG, a_line

pytestmark = pytest.mark.django_db


@pytest.fixture
def found() -> LineRunFound:
    a_line(
        [20, 30, 24],
        planned_per_h=130.0,
        tasks={"spread_s": 4.0},
        stations={3: {"cure_s": 300, "places": 20}, 2: {"works_s": 1800, "stands_s": 120}},
    )
    return run_line(SLUG, runs=4)


def inside(drawing: Drawing) -> bool:
    return all(
        -0.1 <= x <= drawing.width + 0.1 and -0.1 <= y <= drawing.height + 0.1
        for mark in drawing.marks
        for x, y in mark.places
    )


def test_output_has_mean_band_plan_and_the_warm_up_that_is_left_out(found: LineRunFound) -> None:
    drawing = drawn(draw_output(found))
    assert {"mean", "band", "plan"} <= {mark.name for mark in drawing.marks}
    assert inside(drawing)
    assert f"{found.simulated.good.value:.0f} after 4 h" in drawing.says
    (mean,), (plan,) = (drawing.named(name)[:1] for name in ("mean", "plan"))
    assert mean.places[-1][1] > plan.places[-1][1]  # below the plan: further down the page
    assert bool(found.simulated.warm_up_h) is any("warm-up" in text for text in drawing.texts)


def test_a_plan_that_is_not_there_is_not_drawn() -> None:
    a_line([20, 30])
    drawing = drawn(draw_output(run_line(SLUG, runs=2)))
    assert drawing.named("plan") == []


def test_the_pieces_of_a_bar_are_as_wide_as_their_shares(found: LineRunFound) -> None:
    root = ElementTree.fromstring(draw_places(found))
    wide: dict[str, float] = {}
    for group in root.iter("{http://www.w3.org/2000/svg}g"):
        title, rect = group[0].text or "", group.find("{http://www.w3.org/2000/svg}rect")
        if rect is not None and title.startswith("s2:"):
            wide[re.sub(r" \d+ %$", "", title)] = float(rect.attrib["width"])
    room = WIDTH - NAMES - 8
    busy = next(one.shares.busy.value for one in found.stations if one.name == "s2")
    assert wide["s2: works"] == pytest.approx(busy * room, abs=0.1)
    assert sum(wide.values()) == pytest.approx(room, abs=1.5)
    assert inside(drawn(draw_places(found)))
    assert "s2 works" in drawn(draw_places(found)).says


def test_what_limits_has_a_mark_and_a_word(found: LineRunFound) -> None:
    assert found.simulated.limited_by == ("s2",)
    assert "s2 limits the line" in draw_places(found)
    assert len(drawn(draw_places(found)).named("limit")) == 1 + 1  # with that of the key


def test_every_store_has_its_course_and_its_room(found: LineRunFound) -> None:
    drawing = drawn(draw_stores(found))
    assert len(drawing.named("course")) == 2
    assert len(drawing.named("room")) == 2
    assert {"room 2", "room 20"} <= set(drawing.texts)
    assert inside(drawing)


@pytest.mark.parametrize(
    ("places", "most", "said", "drawn_as"),
    [
        (12, 13, "12 places and the hands of who waits there", "13 at most, 1 in hand"),
        (12, 12, "12 places", "of 12 in the mean, 12 at most"),
        (None, 40, "room for all", "in the mean, 40 at most"),
    ],
)
def test_more_that_wait_than_there_are_places_are_explained(
    places: int | None, most: int, said: str, drawn_as: str
) -> None:
    level = StoreLevel(
        station="pack", item="hull", places=places, mean=Estimated(value=float(most), interval=None, count=2),
        most=most, course=(float(most),),
    )  # fmt: skip
    waits = WaitsBefore(item="hull", is_part=False, places=places, assumed=False, cure_s=0.0, level=level)
    assert before_in_words(waits).endswith(f"; {said}")
    assert _level(level).endswith(drawn_as)

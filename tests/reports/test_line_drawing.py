"""The drawing of a line and the sheet that hangs at it: every station and task, the cycle, what is over."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from offtool.core.pilot.balance import (
    LineBalance,
    LineGiven,
    LineStation,
    LineTask,
    fewest_stations,
    line_as_placed,
)
from offtool.core.values import OfftoolError
from offtool.handbook.terms import Side
from offtool.reports.line_drawing import NAMES, WIDE, draw_line
from offtool.reports.line_sheet import line_sheet
from offtool.steps.balance_line import balance_line
from offtool.steps.define_line import adopt
from tests.labels import independent
from tests.reports.drawn import drawn
from tests.reports.test_layout_report import text_of
from tests.steps.lined import LINE, ONE_EACH, SLUG, make_line, name_station

TASKS = (
    LineTask(task="clip", time_s=12, station=1),
    LineTask(task="weld", time_s=18, station=2, after=("clip",)),
    LineTask(task="pack", time_s=6, station=2, after=("weld",)),
)


def placed(rate_per_h: float = 120.0, **more: object) -> LineBalance:
    return line_as_placed(LineGiven(tasks=TASKS, **more), rate_per_h=rate_per_h, workers=1)  # type: ignore[arg-type]


def test_each_task_is_as_wide_as_it_is_long_and_one_follows_the_other() -> None:
    drawing = drawn(draw_line(placed()))
    clip, weld, pack = drawing.named("task")
    assert (clip.right - clip.left) / (weld.right - weld.left) == independent(
        12 / 18, way="times", within=0.01
    )
    assert weld.left == clip.left == NAMES
    assert pack.left == independent(weld.right, way="it begins where weld ends", within=0.11)
    assert drawing.leaves_its_view() == []


def test_the_cycle_stands_where_its_seconds_are() -> None:
    drawing = drawn(draw_line(placed()))
    (cycle,) = drawing.named("cycle")
    clip = drawing.named("task")[0]
    by_scale = clip.left + (clip.right - clip.left) * 30 / 12
    assert cycle.middle == independent(by_scale, way="scale of a task of 12 s", within=0.5)
    assert cycle.middle < NAMES + WIDE


def test_what_is_over_the_cycle_goes_beyond_it_and_says_so() -> None:
    drawing = drawn(draw_line(placed(rate_per_h=180.0)))
    (cycle,) = drawing.named("cycle")
    assert drawing.named("task")[2].right > cycle.middle
    assert "24 s, 4 s over" in " ".join(drawing.texts)
    assert "4 s over the cycle" in drawing.says


def test_free_time_is_hatched_up_to_the_cycle_and_nowhere_where_there_is_none() -> None:
    drawing = drawn(draw_line(placed(rate_per_h=150.0)))
    (cycle,) = drawing.named("cycle")
    above_the_key = [one for one in drawing.named("hatch") if max(y for _, y in one.places) < 90]
    (free,) = above_the_key  # station 2 takes the whole cycle of 24 s
    assert free.left >= drawing.named("task")[0].right
    assert free.right <= cycle.middle + 0.1


def test_two_who_face_each_other_have_a_row_each() -> None:
    tasks = (
        LineTask(task="left work", time_s=10, side=Side.LEFT),
        LineTask(task="right work", time_s=8, side=Side.RIGHT),
    )
    line = LineGiven(tasks=tasks, stations=(LineStation(station=1, two_sided=True),))
    svg = draw_line(fewest_stations(line, rate_per_h=300, workers=1))
    first, second = drawn(svg).named("task")
    assert min(y for _, y in second.places) >= max(y for _, y in first.places)
    assert "2 people, face to face" in svg


def test_several_people_at_a_station_share_its_time() -> None:
    double = placed(stations=(LineStation(station=2, people=2),))
    clip, weld, _ = drawn(draw_line(double)).named("task")
    assert (weld.right - weld.left) / (clip.right - clip.left) == independent(
        18 / 2 / 12, way="each has every second piece", within=0.01
    )


def test_names_are_written_as_text_and_shortened() -> None:
    svg = draw_line(placed(), {2: "<b>a bench with a very long name indeed</b>"})
    assert "<b>" not in svg
    assert "…" in svg
    assert re.search(r'aria-label="The line, cycle 30 s: ', svg)


@pytest.mark.django_db
def test_the_sheet_has_every_station_with_its_tasks_in_order(tmp_path: Path) -> None:
    line = make_line()
    adopt(SLUG, LINE, ONE_EACH, by="x")
    name_station(line, 3, name="bench")
    found = balance_line(SLUG)
    said = text_of(line_sheet(found, made_by="Kim"), tmp_path)
    assert found.headline in " ".join(said.split())
    assert "Places as adopted." in said
    assert "bench" in said
    for task in ONE_EACH:
        assert task in said
    assert "welder" in said
    assert "Made by Kim" in said
    for caution in found.cautions:
        assert caution.text[:40] in " ".join(said.split())


@pytest.mark.django_db
def test_a_sheet_of_a_proposal_says_that_it_is_one_and_the_same_line_gives_the_same_bytes() -> None:
    make_line()
    found = balance_line(SLUG)
    assert line_sheet(found) == line_sheet(found)


@pytest.mark.django_db
def test_without_a_line_there_is_no_sheet() -> None:
    make_line(planned_per_h=None, people=None)
    with pytest.raises(OfftoolError, match="no sheet of this line"):
        line_sheet(balance_line(SLUG))

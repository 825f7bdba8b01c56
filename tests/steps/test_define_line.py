"""What is said of a line: plan, stations, tasks, presses, breaks; what cannot be is named at its field."""

from __future__ import annotations

from dataclasses import replace

import pytest

from offtool.core.values import OfftoolError
from offtool.handbook.line_numbers import FEED_NUMBERS, LINE_NUMBERS, STATION_NUMBERS
from offtool.records.operations import LINE_COLUMNS, STATION_COLUMNS
from offtool.records.operations.line import LINE_PRESS_COLUMNS
from offtool.steps import define_line as step
from offtool.steps.define_task import keep_task, remove_task
from offtool.steps.know_line import know_line
from offtool.steps.line_known import TaskKnown
from offtool.steps.sizes_given import DefinitionRefused
from tests.steps.lined import LINE, SLUG, make_line

pytestmark = pytest.mark.django_db


def test_the_lists_hold_every_number_of_the_record() -> None:
    assert set(LINE_NUMBERS) == set(LINE_COLUMNS) - {"starts_on", "two_sided", "note"}
    assert set(STATION_NUMBERS) == set(STATION_COLUMNS) - {"name", "two_sided"}
    assert set(FEED_NUMBERS) == set(LINE_PRESS_COLUMNS) - {"press", "task"}


def test_a_share_is_typed_in_per_cent_and_kept_as_a_share() -> None:
    number = LINE_NUMBERS["planned_final_yield"]
    assert number.kept(98.0) == 0.98
    assert number.typed(0.98) == 98.0
    assert LINE_NUMBERS["people"].kept(9.0) == 9


def test_the_plan_is_kept_and_what_is_not_named_stays() -> None:
    make_line()
    step.keep_line(SLUG, LINE, {"planned_final_yield": 0.98}, by="x")
    known = know_line(SLUG)
    assert (known.planned_final_yield, known.planned_per_h) == (0.98, 120.0)


@pytest.mark.parametrize(
    ("columns", "field", "said"),
    [
        ({"planned_final_yield": 1.2}, "planned_final_yield", "120 % must be at most 100"),
        ({"planned_final_yield": 0.0098}, "planned_final_yield", "98 % is typed 98"),
        ({"planned_first_yield": 0.3}, "planned_first_yield", "30 % would lose more than every other piece"),
        ({"planned_per_h": 0.0}, "planned_per_h", "must be above 0"),
        ({"people": 0}, "people", "must be at least 1"),
        ({"planned_first_yield": 0.9, "planned_final_yield": 0.8}, "planned_final_yield", "fewer are good"),
        ({"learning_low": 0.9, "learning_high": 0.8}, "learning_high", "below the least"),
    ],
)
def test_a_plan_that_cannot_be_is_refused_at_its_field(
    columns: dict[str, float], field: str, said: str
) -> None:
    make_line()
    with pytest.raises(DefinitionRefused, match=said) as refused:
        step.keep_line(SLUG, LINE, columns, by="x")
    assert refused.value.field == field


def test_a_new_line_has_a_name_of_its_own() -> None:
    make_line()
    for name in (LINE, " "):
        with pytest.raises(DefinitionRefused):
            step.keep_line(SLUG, name, {}, by="x", is_new=True)
    step.keep_line(SLUG, "second", {"people": 3}, by="x", is_new=True)
    assert know_line(SLUG, "second").lines == (LINE, "second")


def test_a_station_is_kept_with_its_equipment_and_its_rework() -> None:
    make_line()
    said = {"name": "welder", "people": 2, "places": 0, "fails": 0.02, "works_s": 5400.0, "stands_s": 150.0}
    step.keep_station(SLUG, LINE, step.StationSaid(number=1), by="x")
    step.keep_station(
        SLUG, LINE, step.StationSaid(number=2, columns=said, has=("welder",), rework_to=1), by="x"
    )
    found = know_line(SLUG).station_numbered(2)
    assert found is not None
    assert (found.name, found.people, found.places, found.fails) == ("welder", 2, 0, 0.02)
    assert (found.has, found.rework_to, found.works_s) == (("welder",), 1, 5400.0)
    step.keep_station(SLUG, LINE, step.StationSaid(number=2, columns={"people": None}), by="x")
    later = know_line(SLUG).station_numbered(2)
    assert later is not None
    assert (later.people, later.has, later.rework_to) == (None, ("welder",), 1)


@pytest.mark.parametrize(
    ("said", "field"),
    [
        (step.StationSaid(number=0), "number"),
        (step.StationSaid(number=2, columns={"people": 0}), "people"),
        (step.StationSaid(number=2, columns={"people": 7}), "people"),
        (step.StationSaid(number=2, columns={"fails": 1.0}), "fails"),
        (step.StationSaid(number=2, columns={"works_s": 60.0}), "stands_s"),
        (step.StationSaid(number=2, has=("wilder",)), "has"),
    ],
)
def test_a_station_that_cannot_be_is_refused_at_its_field(said: step.StationSaid, field: str) -> None:
    make_line()
    with pytest.raises(DefinitionRefused) as refused:
        step.keep_station(SLUG, LINE, said, by="x")
    assert refused.value.field == field


def test_equipment_has_a_number_or_as_many_as_are_needed() -> None:
    make_line()
    step.keep_equipment(SLUG, LINE, "welder", 3, by="x")
    step.keep_equipment(SLUG, LINE, "printer", None, by="x")
    assert {one.name: one.at_most for one in know_line(SLUG).equipment} == {"welder": 3, "printer": None}
    with pytest.raises(DefinitionRefused, match="did you mean 'welder'"):
        step.keep_equipment(SLUG, LINE, "wilder", 1, by="x")


def test_new_equipment_of_a_task_is_said() -> None:
    make_line()
    done = keep_task(SLUG, LINE, task(needs=("lazer",)), by="x", now="look")
    assert "New equipment: lazer; no number is said" in done
    assert keep_task(SLUG, LINE, task(needs=("lazer",)), by="x", now="look") == "Task look is kept."


def task(**changed: object) -> TaskKnown:
    now = know_line(SLUG).task_named("look")
    assert now is not None
    return replace(now, **changed)  # type: ignore[arg-type]


def test_a_task_is_changed_and_its_new_name_reaches_the_others() -> None:
    make_line()
    keep_task(SLUG, LINE, task(task="leak look", time_s=8.5), by="x", now="look")
    known = know_line(SLUG)
    assert known.task_named("look") is None
    assert known.task_named("leak look").time_s == 8.5  # type: ignore[union-attr]
    assert set(known.task_named("pack").after) == {"arms", "head", "leak look"}  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("changed", "field", "said"),
    [
        ({"time_s": 0.0}, "time_s", "must be above 0"),
        ({"spread_s": -1.0}, "spread_s", "must be at least 0"),
        ({"after": ("pack",)}, "after", "pack → look → pack"),
        ({"after": ("wold",)}, "after", "did you mean 'weld'"),
        ({"together": ("look",)}, "together", "itself"),
        ({"together": ("arms",), "apart": ("arms",)}, "apart", "say one of both"),
        ({"fixed_station": 2, "placed_at": 3}, "placed_at", "fixed to station 2"),
        ({"task": "a; b"}, "task", "no name for a task"),
        ({"seam": "hull"}, "seam", "no seam 'hull'"),
    ],
)
def test_a_task_that_cannot_be_is_refused_at_its_field(
    changed: dict[str, object], field: str, said: str
) -> None:
    make_line()
    with pytest.raises(DefinitionRefused) as refused:
        keep_task(SLUG, LINE, task(**changed), by="x", now="look")
    assert refused.value.field == field
    assert said in str(refused.value)
    assert know_line(SLUG).task_named("look").time_s == 7.0  # type: ignore[union-attr]


def test_a_task_that_is_taken_out_hands_its_order_on() -> None:
    make_line()
    remove_task(SLUG, LINE, "weld", by="x")
    known = know_line(SLUG)
    assert [one.task for one in known.tasks if "clip" in one.after] == ["look", "arms", "head"]


def test_the_last_task_stays() -> None:
    line = make_line()
    line.tasks.exclude(name="clip").delete()
    with pytest.raises(OfftoolError, match="one task at least"):
        remove_task(SLUG, LINE, "clip", by="x")


def test_breaks_are_kept_and_taken_out() -> None:
    make_line()
    step.keep_break(SLUG, LINE, step.BreakSaid(begins_h=2.0, ends_h=2.25), by="x")
    assert [(one.begins_h, one.ends_h) for one in know_line(SLUG).breaks] == [(2.0, 2.25)]
    with pytest.raises(DefinitionRefused):
        step.keep_break(SLUG, LINE, step.BreakSaid(begins_h=3.0, ends_h=3.0), by="x")
    step.take_break_out(SLUG, LINE, 2.0, None, by="x")
    assert know_line(SLUG).breaks == ()
    with pytest.raises(OfftoolError, match="no break begins"):
        step.take_break_out(SLUG, LINE, 2.0, None, by="x")


def test_a_tool_feeds_the_line_once_its_shot_is_timed() -> None:
    line = make_line()
    line.programme.tools.create(code="M1", name="hull")
    with pytest.raises(DefinitionRefused, match="time of a shot"):
        step.keep_feed(SLUG, LINE, step.FeedSaid(tool="M1"), by="x")
    said = step.FeedSaid(tool="M1", columns={"cycle_s": 36.0, "rejects": 0.01}, task="clip")
    step.keep_feed(SLUG, LINE, said, by="x")
    (found,) = know_line(SLUG).presses
    assert (found.tool, found.cycle_s, found.rejects, found.task) == ("M1", 36.0, 0.01, "clip")
    with pytest.raises(DefinitionRefused, match="no task 'clop'"):
        step.keep_feed(SLUG, LINE, replace(said, task="clop"), by="x")
    step.take_feed_out(SLUG, LINE, "M1", by="x")
    assert know_line(SLUG).presses == ()

"""Lines that cannot be: refused by the task, the station or the equipment, with the remedy."""

from __future__ import annotations

import sys
from dataclasses import replace
from typing import Any

import pytest

from offtool.core.pilot.balance import LineEquipment, LineGiven, LineStation, LineTask, line_as_placed
from offtool.core.values import ImpossibleInput, NotEnoughData, OfftoolError
from tests.core.pilot.balance.graphs import changed, plain
from tests.core.pilot.balance.small import best_rate, fewest_stations

LINE = plain([4, 6, 5], b="a", c="b")


def refused(line: LineGiven, rate_per_h: float = 360.0) -> str:
    with pytest.raises(ImpossibleInput) as error:
        fewest_stations(line, rate_per_h=rate_per_h)
    return str(error.value)


def test_a_circle_in_the_order_is_listed() -> None:
    said = refused(changed(LINE, "a", after=("c",)))
    ring = said.split("= ")[1].split(":")[0].split(" → ")
    assert ring[0] == ring[-1]
    assert set(ring) == {"a", "b", "c"}
    assert "before itself" in said


def test_a_task_longer_than_the_cycle_is_named() -> None:
    said = refused(LINE, rate_per_h=720)
    assert said.startswith("time_s of b = 6 s: must be at most the cycle, 5 s")
    assert "lower rate" in said


def test_a_longer_task_is_done_where_two_people_work() -> None:
    line = replace(LINE, stations=(LineStation(station=2, people=2),))
    found = fewest_stations(line, rate_per_h=720)
    assert found.of("b").station == 2


def test_two_who_face_each_other_do_not_shorten_a_task() -> None:
    assert "time_s of b" in refused(replace(LINE, two_sided=True), rate_per_h=720)


@pytest.mark.parametrize(
    ("said", "names"),
    [
        ({"after": ("x",)}, "after of b = x: is no task of the line; known are: a, b, c"),
        ({"after": ("b",)}, "after of b = b: is the task itself"),
        ({"together": ("glue",)}, "together of b = glue: is no task of the line"),
        ({"apart": ("b",)}, "apart of b = b: is the task itself"),
        ({"time_s": 0.0}, "time_s of b = 0.0 s: must be above 0"),
        ({"time_s": float("nan")}, "time_s of b = nan s: must be a finite number"),
        ({"spread_s": -1.0}, "spread_s of b = -1.0 s: must be at least 0"),
        ({"readings": -1}, "readings of b = -1.0: must be at least 0"),
        ({"station": 0}, "station of b = 0.0: must be at least 1"),
        ({"equipment": ("welder",)}, "equipment of b = welder: stands at no station"),
    ],
)
def test_what_cannot_be_of_a_task_is_named(said: dict[str, Any], names: str) -> None:
    assert names in refused(changed(LINE, "b", **said))


def test_tied_tasks_that_are_kept_apart_are_named() -> None:
    line = changed(changed(LINE, "a", together=("b",)), "b", apart=("a",))
    assert "apart of b = a: must be at the station of b" in refused(line)


def test_what_must_be_done_between_tied_tasks_is_at_their_station() -> None:
    line = changed(LINE, "a", together=("c",))
    assert len({best_rate(line, stations=3).of(name).station for name in "abc"}) == 1
    assert "between tied tasks" in refused(changed(line, "b", apart=("a",)))


def test_tied_tasks_fixed_at_two_stations_are_named() -> None:
    line = changed(changed(LINE, "a", together=("b",), station=1), "b", station=2)
    assert "station of b = 2: must be 1, where a is" in refused(line)


def test_tied_tasks_longer_than_the_cycle_are_named() -> None:
    said = refused(changed(LINE, "b", together=("c",)), rate_per_h=360)
    assert "together = b, c: take 11 s together" in said


def test_stations_fixed_against_the_order_are_named() -> None:
    line = changed(changed(LINE, "a", station=2), "c", station=1)
    assert "station of c = 1: must be at least 2, where a is done, which comes before" in refused(line)


def test_a_station_without_people_is_named() -> None:
    assert "people at station 2 = 0.0: must be at least 1" in refused(
        replace(LINE, stations=(LineStation(station=2, people=0),))
    )
    assert "people of the line = 0.0: must be at least 1" in refused(replace(LINE, people=0))


def test_one_person_cannot_face_another() -> None:
    line = replace(LINE, stations=(LineStation(station=2, people=1, two_sided=True),))
    assert "people at station 2 = 1: must be 2 where people face each other" in refused(line)


def test_equipment_with_too_little_time_is_named() -> None:
    line = replace(LINE, equipment=(LineEquipment(equipment="welder", at_most=1),))
    for name in "bc":
        line = changed(line, name, equipment=("welder",))
    assert "equipment = welder: has 10 s in a cycle, and its tasks take 11 s" in refused(line)
    none = replace(line, equipment=(LineEquipment(equipment="welder", at_most=0),))
    assert "at_most of welder = 0: must be at least 1: b needs it" in refused(none)


def test_equipment_of_a_task_at_no_common_station_is_named() -> None:
    both = (
        LineEquipment(equipment="welder", stations=(1,)),
        LineEquipment(equipment="printer", stations=(2,)),
    )
    line = replace(changed(LINE, "b", equipment=("welder", "printer")), equipment=both)
    assert "equipment of b = welder, printer: stands at no station that the task can be at" in refused(line)


@pytest.mark.parametrize(
    ("line", "names"),
    [
        (replace(LINE, tasks=(*LINE.tasks, LINE.tasks[0])), "task = a: stands twice"),
        (
            replace(LINE, stations=(LineStation(station=1), LineStation(station=1))),
            "station = 1: stands twice",
        ),
        (LineGiven(tasks=(LineTask(task=" ", time_s=1),)), "must have a name"),
        (replace(LINE, most_stations=0), "most_stations = 0.0: must be at least 1"),
        (replace(changed(LINE, "c", station=4), most_stations=3), "station of c = 4: must be at most 3"),
        (replace(LINE, most_stations=1), "most_stations = 1: must be at least 2"),
        (LineGiven(tasks=tuple(LineTask(task=str(i), time_s=1) for i in range(301))), "must be at most 300"),
    ],
)
def test_what_cannot_be_of_a_line_is_named(line: LineGiven, names: str) -> None:
    assert names in refused(line)


@pytest.mark.parametrize("rate", [0.0, -1.0, float("inf")])
def test_a_rate_of_nothing_is_refused(rate: float) -> None:
    assert "rate_per_h" in refused(LINE, rate_per_h=rate)


def test_fewer_stations_than_are_numbered_are_refused() -> None:
    with pytest.raises(ImpossibleInput, match="station of c = 4: must be at most 2"):
        best_rate(changed(LINE, "c", station=4), stations=2)
    with pytest.raises(ImpossibleInput, match="stations = 4: must be at most 3"):
        best_rate(replace(LINE, most_stations=3), stations=4)


def test_a_line_without_tasks_is_no_line() -> None:
    with pytest.raises(NotEnoughData, match="no task"):
        fewest_stations(LineGiven(tasks=()), rate_per_h=100)


def test_rules_that_cannot_be_kept_together_are_told_with_what_would_help() -> None:
    """Three tasks that are kept apart need three welders; there are two."""
    line = replace(plain([1, 1, 1]), equipment=(LineEquipment(equipment="welder", at_most=2),))
    for name, others in {"a": ("b", "c"), "b": ("c",), "c": ()}.items():
        line = changed(line, name, equipment=("welder",), apart=others)
    with pytest.raises(OfftoolError, match="no line keeps all rules at once") as error:
        fewest_stations(line, rate_per_h=360)
    assert error.value.remedy == "it can be without the pairs kept apart or without the number of equipment"
    with pytest.raises(OfftoolError, match="without the pairs kept apart"):
        best_rate(line, stations=4)


def test_without_the_solver_the_extra_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "ortools.sat.python", None)
    with pytest.raises(OfftoolError) as error:
        best_rate(LINE, stations=2)
    assert error.value.remedy == "pip install 'offtool[optim]'"


def test_a_line_that_is_placed_needs_no_solver(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "ortools.sat.python", None)
    placed = replace(LINE, tasks=tuple(replace(one, station=1) for one in LINE.tasks))
    found = line_as_placed(placed, rate_per_h=60)
    assert found.value == sum(one.time_s for one in LINE.tasks)
    assert [len(one.tasks) for one in found.stations] == [len(LINE.tasks)]

"""People shared out over stations: against every sharing and every line, and laws."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import product

import pytest
from hypothesis import strategies as st

from offtool.core.pilot.balance import (
    LineEquipment,
    LineGiven,
    LineStation,
    LineTask,
    best_rate,
    best_rate_of_people,
)
from offtool.core.values import ImpossibleInput, OfftoolError
from tests.core.laws import law
from tests.core.pilot.balance import every_line
from tests.core.pilot.balance.graphs import orders
from tests.core.pilot.balance.rules import broken
from tests.labels import independent

WAY = "every sharing of the people, every line"
ROW = LineGiven(
    tasks=(
        LineTask(task="a", time_s=12),
        LineTask(task="b", time_s=18, after=("a",)),
        LineTask(task="c", time_s=12, after=("b",)),
    )
)


def manned(line: LineGiven, people: tuple[int, ...]) -> LineGiven:
    said = [LineStation(station=k, people=one) for k, one in enumerate(people, start=1)]
    return replace(line, stations=tuple(said), people=1)


def best_of_all(line: LineGiven, people: int, stations: int) -> tuple[Fraction, int]:
    """The least cycle over every sharing, and the fewest people that reach it."""
    found = []
    for shared in product(range(1, people + 1), repeat=stations):
        if sum(shared) <= people:
            cycle = every_line.least_cycle(manned(line, shared), stations)
            assert cycle is not None
            found.append((cycle, sum(shared)))
    return min(found)


@law(examples=25, line=orders(most=5), stations=st.integers(1, 3), more=st.integers(0, 2))
def test_no_sharing_and_no_line_is_faster_or_does_it_with_fewer(
    line: LineGiven, stations: int, more: int
) -> None:
    people = stations + more
    cycle, fewest = best_of_all(line, people, stations)
    found = best_rate_of_people(line, people=people, stations=stations, workers=1)
    assert found.value == independent(float(cycle), way=WAY)
    assert found.people == fewest
    assert found.is_proved
    assert broken(found) == []


@law(examples=15, line=orders(most=6), stations=st.integers(1, 3))
def test_one_person_a_station_is_the_best_rate_of_the_stations(line: LineGiven, stations: int) -> None:
    alone = best_rate_of_people(line, people=stations, stations=stations, workers=1)
    assert alone.value == independent(
        best_rate(line, stations=stations, workers=1).value, way="best_rate, one person at each"
    )


def test_the_example_of_its_docstring() -> None:
    cycles = [best_rate_of_people(ROW, people=n, stations=3, workers=1).value for n in (3, 4)]
    assert cycles == [18, 12]


def test_people_who_make_it_no_faster_are_left_out() -> None:
    found = best_rate_of_people(ROW, people=5, stations=3, workers=1)
    assert (found.value, found.people) == (12, 4)


def test_equipment_counts_by_the_people_who_use_it() -> None:
    few = replace(
        ROW,
        tasks=tuple(replace(one, equipment=("welder",)) if one.task == "b" else one for one in ROW.tasks),
        equipment=(LineEquipment(equipment="welder", at_most=1),),
    )
    assert best_rate_of_people(few, people=4, stations=3, workers=1).value == 18
    two = replace(few, equipment=(LineEquipment(equipment="welder", at_most=2),))
    found = best_rate_of_people(two, people=4, stations=3, workers=1)
    assert found.value == 12
    assert any("equipment" in one.text and "for themselves" in one.text for one in found.cautions)


def test_two_who_face_each_other_stay_two() -> None:
    facing = replace(ROW, stations=(LineStation(station=2, two_sided=True),))
    found = best_rate_of_people(facing, people=5, stations=3, workers=1)
    assert found.stations[1].people == 2
    assert found.people <= 5


@pytest.mark.parametrize("people", [2, 19])
def test_too_few_and_too_many_people_are_refused(people: int) -> None:
    with pytest.raises(ImpossibleInput, match="people"):
        best_rate_of_people(ROW, people=people, stations=3)


def test_a_line_that_cannot_be_says_which_rule_is_in_the_way() -> None:
    tied = replace(
        ROW,
        tasks=(
            replace(ROW.tasks[0], station=1, together=("c",)),
            ROW.tasks[1],
            replace(ROW.tasks[2], station=2),
        ),
    )
    with pytest.raises(OfftoolError):
        best_rate_of_people(tied, people=4, stations=3)

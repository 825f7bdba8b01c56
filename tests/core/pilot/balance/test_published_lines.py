"""Published lines with known optima: fewest stations for a cycle, least cycle for so many stations."""

from __future__ import annotations

import pytest

from offtool.core.pilot.balance import best_rate, fewest_stations
from offtool.core.pilot.balance.by_filling import place_by_filling
from offtool.core.pilot.balance.placing import busy, slowest
from offtool.core.pilot.balance.problem import problem_of
from offtool.core.pilot.balance.search import Budget, fewest, shortest
from tests.core.pilot.balance.graphs import FILES, OPTIMA, SOURCE, published_line
from tests.core.pilot.balance.rules import broken
from tests.labels import published, remembered

SECONDS = 60.0
"""The slowest takes a few; so many allow for a machine that does other work."""
FIRST = [(row["file"], row["c"], row["m_star"]) for row in OPTIMA["salbp1"]]
SECOND = [
    (FILES[graph], int(stations), cycle)
    for graph, found in OPTIMA["salbp2"].items()
    for stations, cycle in found.items()
]
LARGER = {
    "SAWYER30.IN2": {27: "13", 33: "11", 41: "8", 54: "7"},
    "HAHN.IN2": {2004: "8", 2338: "7", 2806: "6", 3507: "5", 4676: "4"},
    "WARNECKE.IN2": {82: "20", 86: "19", 104: "15", 111: "14"},
    "TONGE70.IN2": {364: "10", 410: "9", 468: "8", 527: "7"},
    "WEE-MAG.IN2": {28: "63", 30: "62", 33: "61", 38: "60", 41: "59", 42: "55", 43: "50", 46: "34", 56: "30"},
}
"""Larger graphs at cycles that are solved at once; the rest is timed in benchmarks/balance.py."""


def test_there_are_all_published_cases() -> None:
    assert (len(FIRST), len(SECOND)) == (63, 32)


@pytest.mark.parametrize(("file", "cycle", "stations"), FIRST)
def test_the_fewest_stations_are_the_published_ones_and_proved(file: str, cycle: int, stations: int) -> None:
    problem = problem_of(published_line(file))
    found = fewest(problem, problem.cycle(float(cycle)), Budget(SECONDS, 2))
    assert found.placing.stations == published(str(stations), source=f"{SOURCE}, {file}, cycle {cycle}")
    assert found.bound == stations
    assert found.by_weight is not None
    assert max(found.bounds.values()) <= stations <= found.by_weight


@pytest.mark.parametrize(("file", "stations", "cycle"), SECOND)
def test_the_least_cycle_is_the_published_one_and_proved(file: str, stations: int, cycle: int) -> None:
    problem = problem_of(published_line(file))
    found = shortest(problem, stations, Budget(SECONDS, 2))
    least = problem.seconds(slowest(problem, found.placing))
    assert least == published(str(cycle), source=f"{SOURCE}, {file}, {stations} stations")
    assert problem.seconds(found.bound) == least
    assert found.by_weight is not None
    assert max(found.bounds.values()) <= found.bound <= found.by_weight


@pytest.mark.parametrize(
    ("file", "cycle", "stations"),
    [(file, cycle, found) for file, cases in LARGER.items() for cycle, found in cases.items()],
)
def test_larger_graphs_have_the_stations_that_are_remembered(file: str, cycle: int, stations: str) -> None:
    problem = problem_of(published_line(file))
    found = fewest(problem, problem.cycle(float(cycle)), Budget(SECONDS, 2))
    assert found.placing.stations == remembered(stations, source=f"{SOURCE}, {file}, cycle {cycle}")
    assert found.bound == found.placing.stations


@pytest.mark.parametrize(
    ("file", "cycle", "stations"),
    [("WARNECKE.IN2", 58, "29"), ("TONGE70.IN2", 160, "23"), ("WEE-MAG.IN2", 50, "32")],
)
def test_filling_finds_the_stations_that_are_remembered(file: str, cycle: int, stations: str) -> None:
    """Lines whose bound is not closed: the rule of thumb alone reaches the published number."""
    problem = problem_of(published_line(file))
    found = place_by_filling(problem, problem.cycle(float(cycle)), 1, problem.size)
    assert found is not None
    assert found.stations == remembered(stations, source=f"{SOURCE}, {file}, cycle {cycle}")
    assert max(busy(problem, found, k) for k in range(1, found.stations + 1)) <= problem.cycle(float(cycle))
    at = found.station
    assert all(at[i] <= at[j] for j, befores in enumerate(problem.before) for i in befores)


def test_a_published_line_is_told_whole() -> None:
    """What the page shows is the line that was searched for."""
    line = published_line("JACKSON.IN2")
    found = fewest_stations(line, rate_per_h=3600 / 10)
    assert (found.value, found.bound, found.is_proved) == (5, 5, True)
    assert found.words == "5 stations keep 360 pieces an hour; fewer do not"
    assert found.work_s == 46
    assert found.efficiency == 46 / 50
    assert broken(found) == []
    assert best_rate(line, stations=5).value == found.evenness.largest_s

"""Small lines with every kind of rule, against all the lines there are."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import find
from hypothesis import strategies as st

from offtool.core.pilot.balance import LineGiven
from offtool.core.values import OfftoolError
from tests.core.laws import law
from tests.core.pilot.balance import every_line
from tests.core.pilot.balance.graphs import lines, orders
from tests.core.pilot.balance.rules import broken
from tests.core.pilot.balance.small import best_rate, fewest_stations
from tests.labels import independent

WAY = "all lines, one after the other"
STATIONS = 3


@law(examples=80, line=lines(stations=STATIONS), stations=st.integers(1, STATIONS))
def test_the_best_rate_is_that_of_the_best_of_all_lines(line: LineGiven, stations: int) -> None:
    least = every_line.least_cycle(line, stations)
    if least is None:
        with pytest.raises(OfftoolError):
            best_rate(line, stations=stations)
        return
    found = best_rate(line, stations=stations)
    assert found.value == independent(float(least), way=WAY)
    assert found.is_proved
    assert broken(found) == []


@law(examples=80, line=lines(stations=STATIONS), cycle=st.integers(3, 30))
def test_the_fewest_stations_are_those_of_the_shortest_of_all_lines(line: LineGiven, cycle: int) -> None:
    fewest = every_line.fewest_stations(line, Fraction(cycle), STATIONS)
    if fewest is None:
        with pytest.raises(OfftoolError):
            fewest_stations(line, rate_per_h=3600 / cycle)
        return
    found = fewest_stations(line, rate_per_h=3600 / cycle)
    assert found.value == fewest
    assert found.is_proved
    assert broken(found) == []
    least = every_line.least_cycle(line, fewest)
    assert least is not None
    assert found.evenness.largest_s == independent(float(least), way=WAY)


@law(examples=40, line=orders(most=6), stations=st.integers(2, 3))
def test_the_loads_are_as_close_together_as_in_any_line(line: LineGiven, stations: int) -> None:
    found = best_rate(line, stations=stations)
    least = every_line.least_squares(line, stations, Fraction(found.value).limit_denominator(1000))
    assert found.evenness.spread_is_proved
    squares = sum(one.work_s**2 for one in found.stations)
    assert squares == independent(float(least), way=WAY)


@law(examples=50, line=lines(stations=STATIONS), cycle=st.integers(3, 30))
def test_no_bound_is_above_the_shortest_line(line: LineGiven, cycle: int) -> None:
    fewest = every_line.fewest_stations(line, Fraction(cycle), STATIONS)
    if fewest is None:
        return
    found = fewest_stations(line, rate_per_h=3600 / cycle)
    assert {one.name: one.value for one in found.bounds if one.value > fewest} == {}
    assert found.by_weight is None or found.by_weight >= fewest


@law(examples=50, line=lines(stations=STATIONS), stations=st.integers(1, STATIONS))
def test_no_bound_is_above_the_least_cycle(line: LineGiven, stations: int) -> None:
    least = every_line.least_cycle(line, stations)
    if least is None:
        return
    found = best_rate(line, stations=stations)
    assert {one.name: one.value for one in found.bounds if one.value > float(least) + 1e-9} == {}


@pytest.mark.parametrize("stations", [1, 2, 3])
def test_drawn_lines_can_be_built_and_cannot_be_built(stations: int) -> None:
    """The draws above meet both answers: without both they would show little."""

    def can(line: LineGiven) -> bool:
        return every_line.least_cycle(line, stations) is not None

    assert can(find(lines(stations=STATIONS), can))
    assert not can(find(lines(stations=STATIONS), lambda line: not can(line)))

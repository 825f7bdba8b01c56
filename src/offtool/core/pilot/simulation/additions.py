"""One thing more on a line: a person, a place for pieces to wait, a fixture."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from offtool.core.pilot.simulation.given import Addition, Intake, Line, More, StationGiven
from offtool.core.values import ImpossibleInput, nearest


def all_additions(line: Line) -> tuple[Addition, ...]:
    """One more of everything that is counted: people, places that are limited, fixtures."""
    return tuple(_of_line(line))


def with_addition(line: Line, addition: Addition) -> Line:
    """The line with it."""
    return replace(
        line,
        stations=tuple(
            _with(one, addition) if one.name == addition.station else one for one in line.stations
        ),
    )


def check_addition(line: Line, addition: Addition) -> None:
    """Refuse an addition to what is not there."""
    names = [one.name for one in line.stations]
    if addition.station not in names:
        remedy = nearest(addition.station, names)
        raise ImpossibleInput("addition: station", addition.station, "", "is no station", remedy)
    station = line.station(addition.station)
    if addition.more is More.FIXTURE and station.fixtures is None:
        remedy = "say how many fixtures it has"
        raise ImpossibleInput(f"{station.name}: fixtures", "blank", "", "has no counted fixtures", remedy)
    if addition.more is More.PLACE:
        limited = [one.item for one in station.takes if one.places is not None]
        if addition.item not in limited:
            limit = "is no item with a limited number of places there"
            remedy = nearest(addition.item, limited)
            raise ImpossibleInput(f"{station.name}: item", addition.item or "blank", "", limit, remedy)


def _of_line(line: Line) -> Iterator[Addition]:
    for one in line.stations:
        yield Addition(more=More.PERSON, station=one.name)
        for intake in one.takes:
            if intake.places is not None:
                yield Addition(more=More.PLACE, station=one.name, item=intake.item)
        if one.fixtures is not None:
            yield Addition(more=More.FIXTURE, station=one.name)


def _with(station: StationGiven, addition: Addition) -> StationGiven:
    if addition.more is More.PERSON:
        return replace(station, people=station.people + 1)
    if addition.more is More.FIXTURE:
        return replace(station, fixtures=(station.fixtures or 0) + 1)
    return replace(
        station,
        takes=tuple(_roomier(one) if one.item == addition.item else one for one in station.takes),
    )


def _roomier(intake: Intake) -> Intake:
    return intake if intake.places is None else replace(intake, places=intake.places + 1)

"""A line as the record has it: what a balance is made from, and who does what as it is worked today."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import sqrt

from offtool.core.pilot.balance import (
    LineBalance,
    LineEquipment,
    LineGiven,
    LineStation,
    LineTask,
    Side,
    StationLoad,
    best_rate,
    fewest_stations,
    line_as_placed,
)
from offtool.core.values import NotEnoughData
from offtool.handbook.terms import PairKind
from offtool.records.models import Line
from offtool.records.models import LineStation as KeptStation
from offtool.records.models import LineTask as KeptTask
from offtool.records.queries import stations_of, tasks_of
from offtool.steps.sentences import count, listed

SECONDS = 3.0
"""How long a balance is searched for unless somebody says longer."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StationWork:
    """A station as it is worked: who is there, what is done, and how long that takes."""

    number: int
    name: str
    """"station 3" where it has no name."""
    people: int
    two_sided: bool
    tasks: tuple[str, ...]
    """In the order in which they are done."""
    task_ids: tuple[int, ...]
    work_s: float
    """Of all its people for one piece."""
    busy_s: float
    """From one piece to the next."""
    spread_s: float | None
    """Standard deviation of the work; None where that of a task is not known."""
    readings: int
    """Of the task that was timed least; 0: one is an estimate."""
    estimated: tuple[str, ...]
    spread_unknown: tuple[str, ...]
    before: tuple[int, ...]
    """Stations that do something which must be done before a task here."""
    equipment: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LineAsWorked:
    """The stations of a line in order, with what is done at each."""

    line: str
    is_adopted: bool
    why: str
    """Where the places are from, in words."""
    stations: tuple[StationWork, ...]


def line_given(line: Line) -> LineGiven:
    """A line as the balance takes it. Nothing is checked here: the balance names what cannot be."""
    return LineGiven(
        tasks=tuple(map(_task, tasks_of(line))),
        stations=tuple(
            LineStation(station=one.number, people=one.people, two_sided=one.two_sided)
            for one in stations_of(line)
            if one.people is not None or one.two_sided is not None
        ),
        equipment=tuple(
            LineEquipment(
                equipment=one.name,
                at_most=one.at_most,
                stations=tuple(sorted(has.station.number for has in one.at_stations.all())),
            )
            for one in line.equipment.prefetch_related("at_stations__station").order_by("pk")
        ),
        two_sided=line.two_sided,
    )


def _task(one: KeptTask) -> LineTask:
    pairs = [(pair.other.name, pair.kind) for pair in one.pairs.all()]
    return LineTask(
        task=one.name,
        time_s=one.time_s,
        spread_s=one.spread_s,
        readings=one.readings,
        after=tuple(row.before.name for row in one.after.all()),
        equipment=tuple(row.equipment.name for row in one.needs.all()),
        side=Side(one.side),
        station=one.fixed_station.number if one.fixed_station is not None else None,
        together=tuple(name for name, kind in pairs if kind == PairKind.TIED),
        apart=tuple(name for name, kind in pairs if kind == PairKind.APART),
    )


def adopted_places(line: Line) -> dict[str, int]:
    """The station of each task that has one in the line as it was adopted."""
    return {one.name: one.placed_at.number for one in tasks_of(line) if one.placed_at is not None}


def as_placed(given: LineGiven, places: dict[str, int], rate_per_h: float | None) -> LineBalance:
    """The loads of a line whose tasks stay at their places, against a rate where one is asked for.

    Raises ImpossibleInput, by the task, where the places break a rule of the line.
    """
    tasks = tuple(replace(one, station=places[one.task]) for one in given.tasks)
    fixed = replace(given, tasks=tasks)
    if rate_per_h is not None:
        return line_as_placed(fixed, rate_per_h=rate_per_h, seconds=SECONDS, workers=1)
    return best_rate(fixed, stations=max(places.values()), seconds=SECONDS, workers=1)


def stations_with_tasks(line: Line) -> tuple[KeptStation, ...]:
    """The stations where something is done, along the line; all of them while some task has no place.

    A station that adopted places left empty is not the end of a line.
    """
    places = [one.placed_at_id or one.fixed_station_id for one in tasks_of(line)]
    stations = stations_of(line)
    if not places or None in places:
        return stations
    return tuple(one for one in stations if one.pk in places)


def left_over(line: Line) -> tuple[KeptStation, ...]:
    """The stations of an adopted line at which nothing is done."""
    used = stations_with_tasks(line)
    return tuple(one for one in stations_of(line) if one not in used)


def stations_named(numbers: Sequence[int]) -> str:
    """station 5; stations 5 and 6."""
    names = names_in_words([str(one) for one in numbers])
    return f"{'station' if len(numbers) == 1 else 'stations'} {names}"


def rate_needed(line: Line) -> float | None:
    """Pieces an hour that must enter the line, so that the plan of good pieces is kept."""
    if line.planned_per_h is None:
        return None
    return line.planned_per_h / (line.planned_final_yield or 1.0)


def stations_for(given: LineGiven, people: int) -> int:
    """The most stations that so many people fill, from the first on."""
    stations, there = 0, 0
    while there + given.people_at(stations + 1) <= people:
        stations += 1
        there += given.people_at(stations)
    return stations


def line_as_worked(line: Line, *, seconds: float = SECONDS) -> LineAsWorked:
    """The line as it was adopted; while some task has no place yet, as the balance places all of them.

    Raises NotEnoughData for a line without tasks, and for one without places, rate and people;
    ImpossibleInput or OfftoolError, by name, where the places or the tasks cannot be.
    """
    given, places = line_given(line), adopted_places(line)
    is_adopted = bool(given.tasks) and len(places) == len(given.tasks)
    if is_adopted:
        found, why = as_placed(given, places, rate_needed(line)), "as the line was adopted"
    else:
        found, why = _balanced(line, given, seconds)
    return LineAsWorked(line=line.name, is_adopted=is_adopted, why=why, stations=stations_worked(line, found))


def _balanced(line: Line, given: LineGiven, seconds: float) -> tuple[LineBalance, str]:
    needed = rate_needed(line)
    if needed is not None or not given.tasks:
        found = fewest_stations(given, rate_per_h=needed or 1.0, seconds=seconds)
        return found, f"as the balance for {needed:.4g} an hour places them; no places were adopted"
    stations = stations_for(given, line.people) if line.people else len(stations_of(line))
    if not stations:
        raise NotEnoughData(
            f"line {line.name} has neither a planned rate nor people",
            remedy="say how many an hour are planned, or how many people are at hand",
        )
    found = best_rate(given, stations=stations, seconds=seconds)
    return found, f"as the balance for {count(stations, 'station')} places them; no places were adopted"


def stations_worked(line: Line, found: LineBalance) -> tuple[StationWork, ...]:
    """The stations of a balanced line that have something to do, with the names of the record."""
    names = {one.number: str(one) for one in stations_of(line)}
    tasks = {one.name: one for one in tasks_of(line)}
    place = {placed.task: one.station for one in found.stations for placed in one.tasks}
    return tuple(
        _worked(one, names.get(one.station, f"station {one.station}"), tasks, place)
        for one in found.stations
        if one.tasks
    )


def _worked(load: StationLoad, name: str, tasks: dict[str, KeptTask], place: dict[str, int]) -> StationWork:
    here = [tasks[placed.task] for placed in load.tasks]
    before = {place[row.before.name] for one in here for row in one.after.all()}
    return StationWork(
        number=load.station,
        name=name,
        people=load.people,
        two_sided=load.two_sided,
        tasks=tuple(one.name for one in here),
        task_ids=tuple(one.pk for one in here),
        work_s=load.work_s,
        busy_s=load.busy_s,
        spread_s=spread_of(one.spread_s for one in here),
        readings=min(one.readings for one in here),
        estimated=tuple(one.name for one in here if not one.readings),
        spread_unknown=tuple(one.name for one in here if one.spread_s is None),
        before=tuple(sorted(before - {load.station})),
        equipment=load.equipment,
    )


def spread_of(spreads: Iterable[float | None]) -> float | None:
    """Standard deviation of tasks done one after the other, independent of each other."""
    known: Sequence[float | None] = list(spreads)
    if any(one is None for one in known):
        return None
    return sqrt(sum((one or 0.0) ** 2 for one in known))


def names_in_words(names: Sequence[str], most: int = 5) -> str:
    """weld, trim and 3 more."""
    shown = [*names[:most], *([f"{len(names) - most} more"] if len(names) > most else [])]
    return listed(shown)

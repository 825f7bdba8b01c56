"""What cannot be in a line, each named with its task, station or equipment."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from graphlib import CycleError, TopologicalSorter

from offtool.core.pilot.balance.given import FACING, LineGiven, LineTask
from offtool.core.values import ImpossibleInput, NotEnoughData, Range, nearest

MOST_TASKS = 300
MOST_STATIONS = 300
TIME = Range(
    meaning="time of the task",
    unit="s",
    above=0,
    at_most=1e6,
    remedy="time it, or leave the task out",
)
SPREAD = Range(meaning="standard deviation of the time", unit="s", at_least=0, at_most=1e6)
READINGS = Range(meaning="times it was timed", at_least=0, at_most=10**6)
PEOPLE = Range(
    meaning="people at a station",
    at_least=1,
    at_most=6,
    remedy="put someone there, or take the station out of the line",
)
STATION = Range(meaning="number of a station", at_least=1, at_most=MOST_STATIONS, remedy="count from 1")


def require_possible(line: LineGiven) -> None:
    """Refuse what cannot be, before anything is computed."""
    if not line.tasks:
        raise NotEnoughData("the line has no task", remedy="list what is done to a piece, with times")
    if len(line.tasks) > MOST_TASKS:
        limit = f"must be at most {MOST_TASKS}"
        raise ImpossibleInput("tasks", len(line.tasks), "", limit, "balance the line in parts")
    _once("task", [one.task for one in line.tasks])
    _once("station", [one.station for one in line.stations])
    _once("equipment", [one.equipment for one in line.equipment])
    for task in line.tasks:
        _require_task(task)
    _require_stations(line)
    _require_equipment(line)
    _require_known(line)
    _require_no_cycle(line.tasks)
    _require_pairs(line)


def _require_task(task: LineTask) -> None:
    if not task.task.strip():
        raise ImpossibleInput("task", repr(task.task), "", "must have a name", "say what is done")
    TIME.refuse_impossible(f"time_s of {task.task}", task.time_s)
    READINGS.refuse_impossible(f"readings of {task.task}", task.readings)
    if task.spread_s is not None:
        SPREAD.refuse_impossible(f"spread_s of {task.task}", task.spread_s)


def _require_stations(line: LineGiven) -> None:
    PEOPLE.refuse_impossible("people of the line", line.people)
    if line.most_stations is not None:
        STATION.refuse_impossible("most_stations", line.most_stations)
    for one in line.stations:
        STATION.refuse_impossible("station", one.station)
        if one.people is None:
            continue
        PEOPLE.refuse_impossible(f"people at station {one.station}", one.people)
        if line.is_two_sided(one.station) and one.people != FACING:
            limit = f"must be {FACING} where people face each other"
            remedy = "make the station one-sided, or put one person on each side"
            raise ImpossibleInput(f"people at station {one.station}", one.people, "", limit, remedy)
    for task in line.tasks:
        if task.station is not None:
            STATION.refuse_impossible(f"station of {task.task}", task.station)
            _require_room(line, f"station of {task.task}", task.station)


def _require_room(line: LineGiven, argument: str, station: int) -> None:
    if line.most_stations is not None and station > line.most_stations:
        limit = f"must be at most {line.most_stations}, the stations there are"
        raise ImpossibleInput(argument, station, "", limit, "move it, or make the line longer")


def _require_equipment(line: LineGiven) -> None:
    known = {one.equipment: one for one in line.equipment}
    for one in line.equipment:
        for station in one.stations:
            STATION.refuse_impossible(f"station of {one.equipment}", station)
    for task in line.tasks:
        for name in task.equipment:
            if name not in known:
                remedy = f"say where it stands, or how many there are; {nearest(name, known)}"
                raise ImpossibleInput(f"equipment of {task.task}", name, "", "stands at no station", remedy)
            one = known[name]
            if one.at_most is not None and one.at_most < 1:
                limit = f"must be at least 1: {task.task} needs it"
                raise ImpossibleInput(f"at_most of {name}", one.at_most, "", limit, "give its number")
            if one.stations and line.most_stations and min(one.stations) > line.most_stations:
                _require_room(line, f"station of {name}, which {task.task} needs", min(one.stations))


def _require_known(line: LineGiven) -> None:
    names = [one.task for one in line.tasks]
    known = set(names)
    for task in line.tasks:
        for what in ("after", "together", "apart"):
            for other in getattr(task, what):
                if other == task.task:
                    remedy = "take it out of its own list"
                    raise ImpossibleInput(f"{what} of {task.task}", other, "", "is the task itself", remedy)
                if other not in known:
                    remedy = nearest(other, names)
                    raise ImpossibleInput(
                        f"{what} of {task.task}", other, "", "is no task of the line", remedy
                    )


def _require_no_cycle(tasks: Sequence[LineTask]) -> None:
    try:
        TopologicalSorter({one.task: one.after for one in tasks}).prepare()
    except CycleError as error:
        ring = " → ".join(error.args[1])
        remedy = "take one of these orders out"
        raise ImpossibleInput("after", ring, "", "each would have to be done before itself", remedy) from None


def _require_pairs(line: LineGiven) -> None:
    """Tied tasks, and all that must be done between them, are at one station."""
    from offtool.core.pilot.balance.blocks import blocks_of

    for block in blocks_of(line.tasks):
        names = {one.task for one in block}
        for task in block:
            for other in task.apart:
                if other in names:
                    limit = f"must be at the station of {task.task}: they are tied, or between tied tasks"
                    remedy = "take one of the two rules out"
                    raise ImpossibleInput(f"apart of {task.task}", other, "", limit, remedy)
        fixed = {one.station: one.task for one in block if one.station is not None}
        if len(fixed) > 1:
            (first, one), (second, other), *_ = fixed.items()
            limit = f"must be {first}, where {one} is: the two are tied, or stand between tied tasks"
            raise ImpossibleInput(f"station of {other}", second, "", limit, "take one of the rules out")


def _once(what: str, names: Iterable[object]) -> None:
    seen: set[object] = set()
    for name in names:
        if name in seen:
            raise ImpossibleInput(what, name, "", "stands twice", "give each once")
        seen.add(name)

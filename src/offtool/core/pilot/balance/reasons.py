"""Why a line cannot be: the task, the tie or the equipment that does not fit, the rule that is in the way."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from offtool.core.pilot.balance.bounds import NONE_FITS, by_work
from offtool.core.pilot.balance.given import LineEquipment, LineGiven, LineTask
from offtool.core.pilot.balance.problem import Problem, problem_of
from offtool.core.pilot.balance.search import Budget, NoLine, any_line
from offtool.core.pilot.balance.windows import capacity, longest
from offtool.core.values import ImpossibleInput, OfftoolError

SECONDS_TO_ASK = 1.0
"""How long each rule is tried without."""


def require_fits(problem: Problem, cycle: int, cycle_s: float) -> None:
    """Refuse a task, tied tasks, or the work of few equipment that no station has the time for, by name."""
    everywhere = range(1, problem.most_stations + 1)
    at_the_cycle = f"must be at most the cycle, {cycle_s:.6g} s"
    for i, task in enumerate(problem.line.tasks):
        where = [k for k in everywhere if problem.is_allowed(i, k)]
        if not where:
            raise _nowhere(task)
        room = max(longest(problem, k, cycle) for k in where)
        if problem.ticks[i] > room:
            limit = at_the_cycle if room <= cycle else f"must be at most {problem.seconds(room):.6g} s"
            remedy = "divide the task, make it shorter, put more people there, or ask for a lower rate"
            raise ImpossibleInput(f"time_s of {task.task}", task.time_s, "s", limit, remedy)
    room = max(capacity(problem, k, cycle) for k in everywhere)
    for block, ticks in zip(problem.blocks, problem.block_ticks, strict=True):
        if ticks > room:
            names = ", ".join(problem.line.tasks[i].task for i in block)
            limit = f"take {problem.seconds(ticks):.6g} s together, and no station has more than "
            limit += f"{problem.seconds(room):.6g} s"
            raise ImpossibleInput("together", names, "", limit, "untie one, or ask for a lower rate")
    for one in problem.line.equipment:
        _require_enough(problem, one, cycle)


def require_room(problem: Problem, stations: int) -> None:
    """Refuse fewer stations than the numbers that are given, by the task that needs them."""
    for i, task in enumerate(problem.line.tasks):
        if task.station is not None and task.station > stations:
            limit = f"must be at most {stations}, the stations there are"
            raise ImpossibleInput(f"station of {task.task}", task.station, "", limit, "move it")
        if not any(problem.is_allowed(i, k) for k in range(1, stations + 1)):
            raise _nowhere(task)
    most = problem.line.most_stations
    if most is not None and stations > most:
        limit = f"must be at most {most}, for which there is room"
        raise ImpossibleInput("stations", stations, "", limit, "ask for fewer")


def _nowhere(task: LineTask) -> ImpossibleInput:
    names = ", ".join(task.equipment)
    limit = "stands at no station that the task can be at"
    return ImpossibleInput(f"equipment of {task.task}", names, "", limit, "move the equipment or the task")


def _require_enough(problem: Problem, one: LineEquipment, cycle: int) -> None:
    """The tasks that need equipment have no more work than the stations that can have it have time."""
    tasks = problem.needing(one.equipment)
    places = [k for k in range(1, problem.most_stations + 1) if not one.stations or k in one.stations]
    rooms = sorted((capacity(problem, k, cycle) for k in places), reverse=True)
    room, work = sum(rooms[: one.at_most]), sum(problem.ticks[i] for i in tasks)
    if work > room:
        limit = (
            f"has {problem.seconds(room):.6g} s in a cycle, and its tasks take {problem.seconds(work):.6g} s"
        )
        raise ImpossibleInput("equipment", one.equipment, "", limit, "get one more, or ask for a lower rate")


def no_line(problem: Problem, none: NoLine, cycle: int, stations: int | None = None) -> OfftoolError:
    """The error for a line that cannot be, or was not found: what stands in the way, and what to do.

    Without a number of stations there may be as many as there is room for.
    """
    line = problem.line
    if line.most_stations is not None:
        least = by_work(problem_of(replace(line, most_stations=None)), cycle)
        if NONE_FITS > least > line.most_stations:
            limit = f"must be at least {least}: all work does not fit into fewer"
            return ImpossibleInput("most_stations", line.most_stations, "", limit, "ask for a lower rate")
    if not none.is_proved:
        return OfftoolError("no line was found in the time", remedy="search longer, or drop a rule")
    helps = list(_would_help(line, cycle, stations))
    remedy = f"it can be without {' or without '.join(helps)}" if helps else "drop more than one of the rules"
    return OfftoolError("no line keeps all rules at once", remedy=remedy)


def _would_help(line: LineGiven, cycle: int, stations: int | None) -> Iterator[str]:
    """The kinds of rules without which there is a line."""
    for name, easier in _without_one(line).items():
        if easier != line:
            problem = problem_of(easier)
            if any_line(problem, stations or problem.most_stations, cycle, Budget(SECONDS_TO_ASK, 1)):
                yield name


def _without_one(line: LineGiven) -> dict[str, LineGiven]:
    def each(**changed: object) -> LineGiven:
        return replace(line, tasks=tuple(replace(one, **changed) for one in line.tasks))  # type: ignore[arg-type]

    return {
        "the ties": each(together=()),
        "the pairs kept apart": each(apart=()),
        "the fixed stations": each(station=None),
        "the places of equipment": replace(
            line, equipment=tuple(replace(one, stations=()) for one in line.equipment)
        ),
        "the number of equipment": replace(
            line, equipment=tuple(replace(one, at_most=None) for one in line.equipment)
        ),
        "the limit of stations": replace(line, most_stations=None),
    }

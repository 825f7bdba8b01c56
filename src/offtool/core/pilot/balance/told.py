"""A placing told as a result: stations with their loads, bounds, what is proved, in words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from statistics import pstdev

from offtool.core.pilot.balance.bounds import NONE_FITS
from offtool.core.pilot.balance.cautions import cautions_of
from offtool.core.pilot.balance.overrun import either_over, share_over
from offtool.core.pilot.balance.placing import Placing, busy, person_loads, slowest
from offtool.core.pilot.balance.problem import Problem
from offtool.core.pilot.balance.results import (
    Evenness,
    Goal,
    LineBalance,
    LineBound,
    PlacedTask,
    StationLoad,
)
from offtool.handbook.terms import Side

SEEN = {
    "all work": "all work over the time of the people",
    "halves": "tasks longer than half a station do not share one",
    "thirds": "tasks longer than a third of a station share it with one other at most",
    "packing": "what finds no place beside the tasks longer than half a station",
    "order": "work before and behind each task, in whole stations where none fits beside",
    "windows": "every task has a station between what comes before and what waits for it",
    "sides": "the work of one side alone",
    "relaxation": "tasks that could be divided, in their order",
    "search": "the search has tried everything else",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Proved:
    """What is proved of a line besides its stations: ticks of its least cycle, and the evenness."""

    least_cycle: int
    spread: bool


def told(
    problem: Problem,
    placing: Placing,
    proved: Proved,
    *,
    goal: Goal,
    stations: int,
    cycle_s: float,
    bounds: Mapping[str, int],
    bound: int,
    by_weight: int | None,
) -> LineBalance:
    """The result; bounds are in stations or in ticks of the cycle, by the goal."""
    fastest = problem.seconds(slowest(problem, placing))
    is_rate = goal == "best rate"
    said = problem.seconds if is_rate else float
    loads = tuple(_station(problem, placing, k, cycle_s) for k in range(1, stations + 1))
    people = sum(one.people for one in loads)
    value, least = fastest if is_rate else float(stations), said(bound)
    work_s = problem.seconds(problem.work)
    even = _evenness(problem, placing, proved, stations, fastest)
    return LineBalance(
        goal=goal,
        stations=loads,
        cycle_s=cycle_s,
        rate_per_h=3600 / fastest,
        people=people,
        work_s=work_s,
        efficiency=work_s / (people * cycle_s),
        value=value,
        bound=least,
        is_proved=least >= value,
        gap=max(0.0, (value - least) / value),
        bounds=_bounds(problem, bounds, bound, is_rate=is_rate),
        by_weight=None if by_weight is None else said(by_weight),
        evenness=even,
        words=_words(goal, stations, cycle_s, fastest, least, least >= value),
        line=problem.line,
        cautions=cautions_of(problem, loads),
    )


def _station(problem: Problem, placing: Placing, station: int, cycle_s: float) -> StationLoad:
    here = sorted(placing.at(station), key=lambda i: (placing.begins[i], problem.ticks[i]))
    people, work = problem.people(station), sum(problem.ticks[i] for i in here)
    busy_s = problem.seconds(busy(problem, placing, station))
    names = {name for i in here for name in problem.line.tasks[i].equipment}
    over = _over(problem, placing, station, cycle_s)
    return StationLoad(
        station=station,
        people=people,
        two_sided=problem.is_two_sided(station),
        equipment=tuple(sorted(names)),
        tasks=tuple(_placed(problem, placing, i) for i in here),
        work_s=problem.seconds(work),
        busy_s=busy_s,
        idle_s=max(0.0, people * cycle_s - problem.seconds(work)),
        over=over,
        words=_station_words(bool(here), busy_s, cycle_s, over),
    )


def _placed(problem: Problem, placing: Placing, i: int) -> PlacedTask:
    begins = placing.begins[i]
    return PlacedTask(
        task=problem.line.tasks[i].task,
        time_s=problem.seconds(problem.ticks[i]),
        begins_s=problem.seconds(begins),
        ends_s=problem.seconds(begins + problem.ticks[i]),
        side=placing.side[i],
    )


def _over(problem: Problem, placing: Placing, station: int, cycle_s: float) -> float | None:
    """Each person on a one-sided station has as many cycles for a piece as there are people."""
    here = placing.at(station)
    if not problem.is_two_sided(station):
        work = problem.seconds(sum(problem.ticks[i] for i in here))
        return share_over([problem.line.tasks[i] for i in here], work, problem.people(station) * cycle_s)
    shares = []
    for side in (Side.LEFT, Side.RIGHT):
        mine = [i for i in here if placing.side[i] is side]
        ends = max((placing.begins[i] + problem.ticks[i] for i in mine), default=0)
        shares.append(share_over([problem.line.tasks[i] for i in mine], problem.seconds(ends), cycle_s))
    return either_over(shares)


def _station_words(is_used: bool, busy_s: float, cycle_s: float, over: float | None) -> str:
    if not is_used:
        return "stands empty"
    said = f"{busy_s:.4g} s of {cycle_s:.4g} s"
    if over is None:
        return f"{said}; how often it is over is not known: not every task has a spread"
    return f"{said}; over in about {100 * over:.2g} % of pieces" if over >= 0.001 else said


def _evenness(problem: Problem, placing: Placing, proved: Proved, stations: int, fastest: float) -> Evenness:
    return Evenness(
        largest_s=fastest,
        least_s=min(fastest, problem.seconds(proved.least_cycle)),
        largest_is_proved=proved.least_cycle >= slowest(problem, placing),
        spread_s=problem.seconds(pstdev(person_loads(problem, placing, stations))),
        spread_is_proved=proved.spread,
    )


def _bounds(
    problem: Problem, bounds: Mapping[str, int], bound: int, *, is_rate: bool
) -> tuple[LineBound, ...]:
    known = {name: value for name, value in bounds.items() if value < NONE_FITS}
    if not problem.any_two_sided:
        known.pop("sides", None)
    if bound > max(known.values(), default=0):
        known["search"] = bound
    return tuple(
        LineBound(name=name, value=problem.seconds(value) if is_rate else value, words=SEEN[name])
        for name, value in known.items()
    )


def _words(goal: Goal, stations: int, cycle_s: float, fastest: float, bound: float, proved: bool) -> str:
    count = f"{stations} station{'' if stations == 1 else 's'}"
    keep = "keeps" if stations == 1 else "keep"
    if goal == "fewest stations":
        rate = 3600 / cycle_s
        said = f"{count} {keep} {rate:.4g} pieces an hour"
        if proved:
            return f"{said}; fewer do not"
        return f"{said}; no line has fewer than {bound:.0f}, whether {bound:.0f} would do is not shown"
    said = f"{count} {'makes' if stations == 1 else 'make'} {3600 / fastest:.4g} pieces an hour"
    if proved:
        return f"{said}; no line of so many makes more"
    return f"{said}; whether up to {3600 / bound:.4g} could be made is not shown"

"""So many people shared out over so many stations: who stands where, and which task is done where."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from math import lcm
from typing import Any

from offtool.core.formulas import formula
from offtool.core.pilot.balance.balance import (
    EQUIPMENT,
    EXAMPLE,
    LINE,
    SEARCH_SECONDS,
    SEARCHES,
    SECONDS,
    SOURCE,
    WORKERS,
)
from offtool.core.pilot.balance.checks import MOST_STATIONS, PEOPLE, require_possible
from offtool.core.pilot.balance.given import FACING, LineGiven, LineStation
from offtool.core.pilot.balance.model import LineModel
from offtool.core.pilot.balance.placing import Placing, slowest
from offtool.core.pilot.balance.problem import Problem, problem_of
from offtool.core.pilot.balance.reasons import no_line, require_room
from offtool.core.pilot.balance.results import LineBalance
from offtool.core.pilot.balance.search import Answer, Budget, NoLine, evened, run, whole
from offtool.core.pilot.balance.told import Proved, told
from offtool.core.pilot.balance.windows import Windows, windows_of
from offtool.core.values import Caution, ImpossibleInput, Range

MOST_AT_ONE = int(PEOPLE.at_most or 1)
SHARING = 0.7
"""Part of the time for the shares; the rest is for evenness."""
OWN_EQUIPMENT = Caution(
    "where several people stand at a one-sided station each works on a piece of their own and needs the "
    "equipment of the station for themselves: it is counted so"
)


@formula(
    limits={
        "line": LINE,
        "people": Range(
            meaning="people to share out", at_least=1, at_most=MOST_AT_ONE * MOST_STATIONS,
            remedy="give one at least for each station",
        ),
        "stations": Range(
            meaning="stations of the line", at_least=1, at_most=MOST_STATIONS, remedy="give one at least"
        ),
        "seconds": SEARCH_SECONDS,
        "workers": SEARCHES,
    },
    example={"line": {"tasks": EXAMPLE, "equipment": EQUIPMENT}, "people": 4, "stations": 3},
    source=SOURCE,
)  # fmt: skip
def best_rate_of_people(
    line: LineGiven, *, people: int, stations: int, seconds: float = SECONDS, workers: int = WORKERS
) -> LineBalance:
    """The most pieces an hour that so many people can make at so many stations, and who stands where.

    Cycle = the largest of work / people over the stations; rate = 3600 / cycle. Every one-sided station has
    one person at least; what the line says of people at a station is left aside, two who face each other
    stay two. Of the fastest lines one with the fewest people is taken, then the most even one.

    Returns: LineBalance; its line says the people of each station, `people` can be fewer than asked for where
    more make it no faster.
    Raises: as fewest_stations; ImpossibleInput for fewer people than the stations need, or more than fit.

    Holds when: as best_rate, and each of several people at a one-sided station works on a piece of their own
    with equipment of their own, so that equipment of which there are few counts by the people who use it.

    Example: 12 s, 18 s and 12 s in a row, 3 stations: 3 people make a piece each 18 s, 4 people each 12 s.
    """
    require_possible(line)
    least = [FACING if line.is_two_sided(k) else 1 for k in range(1, stations + 1)]
    _refuse_count(people, least)
    problem, budget = (
        _loose(line, stations, min(MOST_AT_ONE, people - sum(least) + 1)),
        Budget(seconds, workers),
    )
    require_room(problem, stations)
    placing, there, bound = _shared(problem, stations, people, budget)
    shared = _with(problem, line, there)
    even, is_even = evened(_kept_at_equipment(shared, placing), placing, stations, budget)
    cycle = slowest(shared, even)
    result = told(
        shared,
        even,
        Proved(least_cycle=min(bound, cycle), spread=is_even),
        goal="best rate",
        stations=stations,
        cycle_s=shared.seconds(cycle),
        bounds={"all work": -(-problem.work // people)},
        bound=min(bound, cycle),
        by_weight=None,
    )
    return replace(result, cautions=(*_cautions(result), *result.cautions))


def _refuse_count(people: int, least: Sequence[int]) -> None:
    """Raise ImpossibleInput for fewer people than the stations need, or more than they hold."""
    if people < sum(least):
        limit = f"must be at least {sum(least)}: {len(least)} stations need so many"
        raise ImpossibleInput("people", people, "", limit, "ask for fewer stations")
    most = sum(MOST_AT_ONE if one == 1 else one for one in least)
    if people > most:
        limit = f"must be at most {most}: {MOST_AT_ONE} at each one-sided station"
        raise ImpossibleInput("people", people, "", limit, "ask for more stations")


def _loose(line: LineGiven, stations: int, most: int) -> Problem:
    """The line with the most people everywhere, in ticks of which each share of a task is a whole number."""
    problem = problem_of(_said(line, dict.fromkeys(range(1, stations + 1), most)))
    fold = lcm(*range(1, most + 1))
    return replace(problem, ticks=tuple(fold * one for one in problem.ticks), step_s=problem.step_s / fold)


def _said(line: LineGiven, there: Mapping[int, int]) -> LineGiven:
    """The line with so many people at each one-sided station."""
    told_of = [
        LineStation(station=k, two_sided=two_sided, people=None if two_sided else people)
        for k, people in there.items()
        for two_sided in [line.is_two_sided(k)]
    ]
    return replace(line, stations=tuple(told_of), people=1, two_sided=False)


def _with(loose: Problem, line: LineGiven, there: Mapping[int, int]) -> Problem:
    """The line with the people found, in the same ticks."""
    return replace(problem_of(_said(line, there)), ticks=loose.ticks, step_s=loose.step_s)


def _shared(
    problem: Problem, stations: int, people: int, budget: Budget
) -> tuple[Placing, dict[int, int], int]:
    """The tasks placed, the people of each station, and the ticks that no such line goes below."""
    high, low = problem.work, max(-(-problem.work // people), 1)
    windows = windows_of(problem, high, stations)
    if windows is None:
        raise no_line(problem, NoLine({}, is_proved=True), high, stations)
    built = _Shares(problem, windows, stations, low, high, people)
    answer, there = built.answer(budget)
    if answer.placing is None:
        raise no_line(problem, NoLine({}, is_proved=answer.is_settled), high, stations)
    cycle = max(low, slowest(_with(problem, problem.line, there), answer.placing))
    bound = cycle if answer.is_settled else max(low, whole((answer.bound - people) / (people + 1)))
    return answer.placing, there, bound


class _Shares(LineModel):
    """The line with the people of its one-sided stations left open."""

    def __init__(
        self, problem: Problem, windows: Windows, stations: int, low: int, high: int, people: int
    ) -> None:
        super().__init__(problem, windows, stations, low, high)
        self.people = {k: self._people(k) for k in range(1, stations + 1)}
        total = sum(m * flag for flags in self.people.values() for m, flag in flags.items())
        self.model.add(total <= people)
        for one in problem.line.equipment:
            if one.at_most is not None:
                self._add_own(problem.needing(one.equipment), one.at_most)
        # one tick of the cycle weighs more than all people together
        self.model.minimize((people + 1) * self.cycle + total)

    def _people(self, station: int) -> dict[int, Any]:
        """A flag for each number of people that can be there."""
        most = self.problem.people(station)
        counts = (most,) if station in self.two_sided else range(1, most + 1)
        flags = {m: self._flag() for m in counts}
        self.model.add_exactly_one(flags.values())
        if station not in self.two_sided:
            for m, flag in flags.items():
                self.model.add(self.work_at(station) <= m * self.cycle).only_enforce_if(flag)
        return flags

    def _add_own(self, tasks: Iterable[int], most: int) -> None:
        """Whoever works on a piece of their own needs the equipment for themselves."""
        used = {k: self._whole(0, most) for k in self.people}
        for i in tasks:
            for k in self.windows.places[i]:
                for m, flag in self.people[k].items():
                    needed = 1 if k in self.two_sided else m
                    self.model.add(used[k] >= needed).only_enforce_if([self.at[i, k], flag])
        self.model.add(sum(used.values()) <= most)

    def answer(self, budget: Budget) -> tuple[Answer, dict[int, int]]:
        """The solver's line, and the people of each of its stations."""
        solver, answer = run(self, Budget(budget.seconds * SHARING, budget.workers))
        budget.seconds -= solver.wall_time
        if answer.placing is None:
            return answer, {}
        there = {
            k: next(m for m, flag in flags.items() if solver.boolean_value(flag))
            for k, flags in self.people.items()
        }
        return answer, there


def _kept_at_equipment(problem: Problem, placing: Placing) -> Problem:
    """The line whose tasks at equipment of which there are few stay where they are while it is evened."""
    few = {one.equipment for one in problem.line.equipment if one.at_most is not None}
    tasks = tuple(
        replace(one, station=placing.station[i]) if few & set(one.equipment) else one
        for i, one in enumerate(problem.line.tasks)
    )
    return replace(problem, line=replace(problem.line, tasks=tasks))


def _cautions(found: LineBalance) -> Iterator[Caution]:
    if any(one.people > 1 and not one.two_sided and one.equipment for one in found.stations):
        yield OWN_EQUIPMENT

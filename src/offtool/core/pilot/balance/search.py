"""The search for a line: fewest stations between bound and rule of thumb, least cycle, evenness."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from offtool.core.pilot.balance.bounds import (
    NONE_FITS,
    RELAXATION,
    by_relaxation,
    cycle_bounds,
    station_bounds,
)
from offtool.core.pilot.balance.by_filling import place_by_filling
from offtool.core.pilot.balance.by_weight import place_by_weight, shortest_by_weight
from offtool.core.pilot.balance.model import LineModel, solver_library
from offtool.core.pilot.balance.placing import Placing, slowest
from offtool.core.pilot.balance.problem import Problem
from offtool.core.pilot.balance.windows import Windows, windows_of

SEED = 1
FIRST_LOOK, SHORTENING = 0.15, 0.6
"""Parts of what is left that one question may take."""


LARGEST = 2**60
"""The solver's whole numbers hold no larger sum of squares."""


@dataclass(slots=True)
class Budget:
    """What is left of the solver's seconds, and how many searches it may run at once."""

    seconds: float
    workers: int


@dataclass(frozen=True, slots=True)
class Answer:
    """What the solver says: a line or none, its bound on what was aimed at, and whether that is settled."""

    placing: Placing | None
    bound: float
    is_settled: bool


@dataclass(frozen=True, slots=True)
class Found:
    """The best line, and what is proved of it."""

    placing: Placing
    bounds: Mapping[str, int]
    bound: int
    """Stations or ticks of the cycle that no line goes below."""
    by_weight: int | None
    """What the rule of thumb comes to; None where it finds no line."""


class NoLine(Exception):
    """No line keeps every rule; `is_proved` where that is sure and not only a search that found none."""

    def __init__(self, bounds: Mapping[str, int], *, is_proved: bool) -> None:
        self.bounds, self.is_proved = bounds, is_proved
        super().__init__()


def solve(built: LineModel, budget: Budget) -> Answer:
    """Run the solver on a line for no longer than the budget has, and take off what it used."""
    solver, answer = run(built, budget)
    budget.seconds -= solver.wall_time
    return answer


def run(built: LineModel, budget: Budget) -> tuple[Any, Answer]:
    """The solver once it has run for no longer than the budget has, and what it says."""
    solver = built.library.CpSolver()
    solver.parameters.max_time_in_seconds = max(budget.seconds, 0.01)
    solver.parameters.num_workers = budget.workers
    solver.parameters.random_seed = SEED
    status = solver.solve(built.model)
    known = status in (built.library.OPTIMAL, built.library.FEASIBLE)
    settled = status in (built.library.OPTIMAL, built.library.INFEASIBLE)
    return solver, Answer(built.placing(solver) if known else None, solver.best_objective_bound, settled)


def within(built: LineModel, budget: Budget, part: float, *, workers: int | None = None) -> Answer:
    """Solve in a part of what is left; what that does not use stays.

    To show that there is no line, one search is as good as many at once.
    """
    share = Budget(budget.seconds * part, workers or budget.workers)
    answer = solve(built, share)
    budget.seconds -= budget.seconds * part - share.seconds
    return answer


def fits(problem: Problem, stations: int, cycle: int, budget: Budget, *, part: float = 1.0) -> Answer:
    """Whether so many stations keep a cycle, and how; asked for no longer than a part of what is left."""
    windows = windows_of(problem, cycle, stations)
    if windows is None:
        return Answer(None, 0.0, is_settled=True)
    return within(LineModel(problem, windows, stations, cycle, cycle), budget, part, workers=1)


def shrunk(problem: Problem, stations: int, cycle: int, budget: Budget) -> Answer:
    """A line of so many stations whose cycle shrinks from that of the rule of thumb to the one asked for.

    The solver finds a tight line sooner by making a loose one better than by looking for it at once.
    """
    loose = shortest_by_weight(problem, cycle, problem.work, stations)
    if loose is None:
        return fits(problem, stations, cycle, budget, part=SHORTENING)
    high, placing = loose
    windows = windows_of(problem, high, stations)
    if high == cycle or windows is None:
        return Answer(placing, cycle, is_settled=True)
    built = LineModel(problem, windows, stations, cycle, high)
    built.aim_at_shortest()
    built.hint(placing)
    answer = within(built, budget, SHORTENING)
    does = answer.placing is not None and slowest(problem, answer.placing) <= cycle
    return answer if does else Answer(None, answer.bound, answer.is_settled)


def fewest(problem: Problem, cycle: int, budget: Budget) -> Found:
    """The shortest line that keeps a cycle. Raises NoLine where there is none."""
    solver_library()  # said to be missing at once, and not only where it comes to that
    bounds = station_bounds(problem, cycle)
    low = max(bounds.values())
    if low >= NONE_FITS:
        raise NoLine(bounds, is_proved=True)
    thumb = place_by_weight(problem, cycle, problem.most_stations)
    best = thumb or _any(problem, cycle, bounds, budget)
    if low < best.stations:
        best = place_by_filling(problem, cycle, low, best.stations) or best
    if low < best.stations:
        bounds[RELAXATION] = by_relaxation(problem, cycle, low)
        low = min(bounds[RELAXATION], best.stations)
    found = _Between(problem, cycle, best, min(low, best.stations))
    found.prove(budget, FIRST_LOOK)
    found.shorten(budget)
    found.prove(budget, 1.0)
    return Found(found.best, bounds, found.proved, thumb.stations if thumb else None)


def _any(problem: Problem, cycle: int, bounds: Mapping[str, int], budget: Budget) -> Placing:
    """Some line, where the rule of thumb finds none."""
    answer = fits(problem, problem.most_stations, cycle, budget)
    if answer.placing is None:
        raise NoLine(bounds, is_proved=answer.is_settled)
    return answer.placing


@dataclass(slots=True)
class _Between:
    """The shortest line so far, and the stations below which there is proved to be none."""

    problem: Problem
    cycle: int
    best: Placing
    proved: int

    def prove(self, budget: Budget, part: float) -> None:
        """From the bound up, as long as each length is shown not to do in a part of what is left."""
        while self.proved < self.best.stations:
            answer = fits(self.problem, self.proved, self.cycle, budget, part=part)
            if answer.placing is not None:
                self.best = answer.placing
            elif answer.is_settled:
                self.proved += 1
            else:
                return

    def shorten(self, budget: Budget) -> None:
        """One station fewer, as long as a line is found whose cycle shrinks to the one that is asked for."""
        while self.proved < self.best.stations:
            answer = shrunk(self.problem, self.best.stations - 1, self.cycle, budget)
            if answer.placing is None:
                self.proved = self.best.stations if answer.is_settled else self.proved
                return
            self.best = answer.placing


def shortest(
    problem: Problem, stations: int, budget: Budget, known: Placing | None = None, *, part: float = 1.0
) -> Found:
    """The least cycle of so many stations. Raises NoLine where there is no line at any cycle."""
    if any(one.station is None for one in problem.line.tasks):
        solver_library()  # as above; where every task is placed there is most often nothing to search
    high = problem.work if known is None else slowest(problem, known)
    if windows_of(problem, high, stations) is None:
        raise NoLine({}, is_proved=True)
    low = max(max(problem.ticks) // problem.most_people, 1)
    thumb = shortest_by_weight(problem, low, problem.work, stations)
    best = known
    if thumb is not None and (best is None or slowest(problem, thumb[1]) < high):
        best, high = thumb[1], slowest(problem, thumb[1])
    bounds = cycle_bounds(problem, stations, high)
    bound = max(low, *bounds.values())
    if best is None or bound < high:
        windows = windows_of(problem, high, stations)
        if windows is None:
            raise NoLine(bounds, is_proved=True)
        built = LineModel(problem, windows, stations, min(bound, high), high)
        built.aim_at_shortest()
        if best is not None:
            built.hint(best)
        answer = within(built, budget, part)
        best = answer.placing or best
        if best is None:
            raise NoLine(bounds, is_proved=answer.is_settled)
        bound = max(bound, slowest(problem, best) if answer.is_settled else whole(answer.bound))
    weight = None if thumb is None else slowest(problem, thumb[1])
    return Found(best, bounds, min(bound, slowest(problem, best)), weight)


def whole(bound: float) -> int:
    """The solver's bound as a whole number from which it may be a hair off."""
    return -int(-(bound - 1e-6) // 1)


def evened(problem: Problem, placing: Placing, stations: int, budget: Budget) -> tuple[Placing, bool]:
    """The line whose people have the most even loads within the cycle it has, and whether that is proved."""
    cycle = slowest(problem, placing)
    windows = windows_of(problem, cycle, stations)
    if _has_no_choice(problem, windows, stations):
        return placing, True
    if windows is None or stations * (problem.most_people**2 * cycle) ** 2 > LARGEST:
        return placing, False
    built = LineModel(problem, windows, stations, cycle, cycle)
    built.aim_at_evenness()
    built.hint(placing)
    answer = solve(built, budget)
    return answer.placing or placing, answer.is_settled


def _has_no_choice(problem: Problem, windows: Windows | None, stations: int) -> bool:
    """Whether every task has one station alone, and no station two sides."""
    if windows is None or any(problem.is_two_sided(k) for k in range(1, stations + 1)):
        return False
    return all(len(one) == 1 for one in windows.places)


def any_line(problem: Problem, stations: int, cycle: int, budget: Budget) -> bool:
    """Whether a line is found at all."""
    return fits(problem, stations, cycle, budget).placing is not None

"""The line as a whole-number programme: each task at one station, in order, within the cycle."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise
from math import ceil, floor, lcm
from typing import TYPE_CHECKING, Any

from offtool.core.pilot.balance.placing import Placing, slowest
from offtool.core.pilot.balance.problem import Problem
from offtool.core.pilot.balance.windows import Windows
from offtool.core.values import OfftoolError
from offtool.handbook.terms import Side

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

SIDES = (Side.LEFT, Side.RIGHT)


def solver_library() -> Any:
    """The solver's module. Raises OfftoolError where it is not installed."""
    try:
        from ortools.sat.python import cp_model
    except ImportError as error:
        raise OfftoolError(
            "balancing a line needs the solver, which is not installed", remedy="pip install 'offtool[optim]'"
        ) from error
    return cp_model


class LineModel:
    """A line of so many stations whose cycle lies in a range; the windows are those of its longest cycle."""

    def __init__(self, problem: Problem, windows: Windows, stations: int, low: int, high: int) -> None:
        self.problem, self.windows, self.stations = problem, windows, stations
        self.high = high
        self.library = solver_library()
        self.model: cp_model.CpModel = self.library.CpModel()
        self.cycle: Any = low if low == high else self._whole(low, high)
        self.at: dict[tuple[int, int], Any] = {}
        self.by: dict[tuple[int, int], Any] = {}
        self.begins: dict[int, Any] = {}
        self.on: dict[tuple[int, int, Side], Any] = {}
        self.two_sided = [k for k in range(1, stations + 1) if problem.is_two_sided(k)]
        for i in range(problem.size):
            self._add_task(i)
        self._add_order()
        self._add_rules()
        for k in range(1, stations + 1):
            self._add_station(k)

    def _flag(self) -> Any:
        return self.model.new_bool_var("")

    def _whole(self, low: int, high: int) -> Any:
        return self.model.new_int_var(low, high, "")

    def _add_task(self, i: int) -> None:
        """A flag for each station it can be at, and one for each that it is at or before."""
        places = self.windows.places[i]
        for k in places:
            self.at[i, k] = self._flag()
        self.model.add_exactly_one(self.at[i, k] for k in places)
        before: Any = 0
        for k in range(places[0], places[-1]):
            self.by[i, k] = self._flag()
            self.model.add(self.by[i, k] == before + self.at.get((i, k), 0))
            before = self.by[i, k]

    def done_by(self, i: int, station: int) -> Any:
        """Whether a task is at a station or one before it: a flag, or 0 or 1 where that is settled."""
        places = self.windows.places[i]
        if station < places[0]:
            return 0
        return 1 if station >= places[-1] else self.by[i, station]

    def _add_order(self) -> None:
        for j, befores in enumerate(self.problem.before):
            for i in befores:
                for k in range(self.windows.places[j][0], self.windows.places[i][-1]):
                    self.model.add(self.done_by(j, k) <= self.done_by(i, k))

    def _add_rules(self) -> None:
        for block in self.problem.blocks:
            for i, j in pairwise(block):
                for k in self.windows.places[i]:
                    self.model.add(self.at[i, k] == self.at[j, k])
        for i, j in self.problem.apart:
            for k in {*self.windows.places[i]} & {*self.windows.places[j]}:
                self.model.add_at_most_one(self.at[i, k], self.at[j, k])
        for one in self.problem.line.equipment:
            if one.at_most is not None:
                self._add_few(self.problem.needing(one.equipment), one.at_most)

    def _add_few(self, tasks: Iterable[int], most: int) -> None:
        """Tasks whose equipment stands at so many stations at most."""
        stands = {k: self._flag() for k in range(1, self.stations + 1)}
        for i in tasks:
            for k in self.windows.places[i]:
                self.model.add_implication(self.at[i, k], stands[k])
        self.model.add(sum(stands.values()) <= most)

    def _here(self, station: int) -> list[int]:
        return [i for i in range(self.problem.size) if (i, station) in self.at]

    def work_at(self, station: int) -> Any:
        """Ticks of work there."""
        return sum(self.problem.ticks[i] * self.at[i, station] for i in self._here(station))

    def _add_station(self, station: int) -> None:
        self.model.add(self.work_at(station) <= self.problem.people(station) * self.cycle)
        if station not in self.two_sided:
            return
        for i in self._here(station):
            self._add_sides(i, station)
        for side in SIDES:
            self._add_person(station, side)
        for j in self._here(station):
            for i in self.problem.before[j]:
                if (i, station) in self.at:
                    ends = self.begins[i] + self.problem.ticks[i]
                    both = [self.at[i, station], self.at[j, station]]
                    self.model.add(self.begins[j] >= ends).only_enforce_if(both)

    def _add_sides(self, i: int, station: int) -> None:
        """The side a task is on, and when it begins."""
        ticks = self.problem.ticks[i]
        if i not in self.begins:
            self.begins[i] = self._whole(0, max(0, self.high - ticks))
        self.model.add(self.begins[i] + ticks <= self.cycle).only_enforce_if(self.at[i, station])
        said = self.problem.side(i)
        sides = SIDES if said is Side.EITHER else (said,)
        for side in sides:
            self.on[i, station, side] = self._flag()
        self.model.add(sum(self.on[i, station, side] for side in sides) == self.at[i, station])

    def _add_person(self, station: int, side: Side) -> None:
        """One task after the other on a side."""
        here = [i for i in self._here(station) if (i, station, side) in self.on]
        ticks = self.problem.ticks
        self.model.add_no_overlap(
            self.model.new_optional_fixed_size_interval_var(
                self.begins[i], ticks[i], self.on[i, station, side], ""
            )
            for i in here
        )
        self.model.add(sum(ticks[i] * self.on[i, station, side] for i in here) <= self.cycle)

    def side_work(self, station: int, side: Side) -> Any:
        """Ticks of work of the person on a side."""
        here = (i for i in self._here(station) if (i, station, side) in self.on)
        return sum(self.problem.ticks[i] * self.on[i, station, side] for i in here)

    def aim_at_shortest(self) -> None:
        """The least cycle."""
        self.model.minimize(self.cycle)

    def aim_at_evenness(self) -> int:
        """The least sum of squared loads of the people, in units that are told back: their sum is settled."""
        problem = self.problem
        loads = []
        for k in range(1, self.stations + 1):
            if k in self.two_sided:
                loads += [(1, self.side_work(k, side)) for side in SIDES]
            else:
                loads.append((problem.people(k), self.work_at(k)))
        fold = lcm(*(people for people, _ in loads))
        mean = problem.work / sum(people for people, _ in loads)
        self.model.minimize(sum(fold // people * self._square(work, people, mean) for people, work in loads))
        return fold

    def _square(self, work: Any, people: int, mean: float) -> Any:
        """The square of a load: above its chords between whole numbers near the mean, which help to prove."""
        high = people * self.high
        load, square = self._whole(0, high), self._whole(0, high**2)
        self.model.add(load == work)
        self.model.add_multiplication_equality(square, [load, load])
        middle = people * mean
        for a in range(max(0, floor(middle) - 1), ceil(middle) + 1):
            self.model.add(square >= (2 * a + 1) * load - a * (a + 1))
        return square

    def hint(self, placing: Placing) -> None:
        """Begin the search at a line."""
        for (i, k), flag in self.at.items():
            self.model.add_hint(flag, placing.station[i] == k)
        for (i, k), flag in self.by.items():
            self.model.add_hint(flag, placing.station[i] <= k)
        for i, begins in self.begins.items():
            self.model.add_hint(begins, placing.begins[i])
        for (i, k, side), flag in self.on.items():
            self.model.add_hint(flag, placing.station[i] == k and placing.side[i] is side)
        if not isinstance(self.cycle, int):
            self.model.add_hint(self.cycle, min(self.high, slowest(self.problem, placing)))

    def placing(self, solver: Any) -> Placing:
        """The line of a solution."""
        station = [0] * self.problem.size
        for (i, k), flag in self.at.items():
            if solver.boolean_value(flag):
                station[i] = k
        sides = [Side.EITHER] * self.problem.size
        for (i, k, side), flag in self.on.items():
            if station[i] == k and solver.boolean_value(flag):
                sides[i] = side
        begins = [
            solver.value(self.begins[i]) if station[i] in self.two_sided else 0
            for i in range(self.problem.size)
        ]
        return in_turn(self.problem, Placing(tuple(station), tuple(sides), tuple(begins)))


def in_turn(problem: Problem, placing: Placing) -> Placing:
    """The same line with each task as early as its person and its predecessors let it."""
    begins = list(placing.begins)
    free: dict[tuple[int, Side], int] = {}
    ends = [0] * problem.size
    place = {i: n for n, i in enumerate(problem.order)}
    for i in sorted(range(problem.size), key=lambda i: (begins[i], place[i])):
        k, side = placing.station[i], placing.side[i]
        ready = [ends[j] for j in problem.before[i] if placing.station[j] == k]
        begins[i] = max([free.get((k, side), 0), *(ready if problem.is_two_sided(k) else ())])
        free[k, side] = ends[i] = begins[i] + problem.ticks[i]
    return Placing(placing.station, placing.side, tuple(begins))

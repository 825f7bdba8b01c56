"""A line in whole numbers: times in ticks, tasks by number, what comes before what, blocks, places."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from graphlib import TopologicalSorter
from math import ceil, floor, lcm, log10

from offtool.core.pilot.balance.blocks import circles, linked
from offtool.core.pilot.balance.given import FACING, LineGiven
from offtool.core.values import ImpossibleInput
from offtool.handbook.terms import Side

FINEST = 5
"""Decimals of the longest time that are counted where times are not whole numbers of a larger step."""
HAIR = 1e-9
"""Binary fractions: a cycle of 3600 / 120 s is a hair beside 30 s."""


@dataclass(frozen=True)
class Problem:
    """What the bounds, the rule of thumb and the solver read. A tick is a whole part of every time."""

    line: LineGiven
    step_s: float
    ticks: tuple[int, ...]
    before: tuple[tuple[int, ...], ...]
    """Direct predecessors."""
    order: tuple[int, ...]
    """All tasks, each after its predecessors."""
    block_of: tuple[int, ...]
    rounded: bool
    """Times were rounded up to a tick."""

    @property
    def size(self) -> int:
        """How many tasks there are."""
        return len(self.ticks)

    @cached_property
    def after(self) -> tuple[tuple[int, ...], ...]:
        """Direct successors."""
        return tuple(tuple(j for j in range(self.size) if i in self.before[j]) for i in range(self.size))

    @cached_property
    def all_before(self) -> tuple[frozenset[int], ...]:
        """Every task that must be done before, at whatever distance."""
        return _reached(self.order, self.before)

    @cached_property
    def all_after(self) -> tuple[frozenset[int], ...]:
        """Every task that must be done after."""
        return _reached(tuple(reversed(self.order)), self.after)

    @cached_property
    def blocks(self) -> tuple[tuple[int, ...], ...]:
        """The tasks of each block in an order in which they can be done."""
        found: dict[int, list[int]] = {}
        for i in self.order:
            found.setdefault(self.block_of[i], []).append(i)
        return tuple(tuple(found[b]) for b in range(len(found)))

    @cached_property
    def block_ticks(self) -> tuple[int, ...]:
        """Work in each block."""
        return tuple(sum(self.ticks[i] for i in block) for block in self.blocks)

    @cached_property
    def blocks_before(self) -> tuple[frozenset[int], ...]:
        """Every other block of which something must be done before something of the block."""
        return self._blocks(self.all_before)

    @cached_property
    def blocks_after(self) -> tuple[frozenset[int], ...]:
        """Every other block that waits for something of the block."""
        return self._blocks(self.all_after)

    def _blocks(self, reached: Sequence[frozenset[int]]) -> tuple[frozenset[int], ...]:
        """Two blocks cannot wait for each other, or they would be one; so what is reached is closed below."""
        direct = [
            {self.block_of[j] for i in block for j in reached[i]} - {b} for b, block in enumerate(self.blocks)
        ]
        done: dict[int, frozenset[int]] = {}

        def closed(b: int) -> frozenset[int]:
            if b not in done:
                done[b] = frozenset(direct[b]).union(*(closed(other) for other in direct[b]))
            return done[b]

        return tuple(closed(b) for b in range(len(self.blocks)))

    @cached_property
    def block_order(self) -> tuple[int, ...]:
        """Blocks, each after those that must be done before."""
        return tuple(sorted(range(len(self.blocks)), key=lambda b: (len(self.blocks_before[b]), b)))

    @cached_property
    def work(self) -> int:
        """All ticks of one piece."""
        return sum(self.ticks)

    @cached_property
    def number(self) -> dict[str, int]:
        """Task numbers by name."""
        return {one.task: i for i, one in enumerate(self.line.tasks)}

    @cached_property
    def apart(self) -> frozenset[tuple[int, int]]:
        """Pairs that must not share a station, the smaller number first."""
        pairs = (
            (self.number[one.task], self.number[other]) for one in self.line.tasks for other in one.apart
        )
        return frozenset((min(pair), max(pair)) for pair in pairs)

    @cached_property
    def blocks_apart(self) -> frozenset[tuple[int, int]]:
        """Pairs of blocks that must not share a station, both ways round."""
        pairs = [(self.block_of[i], self.block_of[j]) for i, j in self.apart]
        return frozenset([*pairs, *((b, a) for a, b in pairs)])

    def needing(self, equipment: str) -> list[int]:
        """The tasks that need it."""
        return [i for i, one in enumerate(self.line.tasks) if equipment in one.equipment]

    def is_allowed(self, task: int, station: int) -> bool:
        """Whether its fixed station and its equipment let a task be there."""
        said = self.line.tasks[task]
        if said.station is not None and said.station != station:
            return False
        places = [self._places[name] for name in said.equipment]
        return all(not one or station in one for one in places)

    @cached_property
    def _places(self) -> dict[str, tuple[int, ...]]:
        return {one.equipment: one.stations for one in self.line.equipment}

    def side(self, task: int) -> Side:
        """From which side it can be done."""
        return self.line.tasks[task].side

    def is_two_sided(self, station: int) -> bool:
        """Whether two people face each other there."""
        return self._differing[station][0] if station in self._differing else self.line.two_sided

    def people(self, station: int) -> int:
        """How many work there."""
        return self._differing[station][1] if station in self._differing else self._usual_people

    @cached_property
    def _differing(self) -> dict[int, tuple[bool, int]]:
        """Whether people face each other, and how many they are, where that is said of a station."""
        line = self.line
        told = [one.station for one in line.stations]
        return {k: (line.is_two_sided(k), line.people_at(k)) for k in told}

    @cached_property
    def _usual_people(self) -> int:
        return FACING if self.line.two_sided else self.line.people

    @cached_property
    def any_two_sided(self) -> bool:
        """Whether there can be a station where two people face each other."""
        return self.line.two_sided or any(bool(one.two_sided) for one in self.line.stations)

    @cached_property
    def most_people(self) -> int:
        """The most people any station has."""
        return max([self._usual_people, *(people for _, people in self._differing.values())])

    @cached_property
    def most_stations(self) -> int:
        """More are never needed: every block at its own, beyond all places that are given by number."""
        if self.line.most_stations is not None:
            return self.line.most_stations
        told = [one.station for one in self.line.stations]
        told += [one.station for one in self.line.tasks if one.station is not None]
        told += [station for one in self.line.equipment for station in one.stations]
        return max([0, *told]) + len(self.blocks)

    def cycle(self, cycle_s: float) -> int:
        """Whole ticks of a cycle time."""
        return floor(cycle_s / self.step_s * (1 + HAIR))

    def seconds(self, ticks: float) -> float:
        """Ticks as seconds, without the dust of binary fractions."""
        return float(f"{ticks * self.step_s:.12g}")


def problem_of(line: LineGiven) -> Problem:
    """The line in whole numbers."""
    number = {one.task: i for i, one in enumerate(line.tasks)}
    before = tuple(tuple(sorted({number[name] for name in one.after})) for one in line.tasks)
    step, times, rounded = whole_steps([one.time_s for one in line.tasks])
    fold = lcm(line.people, *(line.people_at(one.station) for one in line.stations))
    problem = Problem(
        line=line,
        step_s=step / fold,
        ticks=tuple(fold * one for one in times),
        before=before,
        order=tuple(TopologicalSorter(dict(enumerate(before))).static_order()),
        block_of=_numbered(circles(linked(line.tasks, number))),
        rounded=rounded,
    )
    _refuse_fixed_backwards(problem)
    return problem


def whole_steps(times_s: Sequence[float]) -> tuple[float, list[int], bool]:
    """The largest decimal step of which all times are whole numbers; else a fine one, rounded up."""
    longest = floor(log10(max(times_s)))
    for decimals in range(-longest, FINEST - longest):
        fold = 10.0**decimals
        counted = [one * fold for one in times_s]
        if all(abs(one - round(one)) <= HAIR * max(one, 1) and round(one) for one in counted):
            return 1 / fold, [round(one) for one in counted], False
    fold = 10.0 ** (FINEST - 1 - longest)
    return 1 / fold, [max(1, ceil(one * fold * (1 - HAIR))) for one in times_s], True


def _reached(order: Iterable[int], direct: Sequence[Sequence[int]]) -> tuple[frozenset[int], ...]:
    found: dict[int, frozenset[int]] = {}
    for i in order:
        found[i] = frozenset(direct[i]).union(*(found[j] for j in direct[i]))
    return tuple(found[i] for i in range(len(found)))


def _numbered(labels: Sequence[int]) -> tuple[int, ...]:
    """Labels as 0, 1, 2 in the order in which they come."""
    seen: dict[int, int] = {}
    return tuple(seen.setdefault(label, len(seen)) for label in labels)


def _refuse_fixed_backwards(problem: Problem) -> None:
    tasks = problem.line.tasks
    for j, task in enumerate(tasks):
        for i in problem.all_before[j]:
            first = tasks[i].station
            if first is not None and task.station is not None and first > task.station:
                limit = f"must be at least {first}, where {tasks[i].task} is done, which comes before"
                raise ImpossibleInput(
                    f"station of {task.task}", task.station, "", limit, "move one, or take the order out"
                )

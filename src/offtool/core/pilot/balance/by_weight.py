"""The rule of thumb: fill one station after the other, the task with the most work behind it first."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from offtool.core.pilot.balance.placing import Placing
from offtool.core.pilot.balance.problem import Problem
from offtool.core.pilot.balance.windows import capacity
from offtool.handbook.terms import Side

Spot = tuple[Side, int]
"""Side and beginning."""


def place_by_weight(problem: Problem, cycle: int, most: int) -> Placing | None:
    """The line that ranked weights make at a cycle; None where it needs more than `most` stations.

    A block's weight is its own work and all that waits for it.
    """
    weight = [
        one + sum(problem.block_ticks[b] for b in problem.blocks_after[n])
        for n, one in enumerate(problem.block_ticks)
    ]
    ranked = sorted(range(len(weight)), key=lambda b: (-weight[b], b))
    shop = _Filling(problem)
    left = set(ranked)
    for k in range(1, most + 1):
        station = _Station(problem, k, cycle)
        while (chosen := _next(shop, station, ranked, left)) is not None:
            block, spots = chosen
            station.put(block, spots)
            shop.put(block, k, spots)
            left.remove(block)
        if not left:
            return shop.placing()
    return None


def shortest_by_weight(problem: Problem, low: int, high: int, stations: int) -> tuple[int, Placing] | None:
    """The shortest cycle in the range at which ranked weights fill no more than so many stations."""
    best = None
    while low <= high:
        middle = (low + high) // 2
        found = place_by_weight(problem, middle, stations)
        if found is None:
            low = middle + 1
        else:
            best, high = (middle, found), middle - 1
    return best


@dataclass(slots=True)
class _Filling:
    """What is placed so far."""

    problem: Problem
    spots: dict[int, tuple[int, Side, int]] = field(default_factory=dict)
    blocks: set[int] = field(default_factory=set)
    used: dict[str, set[int]] = field(default_factory=dict)

    def put(self, block: int, station: int, spots: Mapping[int, Spot]) -> None:
        self.blocks.add(block)
        for i, (side, begins) in spots.items():
            self.spots[i] = (station, side, begins)
            for name in self.problem.line.tasks[i].equipment:
                self.used.setdefault(name, set()).add(station)

    def may(self, block: int, station: int) -> bool:
        problem = self.problem
        if not problem.blocks_before[block] <= self.blocks:
            return False
        tasks = problem.blocks[block]
        if not all(problem.is_allowed(i, station) for i in tasks):
            return False
        names = {name for i in tasks for name in problem.line.tasks[i].equipment}
        most = {one.equipment: one.at_most for one in problem.line.equipment}
        for name in names:
            at, limit = self.used.get(name, set()), most[name]
            if limit is not None and station not in at and len(at) >= limit:
                return False
        return True

    def placing(self) -> Placing:
        every = [self.spots[i] for i in range(self.problem.size)]
        station, side, begins = zip(*every, strict=True)
        return Placing(station, side, begins)


@dataclass(slots=True)
class _Station:
    """A station that is being filled: when each side is free, and when each task ends."""

    problem: Problem
    station: int
    cycle: int
    free: dict[Side, int] = field(default_factory=lambda: {Side.LEFT: 0, Side.RIGHT: 0})
    ends: dict[int, int] = field(default_factory=dict)
    blocks: list[int] = field(default_factory=list)

    def spots(self, block: int) -> dict[int, Spot] | None:
        """Where the tasks of a block would go; None where they do not fit."""
        problem = self.problem
        if any((block, other) in problem.blocks_apart for other in self.blocks):
            return None
        if problem.is_two_sided(self.station):
            return self._facing(block)
        start, found = self.free[Side.LEFT], {}
        for i in problem.blocks[block]:
            found[i] = (Side.EITHER, start)
            start += problem.ticks[i]
        return found if start <= capacity(problem, self.station, self.cycle) else None

    def _facing(self, block: int) -> dict[int, Spot] | None:
        """Each on its own side, or on that where it can begin first."""
        problem, free, ends = self.problem, dict(self.free), dict(self.ends)
        found: dict[int, Spot] = {}
        for i in problem.blocks[block]:
            ready = max((ends.get(j, 0) for j in problem.before[i]), default=0)
            sides = [problem.side(i)] if problem.side(i) is not Side.EITHER else [Side.LEFT, Side.RIGHT]
            begins, side = min((max(free[side], ready), side) for side in sides)
            ends[i] = free[side] = begins + problem.ticks[i]
            if ends[i] > self.cycle:
                return None
            found[i] = (side, begins)
        return found

    def put(self, block: int, spots: Mapping[int, Spot]) -> None:
        self.blocks.append(block)
        for i, (side, begins) in spots.items():
            self.ends[i] = begins + self.problem.ticks[i]
            self.free[Side.LEFT if side is Side.EITHER else side] = self.ends[i]


def _next(
    shop: _Filling, station: _Station, ranked: list[int], left: set[int]
) -> tuple[int, dict[int, Spot]] | None:
    for block in ranked:
        if block in left and shop.may(block, station.station):
            spots = station.spots(block)
            if spots is not None:
                return block, spots
    return None

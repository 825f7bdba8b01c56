"""A longer rule of thumb for plain lines: each station as full as it goes, from the front or the back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import product

from offtool.core.pilot.balance.model import in_turn
from offtool.core.pilot.balance.placing import Placing
from offtool.core.pilot.balance.problem import Problem
from offtool.handbook.terms import Side

MOST_TRIES = 1500
"""Sets of tasks that are looked at for one station."""
FOR_WEIGHT, FOR_FEW = (0.0, 0.005, 0.01, 0.02), (0.0, 0.01, 0.03)
"""What counts besides a full station: the work that waits for a task, and how few tasks are used up."""


def place_by_filling(problem: Problem, cycle: int, enough: int, below: int) -> Placing | None:
    """The shortest line of several ways to fill stations, if it is below a number; stops at what is enough.

    Only for lines whose stations are alike and whose tasks have an order and ties, nothing else.
    """
    if not is_plain(problem):
        return None
    best, room = None, problem.most_people * cycle
    for heads, weight, few in product((False, True), FOR_WEIGHT, FOR_FEW):
        filled = _filled(problem, room, below - 1, heads=heads, weight=weight, few=few)
        if filled is not None:
            best, below = filled, len(filled)
            if below <= enough:
                break
    return None if best is None else _placing(problem, best)


def is_plain(problem: Problem) -> bool:
    """Whether stations are alike, and no task is bound to a place, to equipment or away from another."""
    line = problem.line
    bound = any(one.station is not None or one.apart for one in line.tasks)
    return not (bound or problem.any_two_sided or line.stations or line.equipment)


def _filled(
    problem: Problem, room: int, most: int, *, heads: bool, weight: float, few: float
) -> list[list[int]] | None:
    """The blocks of each station; None where it takes more than `most`. Heads: filled from the back."""
    waits = problem.blocks_after if heads else problem.blocks_before
    behind = problem.blocks_before if heads else problem.blocks_after
    ticks = problem.block_ticks
    worth = [
        one + weight * (one + sum(ticks[a] for a in behind[b])) - few * room for b, one in enumerate(ticks)
    ]
    open_, left = [len(one) for one in waits], set(range(len(ticks)))
    stations: list[list[int]] = []
    while left:
        if len(stations) == most:
            return None
        ready = sorted((b for b in left if not open_[b]), key=lambda b: -worth[b])
        search = _Fullest(ticks, worth, behind, open_)
        search.go(ready, 0, room, 0.0, [])
        stations.append(search.chosen)
        left.difference_update(search.chosen)
        for b in search.chosen:
            for a in behind[b]:
                open_[a] -= 1
    return stations[::-1] if heads else stations


@dataclass(slots=True)
class _Fullest:
    """The search for the most worth in one station."""

    ticks: Sequence[int]
    worth: Sequence[float]
    behind: Sequence[frozenset[int]]
    open: list[int]
    """How many blocks each still waits for."""
    best: float = float("-inf")
    chosen: list[int] = field(default_factory=list)
    tries: int = 0

    def go(self, ready: list[int], first: int, room: int, worth: float, chosen: list[int]) -> None:
        """Every set that can be made of the ready blocks from the first on, with what they make ready."""
        self.tries += 1
        if chosen and worth > self.best:
            self.best, self.chosen = worth, list(chosen)
        for n in range(first, len(ready)):
            if self.tries > MOST_TRIES:
                return
            b = ready[n]
            if self.ticks[b] > room:
                continue
            for a in self.behind[b]:
                self.open[a] -= 1
            freed = [a for a in self.behind[b] if not self.open[a]]
            chosen.append(b)
            self.go([*ready, *freed], n + 1, room - self.ticks[b], worth + self.worth[b], chosen)
            chosen.pop()
            for a in self.behind[b]:
                self.open[a] += 1


def _placing(problem: Problem, stations: Sequence[Sequence[int]]) -> Placing:
    at = {b: k for k, blocks in enumerate(stations, start=1) for b in blocks}
    station = tuple(at[problem.block_of[i]] for i in range(problem.size))
    return in_turn(problem, Placing(station, (Side.EITHER,) * problem.size, (0,) * problem.size))

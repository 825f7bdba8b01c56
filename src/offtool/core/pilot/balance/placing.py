"""A line as it is placed: the station, the side and the time of each task, and how busy that makes whom."""

from __future__ import annotations

from dataclasses import dataclass

from offtool.core.pilot.balance.problem import Problem
from offtool.handbook.terms import Side


@dataclass(frozen=True, slots=True)
class Placing:
    """Of each task its station; where people face each other its side and when it begins there, in ticks."""

    station: tuple[int, ...]
    side: tuple[Side, ...]
    begins: tuple[int, ...]

    @property
    def stations(self) -> int:
        """How long the line is."""
        return max(self.station)

    def at(self, station: int) -> list[int]:
        """The tasks that are done there."""
        return [i for i, k in enumerate(self.station) if k == station]


def busy(problem: Problem, placing: Placing, station: int) -> float:
    """Ticks a piece takes at a station from the next: work over people, or the last end of the two sides."""
    here = placing.at(station)
    if problem.is_two_sided(station):
        return max((placing.begins[i] + problem.ticks[i] for i in here), default=0)
    return sum(problem.ticks[i] for i in here) / problem.people(station)


def slowest(problem: Problem, placing: Placing) -> int:
    """Ticks of the cycle the line can keep."""
    return -int(-max(busy(problem, placing, k) for k in range(1, placing.stations + 1)) // 1)


def person_loads(problem: Problem, placing: Placing, stations: int) -> list[float]:
    """Ticks that each person works for one piece of the line."""
    found: list[float] = []
    for k in range(1, stations + 1):
        here = placing.at(k)
        if problem.is_two_sided(k):
            found += [
                sum(problem.ticks[i] for i in here if placing.side[i] is side)
                for side in (Side.LEFT, Side.RIGHT)
            ]
        else:
            people = problem.people(k)
            found += [sum(problem.ticks[i] for i in here) / people] * people
    return found

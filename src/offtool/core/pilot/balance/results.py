"""A balanced line: its stations with their loads, what is proved of it, and how even it is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from offtool.core.pilot.balance.given import LineGiven
from offtool.core.values import Caution
from offtool.handbook.terms import Side

Goal = Literal["fewest stations", "best rate"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedTask:
    """A task at its station, and when one piece of work on it begins and ends there."""

    task: str
    time_s: float
    begins_s: float
    ends_s: float
    side: Side = Side.EITHER
    """Left or right only where people face each other."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StationLoad:
    """A station: who and what is there, its tasks in order, and how full it is."""

    station: int
    people: int
    two_sided: bool
    equipment: tuple[str, ...]
    tasks: tuple[PlacedTask, ...]
    work_s: float
    """Of all its people for one piece."""
    busy_s: float
    """From one piece to the next: work over people, or until the later of two who face each other is done."""
    idle_s: float
    """Of all its people in one cycle."""
    over: float | None
    """Share of pieces that take longer than the cycle; None where a task's spread is not known."""
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LineBound:
    """What no line goes below, and how that is seen."""

    name: str
    value: float
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Evenness:
    """How the work is shared among the people."""

    largest_s: float
    """What the slowest station takes."""
    least_s: float
    """No line of so many stations has a faster slowest station."""
    largest_is_proved: bool
    spread_s: float
    """Standard deviation of the people's loads about their mean, both exactly as planned."""
    spread_is_proved: bool
    """No line that is as fast has its loads closer together."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LineBalance:
    """Which task is done where, at which rate, and how far that can be from the best line."""

    goal: Goal
    stations: tuple[StationLoad, ...]
    cycle_s: float
    """The cycle asked for; for the best rate, the cycle that is reached."""
    rate_per_h: float
    """What the slowest station lets through at mean times."""
    people: int
    work_s: float
    """Of one piece."""
    efficiency: float
    """Work over the people's time in a cycle."""
    value: float
    """Stations, or seconds of the cycle: what was to be least."""
    bound: float
    """No line has less."""
    is_proved: bool
    """No line is better."""
    gap: float
    """Share of the value by which a better line could be less."""
    bounds: tuple[LineBound, ...]
    by_weight: float | None
    """What the rule of thumb comes to, beside it; None where that finds no line."""
    evenness: Evenness
    words: str
    line: LineGiven
    cautions: tuple[Caution, ...] = ()

    @property
    def slowest(self) -> StationLoad:
        """The station that sets the pace."""
        return max(self.stations, key=lambda one: one.busy_s)

    def of(self, task: str) -> StationLoad:
        """The station of a task."""
        return next(one for one in self.stations if task in {placed.task for placed in one.tasks})

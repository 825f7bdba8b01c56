"""A line as it is written down: its numbers, tasks, stations, equipment, breaks, and presses that feed it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskKnown:
    """One task."""

    task: str
    title: str = ""
    time_s: float
    spread_s: float | None = None
    readings: int = 0
    """How many times it was timed; 0 is an estimate."""
    side: str = "either"
    after: tuple[str, ...] = ()
    needs: tuple[str, ...] = ()
    together: tuple[str, ...] = ()
    apart: tuple[str, ...] = ()
    part: str = ""
    joint: str = ""
    seam: str = ""
    fixed_station: int | None = None
    placed_at: int | None = None
    """Where the line as adopted does it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StationKnown:
    """One station with what is said of it; None where nothing is."""

    number: int
    name: str = ""
    """As people call it; empty: by its number."""
    people: int | None = None
    two_sided: bool | None = None
    has: tuple[str, ...] = ()
    places: int | None = None
    cure_s: float | None = None
    fails: float | None = None
    rework_to: int | None = None
    rounds: int | None = None
    works_s: float | None = None
    stands_s: float | None = None
    fixtures: int | None = None
    learning: float | None = None
    made_before: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class EquipmentKnown:
    """Equipment, how many there are, where it stands."""

    name: str
    at_most: int | None
    stations: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BreakKnown:
    """A time in which the line or a station stands, or runs with other people."""

    begins_h: float
    ends_h: float
    station: int | None
    people: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LinePressKnown:
    """A tool that feeds the line while it runs."""

    tool: str
    press: str
    cycle_s: float
    cycle_spread_s: float | None
    rejects: float | None
    works_s: float | None
    stands_s: float | None
    task: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LineKnown:
    """A line of a programme; `line` is empty where the programme has none yet."""

    programme: str
    programme_title: str
    invented: bool
    currency: str
    line: str
    lines: tuple[str, ...]
    """All lines of the programme."""
    planned_per_h: float | None = None
    """Good pieces."""
    people: int | None = None
    """At hand."""
    hours_per_day: float | None = None
    quantity: int | None = None
    starts_on: date | None = None
    piece_cost: float | None = None
    minute_cost: float | None = None
    planned_first_yield: float | None = None
    planned_final_yield: float | None = None
    learning_low: float | None = None
    learning_high: float | None = None
    two_sided: bool = False
    note: str = ""
    tasks: tuple[TaskKnown, ...] = ()
    stations: tuple[StationKnown, ...] = ()
    equipment: tuple[EquipmentKnown, ...] = ()
    breaks: tuple[BreakKnown, ...] = ()
    presses: tuple[LinePressKnown, ...] = ()
    parts: tuple[str, ...] = ()
    joints: tuple[str, ...] = ()
    seams: tuple[str, ...] = ()
    tools: tuple[str, ...] = ()
    programme_presses: tuple[str, ...] = ()

    @property
    def left_over(self) -> tuple[int, ...]:
        """Stations at which nothing is done, though every task has its place."""
        places = [one.placed_at or one.fixed_station for one in self.tasks]
        if not places or None in places:
            return ()
        return tuple(one.number for one in self.stations if one.number not in places)

    def station_name(self, number: int) -> str:
        """What a station is called."""
        named = next((one.name for one in self.stations if one.number == number), "")
        return named or f"station {number}"

    def task_named(self, name: str) -> TaskKnown | None:
        """A task, None where there is none of this name."""
        return next((one for one in self.tasks if one.task == name), None)

    def station_numbered(self, number: int) -> StationKnown | None:
        """A station, None where nothing is said of it."""
        return next((one for one in self.stations if one.number == number), None)

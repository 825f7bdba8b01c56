"""The rows of a line: what is planned of it, its equipment, stations, tasks, breaks and presses."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Annotated, ClassVar, TypeAlias

from offtool.exchange.programme.cells import Day, Flag, Listed, Name, Number, Text, Whole, Word
from offtool.exchange.programme.rows import Row
from offtool.handbook.terms import (
    HOUR_OF_DAY,
    HOURS_A_DAY,
    LEARNING,
    NOT_NEGATIVE,
    POSITIVE,
    SHARE_OR_NONE,
    YIELD,
    Side,
)

Seconds: TypeAlias = Annotated[float | None, Number(ends=POSITIVE, unit="s", may_be_blank=True)]
Rate: TypeAlias = Annotated[float | None, Number(ends=LEARNING, may_be_blank=True)]
Share: TypeAlias = Annotated[float | None, Number(ends=SHARE_OR_NONE, may_be_blank=True)]
Yield: TypeAlias = Annotated[
    float | None, Number(ends=YIELD, may_be_blank=True, remedy="write 0.95 for 95 %")
]
Cost: TypeAlias = Annotated[float | None, Number(ends=NOT_NEGATIVE, may_be_blank=True)]
People: TypeAlias = Annotated[int | None, Whole(at_least=1, at_most=10_000, may_be_blank=True)]
HowMany: TypeAlias = Annotated[int | None, Whole(at_least=1, may_be_blank=True)]
Count: TypeAlias = Annotated[int | None, Whole(may_be_blank=True)]
Station: TypeAlias = Annotated[int | None, Whole(at_least=1, may_be_blank=True)]


@dataclass(frozen=True, slots=True, kw_only=True)
class LineRow(Row):
    """A line with what is planned of it."""

    table: ClassVar = "lines.csv"
    key: ClassVar = ("name",)
    name: Annotated[str, Name()]
    planned_per_h: Annotated[float | None, Number(ends=POSITIVE, unit="/h", may_be_blank=True)]
    people: People
    hours_per_day: Annotated[float | None, Number(ends=HOURS_A_DAY, unit="h", may_be_blank=True)]
    quantity: HowMany
    starts_on: Annotated[date | None, Day()]
    piece_cost: Cost
    minute_cost: Cost
    planned_first_yield: Yield
    planned_final_yield: Yield
    learning_low: Rate
    learning_high: Rate
    two_sided: Annotated[bool, Flag()]
    note: Annotated[str, Text()]


@dataclass(frozen=True, slots=True, kw_only=True)
class LineEquipmentRow(Row):
    """A machine or fixture of a line, and how many there are."""

    table: ClassVar = "line_equipment.csv"
    key: ClassVar = ("in_line", "name")
    in_line: Annotated[str, Name()]
    name: Annotated[str, Name()]
    at_most: HowMany


@dataclass(frozen=True, slots=True, kw_only=True)
class LineStationRow(Row):
    """A station; `has` is the equipment that stands there, `rework_to` the station its rework goes to."""

    table: ClassVar = "line_stations.csv"
    key: ClassVar = ("in_line", "number")
    in_line: Annotated[str, Name()]
    number: Annotated[int, Whole(at_least=1)]
    name: Annotated[str, Name(may_be_blank=True)]
    people: People
    two_sided: Annotated[bool | None, Flag(blank=None)]
    places: Count
    cure_s: Annotated[float | None, Number(ends=NOT_NEGATIVE, unit="s", may_be_blank=True)]
    fails: Share
    rework_to: Station
    rounds: Count
    works_s: Seconds
    stands_s: Seconds
    fixtures: HowMany
    learning: Rate
    made_before: Count
    has: Annotated[str, Listed()]


@dataclass(frozen=True, slots=True, kw_only=True)
class LineTaskRow(Row):
    """A task. `after`, `together` and `apart` name other tasks, `needs` equipment, the stations by number."""

    table: ClassVar = "line_tasks.csv"
    key: ClassVar = ("in_line", "name")
    in_line: Annotated[str, Name()]
    ordinal: Annotated[int, Whole(may_be_blank=True, blank=0)]
    name: Annotated[str, Name()]
    title: Annotated[str, Name(may_be_blank=True)]
    time_s: Annotated[float, Number(ends=POSITIVE, unit="s")]
    spread_s: Annotated[float | None, Number(ends=NOT_NEGATIVE, unit="s", may_be_blank=True)]
    readings: Annotated[int, Whole(may_be_blank=True, blank=0)]
    side: Annotated[str, Word(words=Side, may_be_blank=True, blank=Side.EITHER.value)]
    after: Annotated[str, Listed()]
    needs: Annotated[str, Listed()]
    together: Annotated[str, Listed()]
    apart: Annotated[str, Listed()]
    part: Annotated[str, Name(may_be_blank=True, blank="")]
    joint: Annotated[str, Name(may_be_blank=True, blank="")]
    seam: Annotated[str, Name(may_be_blank=True, blank="")]
    fixed_station: Station
    placed_at: Station


@dataclass(frozen=True, slots=True, kw_only=True)
class LineBreakRow(Row):
    """A time in which the line, or a station of it, stands or runs with other people."""

    table: ClassVar = "line_breaks.csv"
    key: ClassVar = ("in_line", "station", "begins_h")
    in_line: Annotated[str, Name()]
    station: Station
    begins_h: Annotated[float, Number(ends=HOUR_OF_DAY, unit="h")]
    ends_h: Annotated[float, Number(ends=HOUR_OF_DAY, unit="h")]
    people: Count


@dataclass(frozen=True, slots=True, kw_only=True)
class LinePressRow(Row):
    """A tool that feeds the line; `task` takes its parts, blank for the first task of the part."""

    table: ClassVar = "line_presses.csv"
    key: ClassVar = ("in_line", "tool")
    in_line: Annotated[str, Name()]
    tool: Annotated[str, Name()]
    press: Annotated[str, Name(may_be_blank=True)]
    cycle_s: Annotated[float, Number(ends=POSITIVE, unit="s")]
    cycle_spread_s: Annotated[float | None, Number(ends=NOT_NEGATIVE, unit="s", may_be_blank=True)]
    rejects: Share
    works_s: Seconds
    stands_s: Seconds
    task: Annotated[str, Name(may_be_blank=True)]

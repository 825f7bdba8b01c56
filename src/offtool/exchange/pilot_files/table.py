"""What reading a sheet of a pilot gives: a row a count, a defect, a time or an audit, and all that was odd.

Rows and columns count from 1. `hour` is the hour of the pilot, from 1; None where the sheet says none.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Generic, TypeVar

from offtool.exchange.headed_tables import FileTable


@dataclass(frozen=True, slots=True, kw_only=True)
class CountRead:
    """What became of the pieces that a station took up."""

    station: str
    hour: int | None
    tried: int
    good_first: int
    reworked_good: int
    scrapped: int | None
    """None where the sheet does not say."""
    row: int
    column: int


@dataclass(frozen=True, slots=True, kw_only=True)
class DefectRead:
    """How often a defect was found."""

    station: str
    defect: str
    count: int
    scrapped: int | None
    rework_minutes: float | None
    hour: int | None
    row: int
    column: int


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeRead:
    """One cycle that was timed; `task` is empty where the whole station was timed."""

    station: str
    task: str
    time_s: float
    operator: str
    hour: int | None
    row: int
    column: int


@dataclass(frozen=True, slots=True, kw_only=True)
class AuditRead:
    """One piece that was pulled or turned. `unit` is that of `value`: N, N·m or mm."""

    what: str
    """The seam or joint, as the sheet names it."""
    value: float
    unit: str
    hour: int | None
    row: int
    column: int


Row = TypeVar("Row", CountRead, DefectRead, TimeRead, AuditRead)


@dataclass(frozen=True, slots=True, kw_only=True)
class PilotTable(Generic[Row]):
    """The rows of one sheet, as they stand in it."""

    file: FileTable
    rows: tuple[Row, ...]
    name_column: int | None
    """The column of the stations, or of the seams and joints, from 1."""
    task_column: int | None = None
    named: tuple[tuple[int, str], ...] = ()
    """Each row with the station that it names, those of which a cell was refused too."""

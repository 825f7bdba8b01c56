"""What reading a table of tasks gives: a row a task, and all that was odd."""

from __future__ import annotations

from dataclasses import dataclass

from offtool.exchange.headed_tables import FileTable


@dataclass(frozen=True, slots=True, kw_only=True)
class LineTaskRead:
    """One task as the file writes it; empty or None where it says nothing. `row` counts from 1."""

    task: str
    title: str
    time_s: float | None
    """None where it cannot be read: the file cannot be kept so."""
    spread_s: float | None
    readings: int | None
    after: tuple[str, ...]
    needs: tuple[str, ...]
    together: tuple[str, ...]
    apart: tuple[str, ...]
    side: str
    station: int | None
    fixed_station: int | None
    part: str
    joint: str
    seam: str
    row: int


@dataclass(frozen=True, slots=True, kw_only=True)
class LineTasksTable:
    """The rows of one file, as they stand in it."""

    file: FileTable
    rows: tuple[LineTaskRead, ...]
    fields: frozenset[str]
    """What the file has columns for, by the name in LineTaskRead: of the others it says nothing."""
    ignored: tuple[str, ...]
    """Headings that none of the known words are: their columns are not read."""
    unit: str
    """In what the times are given; empty where neither the file nor anybody says so."""

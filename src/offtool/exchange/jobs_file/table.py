"""What reading a list of jobs gives: a row a job, and all that was odd."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from offtool.exchange.headed_tables import FileTable


@dataclass(frozen=True, slots=True, kw_only=True)
class JobRowRead:
    """One job as the file writes it; empty or None where it says nothing. `row` counts from 1."""

    press: str
    job: str
    product: str
    what: str
    resin: str
    colour: str
    lightness: float | None
    a: float | None
    b: float | None
    """CIELAB of the colour, for D65 and 10 degrees; all three or none."""
    begins: date
    ends: date | None
    may_stop: bool | None
    margin_per_h: float | None
    restart_min: float | None
    row: int


@dataclass(frozen=True, slots=True, kw_only=True)
class JobLeftOut:
    """A row of which no job can be made; what names it, as far as it is said. `row` counts from 1."""

    job: str
    press: str
    row: int


@dataclass(frozen=True, slots=True, kw_only=True)
class JobsTable:
    """The rows of one file, as they stand in it."""

    file: FileTable
    rows: tuple[JobRowRead, ...]
    fields: frozenset[str]
    """Which columns the file has, by their name in JobRowRead: the others say nothing."""
    left_out: tuple[JobLeftOut, ...] = ()
    currency: str = ""
    """That of the margins, where their heading says it."""

"""What reading the file of a gauge study gives: its readings, each with its cell, and all that was odd."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from offtool.core.values import Range
from offtool.exchange.readings import FileRefused, RefusedCell, Repair

MAX_READINGS = 20_000

READINGS = Range(
    meaning="readings of a gauge study",
    at_most=MAX_READINGS,
    source="a study has some hundred readings (common practice, no source)",
    remedy="leave everything but the study out of the file",
)


class StudyLayout(StrEnum):
    """How the readings of a study lie in the file."""

    LONG = "long"
    """A row a reading."""
    WIDE = "wide"
    """A row a part, a column for each operator and repeat."""
    SHEET = "sheet"
    """A row for each operator and repeat, a column a part."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StudyReading:
    """One reading; rows and columns count from 1 as a spreadsheet shows the file."""

    part: str
    operator: str
    """Empty where the file names nobody."""
    repeat: int
    """From 1; counted in the order of the file where it gives none."""
    reference: float | None
    value: float
    row: int
    column: int


@dataclass(frozen=True, slots=True, kw_only=True)
class StudyTable:
    """The readings of one file, row by row as they stand in it."""

    name: str
    layout: StudyLayout
    sheet: str | None
    encoding: str
    delimiter: str
    decimal: str
    unit: str | None
    """mm, deg, g, N or N·m, which the readings are in; None where the file states none."""
    readings: tuple[StudyReading, ...]
    repairs: tuple[Repair, ...]
    refused: tuple[RefusedCell, ...]
    missing: int
    """Cells where a reading could stand and none does."""
    notes: tuple[str, ...]

    @property
    def parts(self) -> tuple[str, ...]:
        """In order of appearance."""
        return tuple(dict.fromkeys(one.part for one in self.readings))

    @property
    def operators(self) -> tuple[str, ...]:
        """In order of appearance; an empty name where the file names nobody."""
        return tuple(dict.fromkeys(one.operator for one in self.readings))


def refuse_too_many(count: int, *, where: str) -> None:
    """Raise FileRefused for a file that is no study any more."""
    if count > MAX_READINGS:
        raise FileRefused(
            f"{READINGS.meaning}: more than {MAX_READINGS:,}, at most that many are read",
            where=where,
            remedy=READINGS.remedy,
        )

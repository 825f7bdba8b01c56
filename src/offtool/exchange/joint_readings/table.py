"""What reading the file of a joint test gives: its readings, each with its cell, and all that was odd."""

from __future__ import annotations

from dataclasses import dataclass

from offtool.exchange.headed_tables import FileTable
from offtool.handbook.terms import JointCondition, JointReadingKind


@dataclass(frozen=True, slots=True, kw_only=True)
class JointTestReading:
    """One reading of an assembled piece; rows and columns count from 1 as a spreadsheet shows the file."""

    piece: str
    inner_cavity: str
    """As the file writes it; empty where it says none."""
    outer_cavity: str
    what: JointReadingKind
    condition: JointCondition
    hours: float | None
    cycles: int | None
    operator: str
    repeat: int
    """From 1; counted in the order of the file where it gives none."""
    value: float
    """In N·m, N or deg."""
    row: int
    column: int


@dataclass(frozen=True, slots=True, kw_only=True)
class JointTestTable:
    """The readings of one file, row by row as they stand in it."""

    file: FileTable
    readings: tuple[JointTestReading, ...]
    inner_column: int | None
    """The column of the inner part's cavity, from 1; None where there is none."""
    outer_column: int | None

    @property
    def pieces(self) -> tuple[str, ...]:
        """In order of appearance."""
        return tuple(dict.fromkeys(one.piece for one in self.readings))

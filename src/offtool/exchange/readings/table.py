"""What reading a file gives: the readings, each with its cell, and all that was repaired or refused."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Any

import numpy as np
from numpy.typing import NDArray

from offtool.core.values import OfftoolError


class Layout(StrEnum):
    """How the readings lie in the file."""

    WIDE = "wide"
    """A column a characteristic, a row a part."""
    LONG = "long"
    """A row a reading."""
    REPORT = "report"
    """First-article report: a row a characteristic, then a column for each cavity and part."""
    QIF = "QIF"
    """Results of measurement as ISO 23952 lays them out in XML."""


class FileRefused(OfftoolError):
    """The whole file cannot be read; nothing of it is used."""


@dataclass(frozen=True, slots=True)
class Repair:
    """A cell that was read although it is not a bare number: what was found, how it is read, and why."""

    row: int
    column: int
    found: str
    read_as: str
    why: str

    def __str__(self) -> str:
        return f"row {self.row}, column {self.column}: {self.found!r} is read as {self.read_as}; {self.why}"


@dataclass(frozen=True, slots=True)
class RefusedCell:
    """A cell that cannot be read: what was found, why it is refused, and the remedy."""

    row: int
    column: int
    found: str
    why: str
    remedy: str

    def __str__(self) -> str:
        return f"row {self.row}, column {self.column}: {self.found!r} {self.why}; {self.remedy}"


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundCharacteristic:
    """A characteristic as the file states it; None where the file does not say.

    ``label`` is the text of the file, ``number`` and ``name`` what it says in them. ``unit`` is mm, deg, g,
    N or N·m; ``nominal``, ``lower`` and ``upper`` are in that unit, as the readings are.
    """

    label: str
    number: str = ""
    name: str = ""
    unit: str | None = None
    nominal: float | None = None
    lower: float | None = None
    upper: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ReadingTable:
    """The readings of one file, in arrays of equal length; each reading keeps the cell it was read from.

    Rows and columns count from 1 as a spreadsheet shows the file (in a CSV a quoted cell may run over
    several lines and is still one row); in QIF they are lines and the characters in them. Nothing is sorted:
    readings stand as in the file, row by row.
    """

    name: str
    layout: Layout
    sheet: str | None
    """Name of the sheet; None for a text file."""
    encoding: str
    """Encoding of a text file; "XLSX" for a workbook; "QIF" with its version."""
    delimiter: str
    """Separator of a text file; empty for a workbook and for a single column."""
    decimal: str
    """Decimal mark of the numbers written as text."""
    characteristics: tuple[FoundCharacteristic, ...]
    cavities: tuple[str, ...]

    characteristic: NDArray[np.int32]
    """Index into ``characteristics``."""
    cavity: NDArray[np.int32]
    """Index into ``cavities``; -1 where no cavity is recorded."""
    shot: NDArray[np.int64]
    """Shot number; -1 where none is recorded."""
    part: NDArray[np.int64]
    """Number of the part; -1 where none is recorded."""
    value: NDArray[np.float64]
    """The reading, in the unit of its characteristic."""
    row: NDArray[np.int32]
    column: NDArray[np.int32]

    repairs: tuple[Repair, ...]
    refused: tuple[RefusedCell, ...]
    missing: int
    """Cells where a reading could stand and none does."""
    notes: tuple[str, ...]
    """How the file was understood, one sentence each."""

    def __post_init__(self) -> None:
        arrays: tuple[NDArray[Any], ...] = (self.characteristic, self.cavity, self.shot, self.part)
        for array in (*arrays, self.value, self.row, self.column):
            array.flags.writeable = False

"""A register of samples, from its bytes to its rows: the one way in."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date, datetime
from typing import Any

from offtool.exchange.headed_tables import TableRow, TableWalk, Told, open_table
from offtool.exchange.readings.grid import Cell, SpoiledCell, cell_text
from offtool.exchange.readings.ledger import quote
from offtool.exchange.readings.numbers import Unread
from offtool.exchange.readings.text import one_line, plain
from offtool.exchange.readings.words import MISSING
from offtool.exchange.samples_file import words
from offtool.exchange.samples_file.table import SampleRowRead, SamplesTable
from offtool.exchange.spreadsheet import read_safe_cell

_REMEDY = (
    "head the columns sample, what, part, tool, cavity, trial, shot, colour, place, holder and what else is "
    "known; a row a part of a sample"
)
_NO_NUMBER = Unread("names no sample", "write the number of the sample in every row; the row is left out")
_NO_DATE = Unread("is no date", "write year-month-day, such as 2026-03-31; the cell is left out")
_NO_PART = Unread("is said of a part, and no part is named", "name the part in its row; the row is left out")
_ISO = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})(?:[T ]00:00(?::00)?)?")
_WITH_DOTS = re.compile(r"(\d{1,2})\.\s?(\d{1,2})\.\s?(\d{4})")
_OF_PART = ("label", "tool", "state", "cavity", "trial", "colour")
_NAMES = ("number", "part", *_OF_PART, "name", "build", "purpose", "disposition", "place", "holder")


def read_samples(content: bytes, name: str, *, sheet: str | None = None) -> SamplesTable:
    """The rows of a register from a file as somebody keeps it.

    Parameters: ``content``, the bytes of a CSV or XLSX file; ``name``, the file as messages name it;
    ``sheet``, to read another sheet of a workbook than the first that holds a register.

    Returns a SamplesTable; cells that cannot be read are listed in its file as refused and the others stand.
    Raises FileRefused when no register can be made of the file, for any bytes; nothing else is raised.
    """
    needed = (words.FIELDS["number"].name,)
    opened = open_table(
        content, name, sheet=sheet, vocabulary=words.vocabulary(), needed=needed, remedy=_REMEDY
    )
    walk = TableWalk(opened)
    rows = tuple(_Register(walk).read())
    if not rows:
        raise walk.nothing_read("sample")
    columns = {one: walk.column_from_one(field.name) for one, field in words.FIELDS.items()}
    return SamplesTable(
        file=walk.about_the_file(name),
        rows=rows,
        columns={one: column for one, column in columns.items() if column is not None},
    )


class _Register:
    """Through the rows of a file once; what was said of each sample is remembered."""

    def __init__(self, walk: TableWalk) -> None:
        self._walk = walk
        self._said: dict[str, dict[str, tuple[int, Any]]] = {}

    def read(self) -> Iterator[SampleRowRead]:
        """All rows, as in the file; what is said of a sample in any of its rows stands in all."""
        rows = [one for row in self._walk.rows() if (one := self._row(row)) is not None]
        for one in rows:
            whole = {name: value for name, (_, value) in self._said[one["number"]].items()}
            yield SampleRowRead(**one | whole)

    def _row(self, row: TableRow) -> dict[str, Any] | None:
        """What a row says of a part; None where a name of it is refused, or it names no sample."""
        told: dict[str, Any] = {name: self._name(row, name) for name in _NAMES}
        if told["number"] == "":
            self._refuse(row, "number", _NO_NUMBER)
        if told["number"] == "" or any(isinstance(value, Unread) for value in told.values()):
            return None
        shot = self._walk.whole(row, words.FIELDS["shot"].name)
        told |= {"shot": None if isinstance(shot, Unread) else shot}
        orphan = next((name for name in (*_OF_PART, "shot") if told[name] not in ("", None)), None)
        if orphan is not None and not told["part"]:
            self._refuse(row, orphan, _NO_PART)
            return None
        told |= {"found_on": self._date(row), "note": self._note(row)}
        self._remember(row, told)
        return {name: told[name] for name in told if name not in words.OF_SAMPLE} | {"row": row.number + 1}

    def _remember(self, row: TableRow, told: dict[str, Any]) -> None:
        """What the row says of the whole sample; a cell that says another thing than one above is refused."""
        said = self._said.setdefault(told["number"], {})
        for name in words.OF_SAMPLE:
            value = told[name]
            if value in ("", None):
                continue
            first, before = said.setdefault(name, (row.number + 1, value))
            if before != value:
                self._refuse(
                    row,
                    name,
                    Unread(
                        f"is said of sample {quote(told['number'])} otherwise in row {first}, "
                        f"{quote(str(before))}",
                        "say the same in every row of a sample; the cell is left out",
                    ),
                )

    def _name(self, row: TableRow, name: str) -> str | Unread:
        found = self._walk.name(row, words.FIELDS[name].name)
        return found if isinstance(found, Unread) else read_safe_cell(found)

    def _date(self, row: TableRow) -> date | None:
        told = self._told("found_on")
        found = None if told is None else read_date(row.cell(told))
        if isinstance(found, Unread):
            self._refuse(row, "found_on", found)
            return None
        return found

    def _note(self, row: TableRow) -> str:
        """Any text, as long as it is."""
        told = self._told("note")
        if told is None:
            return ""
        text = one_line(plain(cell_text(row.cell(told))))
        return "" if text.casefold() in MISSING else read_safe_cell(text)

    def _told(self, name: str) -> Told | None:
        return self._walk.column(words.FIELDS[name].name)

    def _refuse(self, row: TableRow, name: str, refusal: Unread) -> None:
        told = self._told(name)
        if told is not None:
            self._walk.refuse(row, told, refusal)


def read_date(cell: Cell) -> date | Unread | None:
    """The day in a cell: a date of a sheet, 2026-03-31 or 31.3.2026; None for an empty cell.

    A day with slashes that does not begin with the year is refused: 3/4/2026 is March to some, April to
    others.
    """
    if isinstance(cell, SpoiledCell):
        return cell.refusal
    if isinstance(cell, datetime):
        return cell.date()
    if isinstance(cell, date):
        return cell
    text = plain(cell_text(cell))
    if text.casefold() in MISSING:
        return None
    iso, dotted = _ISO.fullmatch(text), _WITH_DOTS.fullmatch(text)
    try:
        if iso:
            return date(int(iso[1]), int(iso[2]), int(iso[3]))
        if dotted:
            return date(int(dotted[3]), int(dotted[2]), int(dotted[1]))
    except ValueError:
        return _NO_DATE
    return _NO_DATE

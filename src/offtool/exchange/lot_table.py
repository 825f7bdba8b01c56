"""A lot of pieces as a table: a row a sample, a column a detail, read from CSV and XLSX.

A cell says there, not there, or that nothing was looked at; a column of grades holds 0, 1, 2, 3.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from offtool.exchange.readings.decode import find_encoding
from offtool.exchange.readings.delimited import SEPARATORS, DelimitedGrid
from offtool.exchange.readings.grid import Cell, Grid, Row, cell_text
from offtool.exchange.readings.ledger import Ledger, quote
from offtool.exchange.readings.limits import refuse_beyond
from offtool.exchange.readings.numbers import Unread
from offtool.exchange.readings.table import FileRefused, RefusedCell
from offtool.exchange.readings.text import heading_key, one_line, plain
from offtool.exchange.readings.unpack import ZIP_SIGNATURE
from offtool.exchange.readings.workbook import Workbook
from offtool.handbook.terms import LONGEST_NAME

Seen = bool | int | None

GRADED, STAYS = "graded", "stays"
KINDS = (STAYS, "goes", "comes and goes", GRADED)
"""A heading may end in one of them, such as "rib (goes)"."""
HIGHEST_GRADE = 9
MOST_SAMPLES = 500
MOST_DETAILS = 150


def _keys(words: str) -> frozenset[str]:
    return frozenset(heading_key(word) for word in words.split(","))


THERE = _keys("x, yes, y, there, present, seen, has, ja, vorhanden, da, true, wahr, ✓, ✔, √, +, 有, 是")
NOT_THERE = _keys(
    "-, no, n, missing, not there, absent, none, without, nein, fehlt, false, falsch, ✗, ✘, ×, 无, 否, 没有"
)
NOT_LOOKED = _keys(
    "?, ??, not looked, not looked at, unknown, hidden, n/a, na, nicht geprüft, unbekannt, 未看, 不明"
) | {""}

_KIND_AT_END = re.compile(r"(?P<name>.*\S)\s*[(\[](?P<kind>[^()\[\]]*)[)\]]")
_NO_ANSWER = Unread("is no answer that is known", "write yes, no, or ? where nothing was looked at")
_NO_GRADE = Unread(f"is no grade from 0 to {HIGHEST_GRADE}", "write the grade alone, such as 2")
_REMEDY = "the first column names the sample, every other column is headed by a detail"


@dataclass(frozen=True, slots=True, kw_only=True)
class LotTable:
    """The table of one file; a cell that was refused counts as not looked at."""

    name: str
    sheet: str | None
    samples: tuple[str, ...]
    details: tuple[str, ...]
    kinds: tuple[str, ...]
    """One of KINDS for each detail."""
    seen: tuple[tuple[Seen, ...], ...]
    refused: tuple[RefusedCell, ...]
    """Rows and columns count from 1, as a spreadsheet shows the file."""
    notes: tuple[str, ...]


def read_lot(content: bytes, name: str, *, sheet: str | None = None) -> LotTable:
    """The samples and what was seen on them.

    Parameters: ``content``, the bytes of a CSV or XLSX file; ``name``, the file as messages name it;
    ``sheet``, to read another sheet of a workbook than its first.

    Returns a LotTable; every cell that cannot be read is listed as refused. Raises FileRefused when no table
    can be made of the file, for any bytes.
    """
    refuse_beyond("bytes", len(content), where=name)
    if not content.strip():
        raise FileRefused("is empty", where=name, remedy="send the file again")
    grid, title = _open(content, name, sheet)
    return _Lot.of(grid).read(name, title)


def _open(content: bytes, name: str, sheet: str | None) -> tuple[Grid, str | None]:
    if content.startswith(ZIP_SIGNATURE):
        book = Workbook(content, name)
        title = sheet if sheet is not None else next(iter(book.sheets), "")
        if title not in book.sheets:
            has = ", ".join(map(repr, book.sheets))
            raise FileRefused(f"has no sheet {title!r}", where=name, remedy=f"it has {has}")
        return book.grid(title), title
    if sheet is not None:
        what = f"is no workbook; it has no sheet {sheet!r}"
        raise FileRefused(what, where=name, remedy="leave the sheet out")
    return _best_separated(content, name), None


def _best_separated(content: bytes, name: str) -> Grid:
    """By the separator that gives the heading row most cells."""
    encoding = find_encoding(content, name)
    found: list[tuple[int, Grid]] = []
    broken: list[FileRefused] = []
    for separator in SEPARATORS:
        grid = DelimitedGrid(content, encoding, separator, name=name)
        try:
            found.append((max(map(_filled, grid.rows()), default=0), grid))
        except FileRefused as refusal:
            broken.append(refusal)
    if not found:
        raise broken[0]
    return max(found, key=lambda one: one[0])[1]


def _filled(row: Row) -> int:
    return sum(bool(cell_text(cell).strip()) for cell in row)


@dataclass(slots=True)
class _Detail:
    """A column of the file, from 0, and what its heading says."""

    column: int
    name: str
    kind: str = ""


@dataclass(slots=True)
class _Lot:
    """Through the rows of a file once."""

    grid: Grid
    heading_row: int
    ledger: Ledger
    details: list[_Detail]
    rows: list[tuple[int, str, Row]] = field(default_factory=list)
    dashes: int = 0

    @classmethod
    def of(cls, grid: Grid) -> _Lot:
        """With the headings read: the first row that fills more than one cell."""
        for number, row in enumerate(grid.rows()):
            if _filled(row) > 1:
                lot = cls(grid, number, Ledger(grid.where), [])
                lot.details = list(lot._headings(row))
                return lot
        raise FileRefused("holds no row of headings", where=grid.where, remedy=_REMEDY)

    def read(self, name: str, sheet: str | None) -> LotTable:
        """All samples, column by column."""
        self.rows = list(self._rows())
        if not self.rows or not self.details:
            missing = "no detail" if not self.details else "no sample"
            raise FileRefused(
                f"holds {missing} that can be read",
                where=self.grid.where,
                remedy=_REMEDY,
            )
        columns = [self._column(one) for one in self.details]
        if self.dashes:
            self.ledger.note(f'"-" is taken for not there, in {self.dashes} cells.')
        return LotTable(
            name=name,
            sheet=sheet,
            samples=tuple(sample for _, sample, _ in self.rows),
            details=tuple(one.name for one in self.details),
            kinds=tuple(one.kind or STAYS for one in self.details),
            seen=tuple(zip(*columns, strict=True)),
            refused=self.ledger.refused(),
            notes=self.ledger.notes(),
        )

    def _headings(self, row: Row) -> Iterator[_Detail]:
        seen: dict[str, int] = {}
        for column, cell in enumerate(row[1:], start=1):
            text = one_line(plain(cell_text(cell)))
            if not text:
                continue
            name, kind = _name_and_kind(text)
            first = seen.setdefault(heading_key(name), column)
            why = _wrong_name(name) or (f"is headed like column {first + 1}" if first != column else "")
            if why:
                self._refuse(
                    self.heading_row,
                    column,
                    cell,
                    Unread(why, "the column is left out; rename it"),
                )
            else:
                yield _Detail(column, name, kind)
        if len(seen) > MOST_DETAILS:
            what = f"more than {MOST_DETAILS} details"
            raise FileRefused(
                what,
                where=self.grid.where,
                remedy="leave out what was seldom looked at",
            )

    def _rows(self) -> Iterator[tuple[int, str, Row]]:
        """The rows that name a sample, each once."""
        seen: dict[str, int] = {}
        for number, row in enumerate(self.grid.rows()):
            if number <= self.heading_row or not _filled(row):
                continue
            sample = one_line(plain(cell_text(row[0])))
            first = seen.setdefault(sample, number)
            why = _wrong_name(sample) or (f"stands in row {first + 1} too" if first != number else "")
            if why:
                self._refuse(
                    number,
                    0,
                    row[0],
                    Unread(why, "the row is left out; name each sample once"),
                )
                continue
            yield number, sample, row
            if len(seen) > MOST_SAMPLES:
                what = f"more than {MOST_SAMPLES} samples"
                raise FileRefused(what, where=self.grid.where, remedy="send the lot in parts")

    def _column(self, detail: _Detail) -> list[Seen]:
        cells = [row[detail.column] if detail.column < len(row) else "" for _, _, row in self.rows]
        grades = [_grade(cell) for cell in cells]
        if not detail.kind and any(grade is not None and grade > 1 for grade in grades):
            detail.kind = GRADED
        read = [_as_grade(cell) if detail.kind == GRADED else _as_seen(cell) for cell in cells]
        found: list[Seen] = []
        for (number, _, _), cell, one in zip(self.rows, cells, read, strict=True):
            self.dashes += plain(cell_text(cell)) == "-"
            if isinstance(one, Unread):
                self._refuse(number, detail.column, cell, one)
            found.append(None if isinstance(one, Unread) else one)
        return found

    def _refuse(self, row: int, column: int, cell: Cell, refusal: Unread) -> None:
        self.ledger.refuse(row, column, quote(cell_text(cell)), refusal)


def _name_and_kind(text: str) -> tuple[str, str]:
    found = _KIND_AT_END.fullmatch(text)
    kind = heading_key(found["kind"]) if found else ""
    return (found["name"], kind) if found and kind in KINDS else (text, "")


def _wrong_name(name: str) -> str:
    if not name:
        return "has no name"
    return f"is longer than {LONGEST_NAME} signs" if len(name) > LONGEST_NAME else ""


def _key(cell: Cell) -> str:
    """What a cell is looked up by; a lone sign stays as it is."""
    text = plain(cell_text(cell))
    return heading_key(text) or text


def _grade(cell: Cell) -> int | None:
    """A whole number that can be a grade."""
    text = plain(cell_text(cell))
    return int(text) if text.isascii() and text.isdecimal() and len(text) == 1 else None


def _as_grade(cell: Cell) -> Seen | Unread:
    if _key(cell) in NOT_LOOKED:
        return None
    grade = 0 if _key(cell) in NOT_THERE else _grade(cell)
    return _NO_GRADE if grade is None else grade


def _as_seen(cell: Cell) -> Seen | Unread:
    key, grade = _key(cell), _grade(cell)
    if key in NOT_LOOKED:
        return None
    if key in THERE or grade == 1:
        return True
    return False if key in NOT_THERE or grade == 0 else _NO_ANSWER

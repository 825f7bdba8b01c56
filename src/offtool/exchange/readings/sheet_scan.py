"""The bytes of one sheet, gone through once for its used rectangle and for cells whose value is lost."""

from __future__ import annotations

import re

from offtool.exchange.readings.cells import FAILED_FORMULA
from offtool.exchange.readings.grid import SpoiledCell
from offtool.exchange.readings.limits import MAX_REFUSED_CELLS, refuse_beyond
from offtool.exchange.readings.numbers import Unread
from offtool.exchange.readings.table import FileRefused

A_TRUTH = Unread("is a truth value, not a reading", "enter the measured value")
NO_RESULT = Unread(
    "is a formula without a stored result",
    "open the file in a spreadsheet, let it calculate, and save it again",
)

_TAG = rb"<(?:\w+:)?(row|c|f|v)(?=[\s/>])(?: r=\"([A-Z]{0,3})([1-9][0-9]{0,6})\")?([^<>]*)>([^<]*)"
_TOKEN = re.compile(_TAG)
_ROW_OR_CELL = re.compile(_TAG.replace(b"(row|c|f|v)", b"(row|c)").replace(b"([^<]*)", b"()"))
_ADDRESS = re.compile(rb"\sr\s*=\s*[\"']([A-Z]{0,3})([1-9][0-9]{0,6})[\"']")
_HAS_ADDRESS = re.compile(rb"\sr\s*=")
_TYPE = re.compile(rb"\st\s*=\s*[\"'](\w+)[\"']")

_NEEDS_VALUES = re.compile(rb"<(?:\w+:)?f[\s/>]|\st\s*=\s*[\"'](?:e|b|str)[\"']")
"""Where none of this stands, only the addresses of the cells matter, which is quicker."""

_SPOILING = (b"e", b"b")

_LONGEST_TAG = 1 << 20


class BrokenSheet(Exception):
    """The bytes of a sheet contradict themselves; `unpack` makes it a damaged workbook."""


class SheetScan:
    """Follows the cells of a sheet as the pieces of its bytes come in."""

    def __init__(self) -> None:
        self.spoiled: dict[tuple[int, int], SpoiledCell] = {}
        """By row and column, from 0."""
        self._last_row = self._last_column = 0
        self._row, self._row_digits, self._column = 0, b"", 0
        self._type, self._formula = b"", False
        self._rest = b""
        self._columns: dict[bytes, int] = {}

    def feed(self, piece: bytes) -> None:
        """Go on with the next bytes; a tag cut at the end waits for the next piece."""
        seen = self._rest + piece
        cut = seen.rfind(b"<")
        self._rest = seen[cut:] if cut >= 0 else seen
        if len(self._rest) > _LONGEST_TAG or b"\0" in piece:
            raise BrokenSheet
        self._follow(seen[:cut] if cut >= 0 else b"")

    def finish(self) -> None:
        self._follow(self._rest)
        self._end_cell(has_value=False)

    def refuse_too_large(self, where: str) -> None:
        """Raise FileRefused when the used rectangle is larger than the LIMITS allow."""
        refuse_beyond("rows", self._last_row, where=where)
        refuse_beyond("columns", self._last_column, where=where)
        refuse_beyond("sheet cells", self._last_row * self._last_column, where=where)
        if len(self.spoiled) > MAX_REFUSED_CELLS:
            raise FileRefused(
                f"{len(self.spoiled):,} cells hold failed formulas", where=where, remedy=NO_RESULT.remedy
            )

    def _follow(self, seen: bytes) -> None:
        open_cell = self._type in _SPOILING or self._formula
        pattern = _TOKEN if open_cell or _NEEDS_VALUES.search(seen) else _ROW_OR_CELL
        for kind, letters, digits, attributes, text in pattern.findall(seen):
            if kind in (b"row", b"c"):
                self._end_cell(has_value=False)
                column, row = (letters, digits) if digits else _address(attributes)
                if kind == b"row":
                    self._start_row(row)
                else:
                    self._start_cell(column, row, attributes)
            elif kind == b"f":
                self._formula = True
            elif text.strip():
                self._end_cell(has_value=True, text=text)

    def _start_row(self, digits: bytes) -> None:
        row = int(digits) if digits else self._row + 1
        if row <= self._row:
            raise BrokenSheet
        self._row, self._row_digits, self._column = row, str(row).encode(), 0

    def _start_cell(self, letters: bytes, digits: bytes, attributes: bytes) -> None:
        column = self._column_number(letters) if digits else self._column + 1
        if (digits and digits != self._row_digits) or column <= self._column:
            raise BrokenSheet
        self._column = column
        if not attributes.endswith(b"/"):
            self._last_row, self._last_column = self._row, max(self._last_column, column)
            kind = _TYPE.search(attributes)
            self._type = kind[1] if kind else b"n"

    def _end_cell(self, *, has_value: bool, text: bytes = b"") -> None:
        if self._type == b"e":
            self._spoil(text.decode("utf-8", errors="replace").strip() or "#", FAILED_FORMULA)
        elif self._type == b"b":
            self._spoil("FALSE" if text.strip() == b"0" else "TRUE", A_TRUTH)
        elif self._formula and not has_value and self._type != b"str":
            self._spoil("=", NO_RESULT)
        self._type, self._formula = b"", False

    def _spoil(self, text: str, refusal: Unread) -> None:
        if len(self.spoiled) <= MAX_REFUSED_CELLS:
            self.spoiled[self._row - 1, self._column - 1] = SpoiledCell(text, refusal)

    def _column_number(self, letters: bytes) -> int:
        number = self._columns.get(letters, 0)
        if not number:
            for letter in letters:
                number = number * 26 + letter - 64
            self._columns[letters] = number
        return number


def _address(attributes: bytes) -> tuple[bytes, bytes]:
    """Letters and digits of an address that is not the first attribute; both empty where there is none."""
    found = _ADDRESS.search(attributes)
    if found:
        return found[1], found[2]
    if _HAS_ADDRESS.search(attributes) or attributes.count(b'"') % 2 or attributes.count(b"'") % 2:
        raise BrokenSheet  # an address that cannot be, or one hidden behind a > in quotation marks
    return b"", b""

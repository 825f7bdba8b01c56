"""The bytes of one sheet, gone through once for its used rectangle and for cells whose value is lost."""

from __future__ import annotations

import re

from offtool.exchange.readings.grid import SpoiledCell
from offtool.exchange.readings.limits import MAX_REFUSED_CELLS, refuse_beyond
from offtool.exchange.readings.table import FileRefused

FAILED_FORMULA = ("is the error of a formula, not a value", "mend the formula, or enter the value itself")
NO_RESULT = (
    "is a formula without a stored result",
    "open the file in a spreadsheet, let it calculate, and save it again",
)

_TOKEN = re.compile(rb"<(?:\w+:)?(row|c|f|v)(?=[\s/>])([^<>]*)>([^<]*)")
_ROW_OR_CELL = re.compile(rb"<(?:\w+:)?(row|c)(?=[\s/>])([^<>]*)>()")
_ROW_NUMBER = re.compile(rb"\sr\s*=\s*[\"']([1-9][0-9]{0,6})[\"']")
_ADDRESS = re.compile(rb"\sr\s*=\s*[\"']([A-Z]{1,3})([1-9][0-9]{0,6})[\"']")
_HAS_ADDRESS = re.compile(rb"\sr\s*=")
_TYPE = re.compile(rb"\st\s*=\s*[\"'](\w+)[\"']")

_LONGEST_TAG = 1 << 20


class BrokenSheet(Exception):
    """The bytes of a sheet contradict themselves; `unpack` makes it a damaged workbook."""


class SheetScan:
    """Follows the cells of a sheet as the pieces of its bytes come in."""

    def __init__(self) -> None:
        self.spoiled: dict[tuple[int, int], SpoiledCell] = {}
        """By row and column, from 0."""
        self._last_row = self._last_column = 0
        self._row = self._column = 0
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
                f"{len(self.spoiled):,} cells hold failed formulas", where=where, remedy=NO_RESULT[1]
            )

    def _follow(self, seen: bytes) -> None:
        simple = self._type != b"e" and not self._formula and b"<f" not in seen and b":f" not in seen
        pattern = _ROW_OR_CELL if simple and b'"e"' not in seen and b"'e'" not in seen else _TOKEN
        for token in pattern.finditer(seen):
            kind, attributes, text = token.groups()
            if kind == b"c":
                self._end_cell(has_value=False)
                self._start_cell(attributes)
            elif kind == b"row":
                self._end_cell(has_value=False)
                self._start_row(attributes)
            elif kind == b"f":
                self._formula = True
            elif text.strip():
                self._end_cell(has_value=True, text=text)

    def _start_row(self, attributes: bytes) -> None:
        number = _ROW_NUMBER.search(attributes)
        if not number and _HAS_ADDRESS.search(attributes):
            raise BrokenSheet
        row = int(number[1]) if number else self._row + 1
        if row <= self._row:
            raise BrokenSheet
        self._row, self._column = row, 0

    def _start_cell(self, attributes: bytes) -> None:
        address = _ADDRESS.search(attributes)
        if address:
            column, row = self._column_number(address[1]), int(address[2])
        elif _HAS_ADDRESS.search(attributes):
            raise BrokenSheet
        else:
            column, row = self._column + 1, self._row
        if row != self._row or column <= self._column:
            raise BrokenSheet
        self._column = column
        if not attributes.endswith(b"/"):
            self._last_row, self._last_column = row, max(self._last_column, column)
            kind = _TYPE.search(attributes)
            self._type = kind[1] if kind else b"n"

    def _end_cell(self, *, has_value: bool, text: bytes = b"") -> None:
        if self._type == b"e":
            self._spoil(text.decode("utf-8", errors="replace").strip() or "#", FAILED_FORMULA)
        elif self._formula and not has_value and self._type != b"str":
            self._spoil("=", NO_RESULT)
        self._type, self._formula = b"", False

    def _spoil(self, text: str, reason: tuple[str, str]) -> None:
        if len(self.spoiled) <= MAX_REFUSED_CELLS:
            self.spoiled[self._row - 1, self._column - 1] = SpoiledCell(text, *reason)

    def _column_number(self, letters: bytes) -> int:
        number = self._columns.get(letters, 0)
        if not number:
            for letter in letters:
                number = number * 26 + letter - 64
            self._columns[letters] = number
        return number

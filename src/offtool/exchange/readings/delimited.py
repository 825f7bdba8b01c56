"""Text with separators as rows of cells."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator

from offtool.exchange.readings.decode import Encoding
from offtool.exchange.readings.grid import Row
from offtool.exchange.readings.limits import MAX_COLUMNS, refuse_beyond
from offtool.exchange.readings.table import FileRefused

SEPARATORS = (",", ";", "\t", "|")
NO_SEPARATOR = ""

_NEVER_IN_TEXT = "\x1f"
"""Stands for the separator of a file with one column."""


class _Lines:
    """The lines of a text; refuses a row before its cells are made when it has more than the columns allowed.

    Cells are counted by separators, over all lines that a row takes: 100 MB of commas would else be one row
    of 100 million cells.
    """

    def __init__(self, lines: Iterable[str], separator: str, where: str) -> None:
        self._lines, self._separator, self._where = lines, separator, where
        self.cells_of_row = 0

    def __iter__(self) -> Iterator[str]:
        for line in self._lines:
            self.cells_of_row += line.count(self._separator)
            if self.cells_of_row > MAX_COLUMNS:
                refuse_beyond("columns", self.cells_of_row, where=self._where)
            yield line


class DelimitedGrid:
    """The rows of a text file; a quoted cell may run over several lines and is still one cell of one row."""

    def __init__(self, content: bytes, encoding: Encoding, separator: str, *, name: str) -> None:
        self.where = name
        self._content, self._encoding = content, encoding
        self._separator = separator or _NEVER_IN_TEXT

    def rows(self) -> Iterator[Row]:
        text = io.TextIOWrapper(io.BytesIO(self._content), encoding=self._encoding.codec, newline="")
        lines = _Lines(text, self._separator, self.where)
        number = 0
        try:
            for row in csv.reader(lines, delimiter=self._separator, strict=True):
                lines.cells_of_row = 0
                number += 1
                yield row
        except csv.Error as error:
            raise FileRefused(
                f"a quotation mark is opened or closed at the wrong place ({error})",
                where=f"{self.where}, row {number + 1}",
                remedy='write inch as in, double a quotation mark inside a cell (""), or save it as .xlsx',
            ) from error

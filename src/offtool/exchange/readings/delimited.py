"""Text with separators as rows of cells."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator

from offtool.exchange.readings.decode import Encoding
from offtool.exchange.readings.grid import Row
from offtool.exchange.readings.limits import MAX_COLUMNS, refuse_beyond
from offtool.exchange.readings.table import FileRefused

SEPARATORS = (",", ";", "\t", "|")
NO_SEPARATOR = ""
SEPARATOR_NAME = {",": "comma", ";": "semicolon", "\t": "tab", "|": "upright stroke", NO_SEPARATOR: "none"}

_NEVER_IN_TEXT = "\x1f"
"""Stands for the separator of a file with one column."""


class DelimitedGrid:
    """The rows of a text file; a quoted cell may run over several lines and is still one cell of one row."""

    def __init__(self, content: bytes, encoding: Encoding, separator: str, *, name: str) -> None:
        self.where = name
        self._content, self._encoding, self._separator = content, encoding, separator

    def rows(self) -> Iterator[Row]:
        lines = io.TextIOWrapper(io.BytesIO(self._content), encoding=self._encoding.codec, newline="")
        reader = csv.reader(lines, delimiter=self._separator or _NEVER_IN_TEXT, strict=True)
        number = 0
        try:
            for number, row in enumerate(reader, 1):
                if len(row) > MAX_COLUMNS:
                    refuse_beyond("columns", len(row), where=f"{self.where}, row {number}")
                yield row
        except csv.Error as error:
            raise FileRefused(
                f"a quotation mark is opened or closed at the wrong place ({error})",
                where=f"{self.where}, row {number + 1}",
                remedy='write inch as in, double a quotation mark inside a cell (""), or save the table as .xlsx',
            ) from error

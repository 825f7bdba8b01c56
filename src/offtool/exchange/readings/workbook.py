"""The sheets of a workbook as rows of cells."""

from __future__ import annotations

import io
from collections.abc import Collection, Iterator

import python_calamine

from offtool.exchange.readings.grid import Cell, Row, SpoiledCell
from offtool.exchange.readings.sheet_scan import SheetScan
from offtool.exchange.readings.table import FileRefused
from offtool.exchange.readings.unpack import unpack


class SheetGrid:
    """The rows of one sheet, from its first row on; formulas give their stored result."""

    def __init__(self, sheet: python_calamine.CalamineSheet, scan: SheetScan, *, where: str) -> None:
        self.where = where
        self._sheet = sheet
        self._before: list[Cell] = [""] * (sheet.start[1] if sheet.start else 0)
        self._merged = sheet.merged_cell_ranges or []
        self._covered: dict[int, list[tuple[int, int]]] = {}
        self._spoiled: dict[int, list[tuple[int, SpoiledCell]]] = {}
        for (row, column), cell in scan.spoiled.items():
            self._spoiled.setdefault(row, []).append((column, cell))

    def spread_merged(self, columns: Collection[int]) -> int:
        """Let cells of these columns that are merged downwards stand in each row they cover; says how many.

        Only for columns that name something: a reading in a merged cell is one reading, not several.
        """
        spread = [
            (top, bottom, left)
            for (top, left), (bottom, _) in self._merged
            if left in columns and bottom > top
        ]
        for top, bottom, column in spread:
            self._covered.setdefault(top, []).append((column, bottom))
        return len(spread)

    def rows(self) -> Iterator[Row]:
        end = 0
        standing: dict[int, tuple[int, Cell]] = {}
        with _Reading(self.where):
            for end, cells in enumerate(self._sheet.iter_rows(), 1):
                row = self._mended(end - 1, [*self._before, *cells])
                for column, (bottom, cell) in standing.items():
                    if end - 1 <= bottom and column < len(row) and row[column] == "":
                        row[column] = cell
                for column, bottom in self._covered.get(end - 1, ()):
                    standing[column] = bottom, row[column] if column < len(row) else ""
                yield row
        for number in range(end, max(self._spoiled, default=-1) + 1):
            yield self._mended(number, [])

    def _mended(self, number: int, row: list[Cell]) -> list[Cell]:
        """The row with its spoiled cells in place of the empty ones that the reader gives."""
        for column, spoiled in self._spoiled.get(number, ()):
            row += [""] * (column + 1 - len(row))
            row[column] = spoiled
        return row


class Workbook:
    """A workbook whose visible sheets can be read one by one."""

    def __init__(self, content: bytes, name: str) -> None:
        self._name = name
        checked, self._scans = unpack(content, name)
        with _Reading(name):
            self._book = python_calamine.load_workbook(io.BytesIO(checked))
            self._visible = [
                sheet.name
                for sheet in self._book.sheets_metadata
                if sheet.typ == python_calamine.SheetTypeEnum.WorkSheet
                and sheet.visible == python_calamine.SheetVisibleEnum.Visible
            ]

    @property
    def sheets(self) -> list[str]:
        """The names of the sheets that are shown when the workbook is opened."""
        return [name for name in self._visible if name in self._scans]

    def grid(self, sheet: str) -> SheetGrid:
        where = f"{self._name}, sheet {sheet!r}"
        scan = self._scans[sheet]
        scan.refuse_too_large(where)
        with _Reading(where):
            return SheetGrid(self._book.get_sheet_by_name(sheet), scan, where=where)


class _Reading:
    """Turns whatever the spreadsheet reader raises into FileRefused.

    Its panics are no ordinary exceptions: they derive from BaseException, and are known by their name only.
    """

    def __init__(self, where: str) -> None:
        self._where = where

    def __enter__(self) -> None: ...

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, _: object) -> None:
        if kind and (issubclass(kind, Exception) or kind.__name__ == "PanicException"):
            raise FileRefused(
                f"the sheet cannot be read ({error})",
                where=self._where,
                remedy="open it in a spreadsheet, let it repair the file, and save it anew",
            ) from error

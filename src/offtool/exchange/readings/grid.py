"""A file as rows of cells, block by block, whether it came as text or as a sheet."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, time, timedelta
from itertools import islice
from typing import Protocol

from offtool.exchange.readings.limits import refuse_beyond
from offtool.exchange.readings.numbers import Unread

HEAD_ROWS = 300
"""Headings are looked for in these first rows; title blocks of reports rarely reach 50."""

_CELLS_OF_A_BLOCK = 400_000
"""About 40 MB of cells are held at a time."""


@dataclass(frozen=True, slots=True)
class SpoiledCell:
    """A cell of a sheet that gives no value: a failed formula, one without its result, a truth value."""

    text: str
    refusal: Unread


Cell = str | float | int | date | time | timedelta | SpoiledCell
Row = Sequence[Cell]


class Grid(Protocol):
    """Rows of cells that can be gone through more than once."""

    where: str
    """The file, and the sheet if there is one, as messages name them."""

    def rows(self) -> Iterator[Row]:
        """All rows from the first, each as long as it is in the file."""


@dataclass(frozen=True, slots=True)
class Block:
    """Some rows in sequence; ``first`` is the index of the first row, from 0."""

    first: int
    rows: list[Row]


def head(grid: Grid) -> list[Row]:
    return list(islice(grid.rows(), HEAD_ROWS))


def blocks(grid: Grid, *, start: int, width: int) -> Iterator[Block]:
    """The rows from index ``start`` on, so many at a time that a block of this width stays small."""
    rows = islice(grid.rows(), start, None)
    size = max(1, _CELLS_OF_A_BLOCK // max(width, 1))
    while piece := list(islice(rows, size)):
        refuse_beyond("rows", start + len(piece), where=grid.where)
        yield Block(start, piece)
        start += len(piece)


def cell_text(cell: Cell) -> str:
    """The text of a cell as a reader of the file sees it: 12.0 in a sheet is 12."""
    if isinstance(cell, str):
        return cell
    if isinstance(cell, int | float):
        return str(int(cell)) if cell == cell // 1 and abs(cell) < 1e15 else repr(float(cell))
    return cell.text if isinstance(cell, SpoiledCell) else str(cell)

"""Looks at pieces as a table: a row a defect, or a row without one for pieces that had none."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from offtool.core.values import nearest
from offtool.exchange.readings.decode import find_encoding
from offtool.exchange.readings.delimited import SEPARATORS, DelimitedGrid
from offtool.exchange.readings.limits import refuse_beyond
from offtool.exchange.readings.table import FileRefused

COLUMNS = ("trial", "cavity", "shot", "pieces", "defect", "count", "place", "note")
NEEDED = ("cavity", "defect")
MOST_ROWS = 100_000
"""Nobody looks at more pieces by hand in one trial (common practice, no source)."""
LONGEST_CELL = 1000


@dataclass(frozen=True, slots=True, kw_only=True)
class LookRow:
    """One row of the file; `pieces` are 1 where the cell is empty, `count` all of them."""

    line: int
    trial: str
    cavity: str
    shot: int | None
    pieces: int
    defect: str
    """Empty: looked at, nothing seen."""
    count: int | None
    place: str
    note: str


def read_looks(content: bytes, name: str) -> tuple[LookRow, ...]:
    """The rows of a CSV file of looks, in its order.

    Raises FileRefused, with the row and the remedy, for what cannot be read; nothing of it is used then.
    """
    refuse_beyond("bytes", len(content), where=name)
    encoding = find_encoding(content, name)
    first = content.decode(encoding.codec, errors="replace").splitlines()[:1]
    separator = max(SEPARATORS, key=lambda one: first[0].count(one) if first else 0)
    grid = DelimitedGrid(content, encoding, separator, name=name).rows()
    headings = _headings(next(iter(grid), []), name)
    rows = tuple(_rows(grid, headings, name))
    if not rows:
        raise FileRefused("no row below the headings", where=name, remedy="give a row a look")
    return rows


def _headings(cells: Sequence[object], name: str) -> tuple[str, ...]:
    found = tuple(str(cell or "").strip().casefold() for cell in cells)
    for one in filter(None, found):
        if one not in COLUMNS:
            raise FileRefused(
                f"the heading {one!r} is not known", where=f"{name}, row 1", remedy=nearest(one, COLUMNS)
            )
        if found.count(one) > 1:
            raise FileRefused(
                f"two columns are headed {one!r}", where=f"{name}, row 1", remedy="leave one out"
            )
    missing = [one for one in NEEDED if one not in found]
    if missing:
        raise FileRefused(
            f"there is no column {missing[0]!r}",
            where=f"{name}, row 1",
            remedy=f"the headings are {', '.join(COLUMNS)}; cavity and defect must be there",
        )
    return found


def _rows(grid: Iterator[Sequence[object]], headings: tuple[str, ...], name: str) -> Iterator[LookRow]:
    for line, cells in enumerate(grid, start=2):
        if line > MOST_ROWS + 1:
            raise FileRefused(f"more than {MOST_ROWS:,} rows", where=name, remedy="send it in several files")
        given = [str(cell if cell is not None else "").strip() for cell in cells]
        if any(given):
            yield _row(given, headings, line, f"{name}, row {line}")


def _row(given: list[str], headings: tuple[str, ...], line: int, where: str) -> LookRow:
    if any(given[len(headings) :]):
        raise FileRefused("more cells than headings", where=where, remedy="put text with commas in quotes")
    if any(len(cell) > LONGEST_CELL for cell in given):
        raise FileRefused(f"a cell of more than {LONGEST_CELL:,} signs", where=where, remedy="shorten it")
    cells = dict(zip(headings, given, strict=False))
    row = LookRow(
        line=line,
        trial=cells.get("trial", ""),
        cavity=cells.get("cavity", ""),
        shot=_whole(cells, "shot", where),
        pieces=_pieces(cells, where),
        defect=cells.get("defect", ""),
        count=_whole(cells, "count", where),
        place=cells.get("place", ""),
        note=cells.get("note", ""),
    )
    _refuse_contradiction(row, where)
    return row


def _refuse_contradiction(row: LookRow, where: str) -> None:
    if not row.defect and (row.count or row.place):
        what = f"count {row.count}" if row.count else f"place {row.place!r}"
        raise FileRefused(
            f"{what} without a defect", where=where, remedy="name the defect, or empty the cell"
        )
    if row.defect and row.count is not None and not 1 <= row.count <= row.pieces:
        raise FileRefused(
            f"{row.defect} on {row.count} of {row.pieces} pieces",
            where=where,
            remedy="count is 1 to the number of pieces; a look without a flaw has no defect in its row",
        )


def _pieces(cells: dict[str, str], where: str) -> int:
    pieces = _whole(cells, "pieces", where)
    if pieces == 0:
        raise FileRefused("no piece was looked at", where=where, remedy="leave the row out")
    return 1 if pieces is None else pieces


def _whole(cells: dict[str, str], column: str, where: str) -> int | None:
    """A whole number, or None for an empty cell; 12.0 is how a spreadsheet writes 12."""
    cell = cells.get(column, "")
    digits = cell.removesuffix(".0").removesuffix(",0")
    if not cell:
        return None
    if not (digits.isascii() and digits.isdecimal() and len(digits) <= 9):
        raise FileRefused(f"{column} {cell!r} is no whole number", where=where, remedy="give one, such as 12")
    return int(digits)

"""Setting text in columns: paragraphs, lists and tables for a terminal of a given width.

A Chinese sign takes two columns, so lengths are counted in columns of the terminal, not in signs.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator, Sequence

GAP = 2
LEAST_LAST_COLUMN = 12


def columns_of(text: str) -> int:
    """How many columns of the terminal a text takes."""
    return sum(_columns(sign) for sign in text)


def pad(text: str, columns: int, side: str = "<") -> str:
    """The text filled up with blanks: "<" stands on the left, ">" on the right."""
    blanks = " " * max(columns - columns_of(text), 0)
    return blanks + text if side == ">" else text + blanks


def wrap(text: str, columns: int) -> list[str]:
    """The text in lines of at most so many columns; a word longer than a line is cut."""
    lines: list[str] = []
    line = ""
    for word in text.split():
        for piece in _pieces(word, columns):
            if line and columns_of(line) + 1 + columns_of(piece) <= columns:
                line = f"{line} {piece}"
            else:
                lines += [line] if line else []
                line = piece
    return [*lines, line]


def paragraph(text: str, *, width: int, indent: str = "", first: str | None = None) -> list[str]:
    """A paragraph; `first` stands before its first line and is as long as `indent`."""
    lines = wrap(text, max(width - columns_of(indent), 1))
    return [(first if first is not None and not i else indent) + line for i, line in enumerate(lines)]


def flow(pieces: Iterable[str], *, width: int, indent: str = "") -> list[str]:
    """Pieces side by side, none broken, in as many lines as they need."""
    lines: list[str] = []
    for piece in pieces:
        longer = f"{lines[-1]}   {piece}" if lines else indent + piece
        lines = (
            [*lines[:-1], longer] if columns_of(longer) <= width or not lines else [*lines, indent + piece]
        )
    return lines


def table(
    rows: Sequence[Sequence[str]], *, width: int, sides: str = "", indent: int = 0, gap: int = GAP
) -> list[str]:
    """Rows of cells in aligned columns; the last column wraps where the terminal ends.

    `sides` has "<" or ">" for each column; columns beyond it stand on the left. A column that is empty in
    every row is left out.
    """
    kept = [i for i in range(max(map(len, rows), default=0)) if any(row[i] for row in rows)]
    cells = [[row[i] for i in kept] for row in rows]
    side = [sides[i] if i < len(sides) else "<" for i in kept]
    sizes = widths(cells)
    before = indent + sum(sizes[:-1]) + gap * max(len(sizes) - 1, 0)
    last = max(width - before, LEAST_LAST_COLUMN)
    return [line for row in cells for line in _row(row, side, sizes, last, indent, gap)]


def widths(rows: Sequence[Sequence[str]]) -> list[int]:
    """How many columns of the terminal each column of a table needs."""
    return [max(map(columns_of, column)) for column in zip(*rows, strict=True)]


def _row(
    row: Sequence[str], side: Sequence[str], sizes: Sequence[int], last: int, indent: int, gap: int
) -> Iterator[str]:
    front = "".join(
        pad(cell, size, one) + " " * gap for cell, size, one in zip(row[:-1], sizes, side, strict=False)
    )
    short = pad(row[-1], min(sizes[-1], last), ">") if side[-1] == ">" else row[-1]
    lines = wrap(row[-1], last) if columns_of(row[-1]) > last else [short]
    for i, line in enumerate(lines):
        yield " " * indent + (front if not i else " " * columns_of(front)) + line


def _pieces(word: str, columns: int) -> Iterator[str]:
    piece, length = "", 0
    for sign in word:
        if length + _columns(sign) > columns and piece:
            yield piece
            piece, length = "", 0
        piece, length = piece + sign, length + _columns(sign)
    yield piece


def _columns(sign: str) -> int:
    if unicodedata.combining(sign):
        return 0
    return 2 if unicodedata.east_asian_width(sign) in "WF" else 1

"""The names in a study's rows: parts and operators, each in one spelling, blanks filled from above."""

from __future__ import annotations

from offtool.exchange.readings.grid import SpoiledCell, cell_text
from offtool.exchange.readings.headings import read_heading
from offtool.exchange.readings.ledger import Ledger, rows_named
from offtool.exchange.readings.numbers import Unread
from offtool.exchange.readings.rows import Piece
from offtool.exchange.readings.text import one_line, plain
from offtool.exchange.readings.words import MISSING, Role
from offtool.handbook.terms import LONGEST_NAME

_TOO_LONG = Unread(
    f"is longer than the {LONGEST_NAME} signs that a name may have",
    "shorten the name; the readings of the row are left out",
)
_SAME_NAME = "the same name in other letters"


class Names:
    """One column of names. A blank cell goes on with the name above, as a merged cell shows it."""

    def __init__(self, what: str, column: int, ledger: Ledger) -> None:
        self._what, self._column, self._ledger = what, column, ledger
        self._spelling: dict[str, str] = {}
        self._above = ""
        self._filled = 0
        self._statistics: dict[int, str] = {}
        self._no_name = Unread(
            f"names no {what}, and no row above does",
            f"name the {what}; the readings of the row are left out",
        )

    def of_row(self, piece: Piece, position: int) -> str | None:
        """The name for a row; None where there is none, which is then in the ledger."""
        cell = piece.columns[self._column][position]
        text = one_line(plain(cell_text(cell)))
        row = piece.row(position)
        if isinstance(cell, SpoiledCell):
            self._ledger.refuse(row, self._column, text, cell.refusal)
            return None
        if text.casefold() in MISSING:
            return self._from_above(row, text)
        if read_heading(text).role is Role.STATISTIC:
            self._statistics[row] = text
            return None
        if len(text) > LONGEST_NAME:
            self._ledger.refuse(row, self._column, text, _TOO_LONG)
            return None
        known = self._spelling.setdefault(text.casefold(), text)
        if known != text:
            self._ledger.repair(row, self._column, text, known, _SAME_NAME)
        self._above = known
        return known

    def _from_above(self, row: int, text: str) -> str | None:
        if not self._above:
            self._ledger.refuse(row, self._column, text, self._no_name)
            return None
        self._filled += 1
        return self._above

    def say(self) -> None:
        """Note how many rows go on with the name above, and which are statistics by their name."""
        if self._statistics:
            names = ", ".join(dict.fromkeys(self._statistics.values()))
            self._ledger.note(f"Statistics are left out: {rows_named(self._statistics)} ({names}).")
        if self._filled:
            rows = "1 row goes" if self._filled == 1 else f"{self._filled:,} rows go"
            self._ledger.note(f"{rows} on with the {self._what} named above.")

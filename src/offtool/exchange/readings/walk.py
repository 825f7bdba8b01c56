"""Through the rows of a file once, from cells to readings with their characteristic and place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from offtool.exchange.readings.characteristics import NAMELESS, Catalogue
from offtool.exchange.readings.columns import Units, ValueColumns, read_counts
from offtool.exchange.readings.grid import Grid, Row, blocks, cell_text
from offtool.exchange.readings.labels import CavityLabels
from offtool.exchange.readings.ledger import Ledger
from offtool.exchange.readings.limits import refuse_beyond
from offtool.exchange.readings.numbers import Unread
from offtool.exchange.readings.plan import Plan
from offtool.exchange.readings.rows import Piece, RowSorter
from offtool.exchange.readings.table import Layout
from offtool.exchange.readings.text import plain
from offtool.exchange.readings.words import JUDGED_BAD, JUDGED_GOOD, MISSING, Role

_NAMELESS_ROW = Unread("names no characteristic, and its row holds readings", "name it in each row")
_NAMED_FROM_ABOVE = "a row without a name, with a place of its own, goes on with the characteristic above"

Readings = dict[str, NDArray[Any]]
"""Arrays of equal length by the names of `ReadingTable`; indices as gathered, not yet in final order."""

_COLUMNS = ("characteristic", "cavity", "shot", "part", "value", "row", "column")


@dataclass(slots=True)
class Judged:
    """Rows that the file itself judges good or bad, counted from 0."""

    good: set[int] = field(default_factory=set)
    bad: set[int] = field(default_factory=set)


class Walk:
    """Reads one file by its plan; what is odd goes into the ledger."""

    def __init__(
        self, grid: Grid, plan: Plan, catalogue: Catalogue, values: ValueColumns, ledger: Ledger
    ) -> None:
        self._grid, self._plan, self._ledger = grid, plan, ledger
        self._catalogue, self._values = catalogue, values
        self.cavities = CavityLabels(grid.where)
        self.judged = Judged()
        self._gathered: list[Readings] = []
        self._count = 0
        self._above = NAMELESS

    def go(self, head: Sequence[Row]) -> Readings:
        """All readings, row by row as in the file."""
        if self._plan.layout is Layout.WIDE:
            self._catalogue.of_columns(head)
        sorter = RowSorter(self._plan, head, self._ledger, self._grid.where)
        for block in blocks(self._grid, start=self._plan.first_data_row, width=self._plan.width):
            piece = sorter.sort(block)
            if piece:
                self._read(piece, sorter)
        sorter.say()
        if not self._gathered:
            return {name: np.array([]) for name in _COLUMNS}
        return {name: np.concatenate([part[name] for part in self._gathered]) for name in _COLUMNS}

    def _read(self, piece: Piece, sorter: RowSorter) -> None:
        described = None if self._plan.layout is Layout.WIDE else self._catalogue.of_rows(piece)
        if described is not None:
            self._name_from_above(described, piece)
        values = np.empty((len(piece.numbers), len(self._plan.values)))
        refused = np.zeros(values.shape, bool)
        for position, value in enumerate(self._plan.values):
            units = self._units(position, described)
            values[:, position], refused[:, position] = self._values.read(piece, value.column, units)
        if described is not None:
            self._refuse_nameless(described, values, piece)
        alive: NDArray[np.bool_] = np.asarray((~np.isnan(values) | refused).any(axis=1))
        self._ledger.missing += int((np.isnan(values) & ~refused)[alive].sum())
        self._note_dead(~alive, piece, sorter)
        if alive.any():
            kept = piece.where(alive)
            self._judge(kept)
            self._gather(values[alive], None if described is None else described[alive], kept)

    def _units(self, position: int, described: NDArray[np.int32] | None) -> Units:
        units = [each.unit for each in self._catalogue.described]
        if described is None:
            return Units(units[position : position + 1])
        return Units([*units, None], described)  # the last one serves NAMELESS

    def _naming_column(self) -> int:
        roles = (Role.CHARACTERISTIC, Role.NUMBER)
        return next(self._plan.columns[role] for role in roles if role in self._plan.columns)

    def _name_from_above(self, described: NDArray[np.int32], piece: Piece) -> None:
        """Rows of readings without a name, but with a place, go on with the characteristic above."""
        roles = (Role.CAVITY, Role.SHOT, Role.PART)
        placing = [self._plan.columns[role] for role in roles if role in self._plan.columns]
        for position in map(int, np.flatnonzero(described == NAMELESS)):
            above = self._above if position == 0 else int(described[position - 1])
            placed = any(_says_something(piece, column, position) for column in placing)
            placed &= any(_says_something(piece, value.column, position) for value in self._plan.values)
            if placed and above != NAMELESS:
                described[position] = above
                label = self._catalogue.label(above)
                self._ledger.repair(piece.row(position), self._naming_column(), "", label, _NAMED_FROM_ABOVE)
        self._above = int(described[-1])

    def _refuse_nameless(
        self, described: NDArray[np.int32], values: NDArray[np.float64], piece: Piece
    ) -> None:
        nameless = (described == NAMELESS) & ~np.isnan(values).all(axis=1)
        for position in map(int, np.flatnonzero(nameless)):
            column = self._naming_column()
            self._ledger.refuse(piece.row(position), column, piece.text(column, position), _NAMELESS_ROW)
        values[nameless] = np.nan

    def _note_dead(self, dead: NDArray[np.bool_], piece: Piece, sorter: RowSorter) -> None:
        """Name rows that say something and hold no reading; where a row is one reading, it is missing too."""
        named = [
            position
            for position in map(int, np.flatnonzero(dead))
            if any(piece.text(column, position).strip() for column in range(len(piece.columns)))
        ]
        sorter.found_empty(map(piece.row, named))
        if self._plan.layout is Layout.LONG:
            self._ledger.missing += len(named)

    def _judge(self, piece: Piece) -> None:
        for column in self._plan.verdicts:
            words = {cell: plain(cell_text(cell)).casefold() for cell in set(piece.columns[column])}
            for judging, rows in ((JUDGED_BAD, self.judged.bad), (JUDGED_GOOD, self.judged.good)):
                stated = {cell for cell, word in words.items() if word in judging}
                if stated:
                    judged = np.fromiter(map(stated.__contains__, piece.columns[column]), bool)
                    rows.update(piece.numbers[judged].tolist())

    def _gather(self, values: NDArray[np.float64], described: NDArray[np.int32] | None, piece: Piece) -> None:
        present = ~np.isnan(values)
        at_row, at_value = np.nonzero(present)
        index = np.array([each.index for each in self._catalogue.described], np.int32)
        columns = np.array([value.column + 1 for value in self._plan.values], np.int32)
        self._gathered.append(
            {
                "characteristic": index[at_value if described is None else described[at_row]],
                "cavity": self._cavities(piece, at_row, at_value),
                "shot": self._places(Role.SHOT, piece, at_row, at_value),
                "part": self._places(Role.PART, piece, at_row, at_value),
                "value": values[present],
                "row": piece.numbers[at_row] + np.int32(1),
                "column": columns[at_value],
            }
        )
        self._count += len(at_row)
        refuse_beyond("readings", self._count, where=self._grid.where)

    def _cavities(self, piece: Piece, at_row: NDArray[Any], at_value: NDArray[Any]) -> NDArray[np.int32]:
        """The cavity its row names, or else the one its heading names."""
        places = [value.place.cavity or "" for value in self._plan.values]
        in_heading: NDArray[np.int32] = self.cavities.codes(places)[at_value]
        if Role.CAVITY not in self._plan.columns:
            return in_heading
        in_row = self.cavities.codes(piece.columns[self._plan.columns[Role.CAVITY]])[at_row]
        return np.asarray(np.where(in_row >= 0, in_row, in_heading), np.int32)

    def _places(
        self, role: Role, piece: Piece, at_row: NDArray[Any], at_value: NDArray[Any]
    ) -> NDArray[np.int64]:
        """The shot or part its row names, or else the one its heading names."""
        named = [v.place.shot if role is Role.SHOT else v.place.part for v in self._plan.values]
        numbers = np.array([-1 if number is None else number for number in named], np.int64)
        in_heading: NDArray[np.int64] = numbers[at_value]
        if role not in self._plan.columns:
            return in_heading
        in_row = read_counts(piece, self._plan.columns[role], self._ledger)[at_row]
        return np.asarray(np.where(in_row >= 0, in_row, in_heading), np.int64)


def _says_something(piece: Piece, column: int, position: int) -> bool:
    return plain(piece.text(column, position)).casefold() not in MISSING

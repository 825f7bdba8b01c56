"""A column of cells to numbers: all at once where every cell is a bare number, else cell by cell."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import isfinite

import numpy as np
from numpy.typing import NDArray

from offtool.exchange.readings.cells import A_DATE, Found, Missing, read_value
from offtool.exchange.readings.grid import Cell, SpoiledCell, cell_text
from offtool.exchange.readings.ledger import Ledger
from offtool.exchange.readings.limits import MAX_COUNT, MAX_SIZE
from offtool.exchange.readings.numbers import NOT_FINITE, TOO_LARGE, Unread
from offtool.exchange.readings.places import read_count
from offtool.exchange.readings.rows import Piece
from offtool.exchange.readings.text import plain
from offtool.exchange.readings.units import CONVERTED_DECIMALS, Unit
from offtool.exchange.readings.words import MISSING

_SIGNS_OF_NUMBERS = {mark: frozenset(f"0123456789+-\n{mark}") for mark in ".,"}
_DIGITS = frozenset("0123456789\n")
_DIGITS_OF_A_COUNT = 9
_LEADING_ZERO = re.compile(r"(?:^|\n)[+-]?0[0-9]")

_TEXT_IN_SHEET = "a number stored as text"
_REMEMBERED = 100_000
"""So many different texts are read once only; sizes of a trial repeat."""

_NO_COUNT = Unread("is no number of a shot or a part", "give the number alone; the readings stand without it")
_NO_UNIT_STATED = Unread(
    "has a unit, and the file states none for its characteristic",
    "state the unit in the heading or in every cell",
)


@dataclass(frozen=True, slots=True)
class Units:
    """The unit of each cell of a column: one for all, or by the description of its row."""

    units: Sequence[Unit | None]
    described: NDArray[np.int32] | None = None

    def at(self, position: int) -> Unit | None:
        return self.units[0 if self.described is None else int(self.described[position])]

    def to_base(self, values: NDArray[np.float64]) -> NDArray[np.float64]:
        """The readings in base units; those in base units already are not touched."""
        factors = np.array([unit.factor if unit else 1.0 for unit in self.units])
        if bool((factors == 1.0).all()):
            return values
        factor = factors[0] if self.described is None else factors[self.described]
        return np.where(factor == 1.0, values, np.round(values * factor, CONVERTED_DECIMALS))


class ValueColumns:
    """Reads the columns of readings of one file; odd cells go into the ledger."""

    def __init__(self, decimal: str, ledger: Ledger, *, from_sheet: bool) -> None:
        self._decimal, self._ledger, self._from_sheet = decimal, ledger, from_sheet
        self._seen: dict[str, Found | Missing | Unread] = {}

    def read(self, piece: Piece, column: int, units: Units) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
        """The readings in base units, NaN where there is none; and where a cell was refused."""
        refused = np.zeros(len(piece.numbers), bool)
        bare = self._all_at_once(piece.columns[column])
        values = self._one_by_one(piece, column, units, refused) if bare is None else units.to_base(bare)
        for position in map(int, np.flatnonzero(np.abs(values) > MAX_SIZE)):
            self._ledger.refuse(piece.row(position), column, piece.text(column, position), TOO_LARGE)
            values[position], refused[position] = np.nan, True
        return values, refused

    def _all_at_once(self, cells: Sequence[Cell]) -> NDArray[np.float64] | None:
        """All readings of a column, or None when a cell is anything but a bare number."""
        if set(map(type, cells)) == {float}:
            values = np.array(cells, float)
            return values if bool(np.isfinite(values).all()) else None
        if self._from_sheet or not all(cells):
            return None
        joined = "\n".join(cells)  # type: ignore[arg-type]  # cells of a text file are text
        if not _SIGNS_OF_NUMBERS[self._decimal].issuperset(joined) or _LEADING_ZERO.search(joined):
            return None
        texts = joined.replace(",", ".").split("\n")
        if len(texts) != len(cells):  # a quoted cell with a line break in it
            return None
        try:
            values = np.fromiter(map(float, texts), float, len(texts))
        except ValueError:
            return None
        return values if bool(np.isfinite(values).all()) else None

    def _one_by_one(
        self, piece: Piece, column: int, units: Units, refused: NDArray[np.bool_]
    ) -> NDArray[np.float64]:
        values = np.full(len(piece.numbers), np.nan)
        in_own_unit: dict[int, float] = {}
        for position, cell in enumerate(piece.columns[column]):
            found = self._found(cell)
            if isinstance(found, Found) and found.unit:
                found = _in_unit(found, found.unit, units.at(position))
            if isinstance(found, Unread):
                self._ledger.refuse(piece.row(position), column, piece.text(column, position), found)
                refused[position] = True
            elif isinstance(found, Found):
                values[position] = found.value
                if found.unit:
                    in_own_unit[position] = round(found.value * found.unit.factor, CONVERTED_DECIMALS)
                if found.why:
                    read_as = f"{found.value:.10g}" + (f" {found.unit.shown}" if found.unit else "")
                    self._ledger.repair(
                        piece.row(position), column, piece.text(column, position), read_as, found.why
                    )
        values = units.to_base(values)
        values[list(in_own_unit)] = list(in_own_unit.values())
        return values

    def _found(self, cell: Cell) -> Found | Missing | Unread:
        if isinstance(cell, str):
            return self._found_in_text(cell)
        if isinstance(cell, int | float):
            return Found(float(cell)) if isfinite(cell) else NOT_FINITE
        return cell.refusal if isinstance(cell, SpoiledCell) else A_DATE

    def _found_in_text(self, text: str) -> Found | Missing | Unread:
        found = self._seen.get(text)
        if found is None:
            found = read_value(text, self._decimal)
            if self._from_sheet and isinstance(found, Found):
                found = replace(found, why=f"{_TEXT_IN_SHEET}, {found.why}" if found.why else _TEXT_IN_SHEET)
            if len(self._seen) >= _REMEMBERED:
                self._seen.clear()
            self._seen[text] = found
        return found


def _in_unit(found: Found, written: Unit, unit: Unit | None) -> Found | Unread:
    """A reading with a unit of its own, if that fits the unit of its characteristic."""
    if unit is None:
        return _NO_UNIT_STATED
    if unit.base != written.base:
        return Unread(
            f"is in {written.shown}, its characteristic in {unit.shown}", "check the cell and its unit"
        )
    return found


def read_counts(piece: Piece, column: int, ledger: Ledger) -> NDArray[np.int64]:
    """A column of shot or part numbers; -1 where none is recorded."""
    cells = piece.columns[column]
    if set(map(type, cells)) == {str} and all(cells):
        texts: list[str] = list(map(str, cells))
        if _DIGITS.issuperset("\n".join(texts)) and max(map(len, texts)) <= _DIGITS_OF_A_COUNT:
            return np.fromiter(map(int, texts), np.int64, len(texts))
    count_of = {cell: _count(cell) for cell in set(cells)}
    if None in count_of.values():
        for position, cell in enumerate(cells):
            if count_of[cell] is None:
                ledger.refuse(piece.row(position), column, piece.text(column, position), _NO_COUNT)
    return np.fromiter((-1 if (count := count_of[cell]) is None else count for cell in cells), np.int64)


def _count(cell: Cell) -> int | None:
    """The number in a cell, -1 for an empty one, None when it is none."""
    text = cell_text(cell)
    if plain(text).casefold() in MISSING:
        return -1
    count = None if isinstance(cell, SpoiledCell) else read_count(text)
    return count if count is not None and count <= MAX_COUNT else None

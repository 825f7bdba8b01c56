"""Rows among the readings that are none: blank rows, headings again, statistics, rows out of step."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import compress

import numpy as np
from numpy.typing import NDArray

from offtool.exchange.readings.attributes import SPECIFYING
from offtool.exchange.readings.grid import Block, Cell, Row, cell_text
from offtool.exchange.readings.headings import read_heading
from offtool.exchange.readings.ledger import Ledger, quote, rows_named
from offtool.exchange.readings.numbers import Unread
from offtool.exchange.readings.plan import Plan, kind_of
from offtool.exchange.readings.table import FileRefused, Layout
from offtool.exchange.readings.words import Role

_STATISTICS = {Role.STATISTIC, Role.MAXIMUM, Role.MINIMUM}

_HEADING = {Role.CHARACTERISTIC, Role.NUMBER, Role.CAVITY, Role.SHOT, Role.PART, Role.VALUE}
"""Words that a row of readings never holds in its labels, unless it is the headings of another table."""

_OUT_OF_STEP = Unread(
    "stands beyond the last heading: is a separator or a decimal comma inside a value of this row?",
    "put such values in quotation marks, or separate the columns by ; or tab; the row is left out",
)


@dataclass(frozen=True, slots=True)
class Piece:
    """Rows of readings, turned into columns of equal length, and the number of each row, from 0."""

    columns: list[tuple[Cell, ...]]
    numbers: NDArray[np.int32]

    def row(self, position: int) -> int:
        return int(self.numbers[position])

    def text(self, column: int, position: int) -> str:
        return cell_text(self.columns[column][position])

    def where(self, alive: NDArray[np.bool_]) -> Piece:
        """Only the rows that hold readings: what stands elsewhere is no place."""
        if bool(alive.all()):
            return self
        kept = [tuple(compress(cells, alive)) for cells in self.columns]
        return Piece(kept, self.numbers[alive])


class RowSorter:
    """Keeps the rows of readings, cut or filled to the width of the headings."""

    def __init__(self, plan: Plan, head: Sequence[Row], ledger: Ledger, where: str) -> None:
        self._plan, self._ledger, self._where = plan, ledger, where
        self._consumed = set(plan.attributes.values())
        heading_rows = [head[row] for row in (*plan.heading_rows, *sorted(self._consumed))]
        self._headings = [
            {i: cell for i, cell in enumerate(row) if cell_text(cell).strip()} for row in heading_rows
        ]
        silent = {value.column for value in plan.values}
        silent |= {plan.columns[role] for role in (*SPECIFYING, Role.UNIT) if role in plan.columns}
        self._watched = sorted(set(range(plan.width)) - silent | {0})
        self._statistics: dict[int, str] = {}
        self._repeated: set[int] = set()
        self._late: dict[int, str] = {}
        self._empty: set[int] = set()

    def sort(self, block: Block) -> Piece | None:
        """The rows of readings of a block; None when it has none."""
        width = self._plan.width
        rows = block.rows
        uneven = set(map(len, rows)) != {width}
        out = self._out_of_step(block) if uneven else set()
        out |= self._headings_again(block)
        out |= {row - block.first for row in self._consumed if 0 <= row - block.first < len(rows)}
        if uneven:
            rows = [row[:width] if len(row) >= width else [*row, *[""] * (width - len(row))] for row in rows]
        out |= self._labelled(rows, block.first, out)
        numbers = np.arange(block.first, block.first + len(rows), dtype=np.int32)
        if out:
            kept = [position for position in range(len(rows)) if position not in out]
            rows, numbers = [rows[position] for position in kept], numbers[kept]
        return Piece(list(zip(*rows, strict=True)), numbers) if rows else None

    def found_empty(self, rows: Iterable[int]) -> None:
        """Rows that name something and hold no reading."""
        self._empty.update(rows)

    def say(self) -> None:
        """Note what was left out, and why."""
        if self._statistics:
            names = ", ".join(dict.fromkeys(map(quote, self._statistics.values())))
            self._ledger.note(f"Statistics are left out: {rows_named(self._statistics)} ({names}).")
        if self._repeated:
            self._ledger.note(f"Headings that are repeated are left out: {rows_named(self._repeated)}.")
        if self._late:
            names = ", ".join(dict.fromkeys(map(quote, self._late.values())))
            self._ledger.note(
                f"Limits and units below the readings are left out: {rows_named(self._late)} ({names})."
            )
        if self._empty:
            self._ledger.note(f"Without a reading, left out: {rows_named(self._empty)}.")

    def _out_of_step(self, block: Block) -> set[int]:
        """Rows with cells beyond the last heading: what stands where in them is not known."""
        width, out = self._plan.width, set()
        for position, row in enumerate(block.rows):
            beyond = next((i for i in range(width, len(row)) if cell_text(row[i]).strip()), None)
            if beyond is not None and not self._is_heading(row):
                self._ledger.refuse(block.first + position, beyond, cell_text(row[beyond]), _OUT_OF_STEP)
                out.add(position)
        return out

    def _headings_again(self, block: Block) -> set[int]:
        again: set[int] = set()
        for heading in self._headings:
            column, cell = next(iter(heading.items()))
            for position, row in enumerate(block.rows):
                if len(row) > column and row[column] == cell and _same(heading, row):
                    again.add(position)
        self._repeated |= {block.first + position for position in again} - self._consumed
        return again

    def _is_heading(self, row: Row) -> bool:
        return any(_same(heading, row) for heading in self._headings)

    def _labelled(self, rows: list[Row], first: int, out: set[int]) -> set[int]:
        """Rows whose label says that they are statistics, limits or the headings of another table."""
        found: set[int] = set()
        for column in self._watched:
            odd = {cell: role for cell in {row[column] for row in rows} if (role := _odd_role(cell))}
            if odd:
                for position, row in enumerate(rows):
                    if row[column] in odd and position not in out and position not in found:
                        found |= self._judge(odd[row[column]], row, column, first, position)
        return found

    def _judge(self, role: Role, row: Row, column: int, first: int, position: int) -> set[int]:
        text = cell_text(row[column])
        number = self._plan.columns.get(Role.NUMBER)
        names_one = number is not None and number != column and cell_text(row[number]).strip() != ""
        if role in _STATISTICS and not names_one:
            self._statistics[first + position] = text
            return {position}
        if self._plan.layout is Layout.WIDE and (role in SPECIFYING or role is Role.UNIT):
            self._late[first + position] = text
            return {position}
        roles = {read_heading(cell_text(cell)).role for cell in row} & _HEADING
        heads_its_column = role in _HEADING and role is self._plan.headings[column].role
        has_numbers = any(kind_of(row[value.column]) == "number" for value in self._plan.values)
        if len(roles) > 1 or (heads_its_column and not has_numbers):
            raise FileRefused(
                f"another table begins in row {first + position + 1} ({quote(text)})",
                where=self._where,
                remedy="put each table in a file or on a sheet of its own",
            )
        return set()


def _odd_role(cell: Cell) -> Role | None:
    """The role a label names, where a row of readings has none; labels that start with a digit are quick."""
    return read_heading(cell).role if isinstance(cell, str) and cell and not cell[0].isdigit() else None


def _same(heading: dict[int, Cell], row: Row) -> bool:
    if any(column >= len(row) or row[column] != cell for column, cell in heading.items()):
        return False
    return sum(bool(cell_text(cell).strip()) for cell in row) == len(heading)

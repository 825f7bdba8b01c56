"""Through the rows of a table once: each cell is read by its heading, what is odd goes into the ledger."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from typing import TypeVar

from offtool.core.values import Caution
from offtool.exchange.headed_tables.cells import (
    Quantity,
    given_in,
    in_unit,
    read_name,
    read_quantity,
    read_whole,
    read_word,
)
from offtool.exchange.headed_tables.fields import Sort, Told
from offtool.exchange.headed_tables.odd_values import ValueRead, far_above_the_next, far_from_median
from offtool.exchange.headed_tables.opening import OpenedTable
from offtool.exchange.headed_tables.table import FileTable
from offtool.exchange.headed_tables.units import find_unit, fits
from offtool.exchange.readings import FileRefused
from offtool.exchange.readings.cells import Missing
from offtool.exchange.readings.grid import Cell, blocks, cell_text
from offtool.exchange.readings.ledger import Ledger, quote, rows_named
from offtool.exchange.readings.numbers import Unread
from offtool.exchange.readings.rows import Piece, RowSorter
from offtool.exchange.readings.units import Unit

T = TypeVar("T")

MAX_ROWS = 20_000
"""A test of joints or a weld study has some hundred rows (common practice, no source)."""

_MOST_KNOWN = 15
"""Words that a refused heading names; no table has many more."""


@dataclass(frozen=True, slots=True)
class TableRow:
    """One row of a file; `number` counts from 0."""

    piece: Piece
    position: int

    @property
    def number(self) -> int:
        return self.piece.row(self.position)

    def cell(self, told: Told) -> Cell:
        return self.piece.columns[told.column][self.position]

    def text(self, told: Told) -> str:
        return self.piece.text(told.column, self.position)

    @property
    def is_empty(self) -> bool:
        return not any(cell_text(column[self.position]).strip() for column in self.piece.columns)


class _Rows(RowSorter):
    """The rows below the headings. Only the columns named are looked through for words of statistics: an
    operator may be called Max."""

    def __init__(self, opened: OpenedTable, ledger: Ledger, watched: Collection[int]) -> None:
        super().__init__(opened.plan.rows, opened.head, ledger, opened.grid.where)
        self._watched = sorted(watched)


class TableWalk:
    """Reads an opened table; values under a wrong unit, or under none where one must be, are refused."""

    def __init__(self, opened: OpenedTable) -> None:
        self.opened = opened
        self.ledger = Ledger(opened.grid.where)
        self.cautions: list[Caution] = []
        self._say_what_was_understood()
        self.told = tuple(self._kept())
        self._read: dict[tuple[int, str], tuple[Told, list[ValueRead]]] = {}
        self._units: dict[tuple[int, str], Unit] = {}
        self._unit_column = self.column("unit")

    def column(self, name: str) -> Told | None:
        """The column of a field; None where the table has none."""
        return next((one for one in self.told if one.field.name == name), None)

    def column_from_one(self, name: str) -> int | None:
        """Where the column of a field stands, from 1 as a spreadsheet counts."""
        told = self.column(name)
        return None if told is None else told.column + 1

    def refuse_heading(self, told: Told, why: str, remedy: str) -> None:
        """Leave a column out by name."""
        self.ledger.refuse(self.opened.plan.heading_row, told.column, told.text, Unread(why, remedy))

    def _kept(self) -> Iterator[Told]:
        """The columns that can be read: of one field once, in a unit that fits."""
        unit_beside = any(one.field.name == "unit" for one in self.opened.plan.told)
        seen: dict[tuple[str, tuple[str, ...], int | None], int] = {}
        for one in self.opened.plan.told:
            first = seen.setdefault((one.field.name, one.said, one.number), one.column)
            if first != one.column:
                self.refuse_heading(
                    one,
                    f"says the same as column {first + 1}",
                    "number the two, such as 1 and 2, or delete one",
                )
            elif self._unit_fits(one, unit_beside=unit_beside):
                yield one

    def _unit_fits(self, told: Told, *, unit_beside: bool) -> bool:
        field = told.field
        if field.sort is not Sort.NUMBER:
            return True
        if told.unit is not None and not fits(told.unit, field.unit):
            self.refuse_heading(
                told,
                f"is in {told.unit.shown}: {given_in(field)}; the column is left out",
                "check heading and unit",
            )
            return False
        if field.unit and told.unit is None and field.unit_may_be_missing and not unit_beside:
            self.ledger.note(
                f"Column {told.column + 1}, {told.text!r}, states no unit: taken as {field.unit}."
            )
        return True

    def _say_what_was_understood(self) -> None:
        plan = self.opened.plan
        above = (
            f" What stands above row {plan.heading_row + 1} is taken for a title." if plan.heading_row else ""
        )
        self.ledger.note(f"Headings in {rows_named(plan.rows.heading_rows)}.{above}", *self.opened.notes)
        if plan.ignored:
            self.ledger.note(f"Columns that are not read: {', '.join(map(quote, plan.ignored))}.")
        for column in plan.unknown:
            headings = plan.rows.headings
            text = headings[column].text if column < len(headings) else ""
            self.ledger.refuse(plan.heading_row, column, text, self._not_known())

    def _not_known(self) -> Unread:
        """A heading that is not known, with the words that are and that no other column has."""
        words = ", ".join(self.opened.not_told[:_MOST_KNOWN])
        known = f" ({words})" if words else ""
        return Unread(
            "heads a column of numbers and is not known; the column is left out",
            f"head it in one of the known words that are left{known}, or delete the column",
        )

    def rows(self) -> Iterator[TableRow]:
        """The rows that hold anything, without repeated headings and statistics."""
        plan = self.opened.plan.rows
        names = self.column("piece")
        sorter = _Rows(self.opened, self.ledger, {0 if names is None else names.column})
        count = 0
        for block in blocks(self.opened.grid, start=plan.first_data_row, width=plan.width):
            piece = sorter.sort(block)
            found = [TableRow(piece, position) for position in range(len(piece.numbers))] if piece else []
            filled = [row for row in found if not row.is_empty]
            count += len(filled)
            if count > MAX_ROWS:
                where = self.opened.grid.where
                raise FileRefused(
                    f"more than {MAX_ROWS:,} rows", where=where, remedy="send it in several files"
                )
            yield from filled
        sorter.say()

    def quantity(self, row: TableRow, told: Told) -> Quantity | None:
        """The number in a cell, in the unit of its field; None where there is none, or it is refused."""
        found = self._said(row, told, self.measured(row, told))
        return None if isinstance(found, Unread) else found

    def measured(self, row: TableRow, told: Told) -> Quantity | Unread | None:
        """The number in a cell; None where there is none, Unread where it is to be refused."""
        found = read_quantity(
            row.cell(told), told.field, self.opened.decimal, from_sheet=self.opened.sheet is not None
        )
        if isinstance(found, Missing):
            self.ledger.missing += 1
            return None
        if isinstance(found, Unread):
            return found
        value = self._in_one_unit(found, row, told)
        if isinstance(value, Unread):
            return value
        self._read.setdefault((told.column, told.field.name), (told, []))[1].append(
            ValueRead(row.number + 1, value)
        )
        if found.why:
            shown = f"{found.value:.10g}" + (f" {found.unit.shown}" if found.unit else "")
            self.ledger.repair(row.number, told.column, row.text(told), shown, found.why)
        return Quantity(value, at_least=found.at_least)

    def read_so_far(self, names: Collection[str]) -> Iterator[tuple[Told, list[ValueRead]]]:
        """The values of each column of these fields, in the unit of the field."""
        return (found for (_, name), found in self._read.items() if name in names)

    def far_off(self, names: Collection[str], *, or_else: str = "") -> Iterator[Caution]:
        """Values far from the median of their column: a slip of the unit; `or_else` where they are small."""
        for told, values in self.read_so_far(names):
            yield from far_from_median(told, values, or_else=or_else)

    def alone(self, names: Collection[str]) -> Iterator[Caution]:
        """Values far above all others of their column: a decimal mark that was lost."""
        for told, values in self.read_so_far(names):
            yield from far_above_the_next(told, values)

    def _in_one_unit(self, found: Quantity, row: TableRow, told: Told) -> float | Unread:
        """The value, unless its column is in another unit, or in none where one must be said."""
        unit = told.unit or self._unit_of_row(row)
        if isinstance(unit, Unread):
            return unit
        written = found.unit or unit
        if written is None and not told.field.unit_may_be_missing:
            return Unread(
                f"has no unit: neither its heading nor its row says in what the {told.field.name} is given",
                f"state it in the heading, such as {told.field.name} [{told.field.unit}]",
            )
        if written is not None and fits(written, told.field.unit):
            first = self._units.setdefault((told.column, told.field.name), written)
            if first.shown != written.shown:
                return Unread(
                    f"is in {written.shown}, the first {told.field.name} of its column in {first.shown}",
                    "give a column one unit",
                )
        return in_unit(found, told.field, unit)

    def _unit_of_row(self, row: TableRow) -> Unit | Unread | None:
        told = self._unit_column
        text = row.text(told).strip() if told else ""
        if not text.strip("-–/ "):
            return None
        return find_unit(text) or Unread(
            f"has a unit that is not known, {quote(text)!r}", "write the unit out"
        )

    def whole(self, row: TableRow, name: str) -> int | Unread | None:
        """The whole number of a field; None where there is none, Unread where it was refused."""
        told = self.column(name)
        return None if told is None else self._said(row, told, read_whole(row.cell(told)))

    def name(self, row: TableRow, name: str) -> str | Unread:
        """The name in a field; empty where there is none, Unread where it was refused."""
        told = self.column(name)
        return "" if told is None else self._said(row, told, read_name(row.cell(told)))

    def word(self, row: TableRow, name: str, words: Mapping[str, str]) -> str | Unread:
        """What the word of a field means; empty where there is none, Unread where it was refused."""
        told = self.column(name)
        return "" if told is None else self._said(row, told, read_word(row.cell(told), words, name))

    def _said(self, row: TableRow, told: Told, found: T) -> T:
        if isinstance(found, Unread):
            self.refuse(row, told, found)
        return found

    def refuse(self, row: TableRow, told: Told, refusal: Unread) -> None:
        """Refuse one cell."""
        self.ledger.refuse(row.number, told.column, row.text(told), refusal)

    def about_the_file(self, name: str) -> FileTable:
        """How the file is written, and what was odd in it. Call it when all rows are read."""
        opened, ledger = self.opened, self.ledger
        return FileTable(
            name=name,
            sheet=opened.sheet,
            encoding=opened.encoding,
            delimiter=opened.separator,
            decimal=opened.decimal,
            repairs=ledger.repairs(),
            refused=ledger.refused(),
            missing=ledger.missing,
            notes=ledger.notes(),
            cautions=tuple(self.cautions),
        )

    def nothing_read(self, thing: str) -> FileRefused:
        """The refusal of a file that gives no value."""
        first = "; ".join(map(str, self.ledger.refused()[:3]))
        return FileRefused(
            f"holds no {thing} that can be read" + (f": {first}" if first else ""),
            where=self.opened.grid.where,
            remedy="check headings, units, separator and decimal mark",
        )

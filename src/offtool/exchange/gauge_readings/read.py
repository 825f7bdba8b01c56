"""The file of a gauge study, from its bytes to its readings: the one way in."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from offtool.exchange.gauge_readings.headings import StudyRole
from offtool.exchange.gauge_readings.names import Names
from offtool.exchange.gauge_readings.opening import OpenedStudy, open_study_text, open_study_workbook
from offtool.exchange.gauge_readings.plan import StudyColumn, StudyPlan
from offtool.exchange.gauge_readings.table import StudyLayout, StudyReading, StudyTable, refuse_too_many
from offtool.exchange.readings import FileRefused
from offtool.exchange.readings.columns import Units, ValueColumns, read_counts
from offtool.exchange.readings.grid import blocks, cell_text
from offtool.exchange.readings.ledger import Ledger, quote, rows_named
from offtool.exchange.readings.limits import refuse_beyond
from offtool.exchange.readings.numbers import Unread
from offtool.exchange.readings.rows import Piece, RowSorter
from offtool.exchange.readings.units import Unit, find_unit
from offtool.exchange.readings.unpack import ZIP_SIGNATURE

_UNKNOWN_HEADING = Unread(
    "heads a column of numbers and says neither operator nor repeat; the column is left out",
    "head it by operator and repeat, such as A 1, or delete the column",
)
_FROM_ONE = Unread("is no number of a repeat", "number the repeats from 1; the row is left out")


def read_study(content: bytes, name: str, *, sheet: str | None = None) -> StudyTable:
    """The readings of a gauge study from a file as it came from the gauge room.

    Parameters: ``content``, the bytes of a CSV or XLSX file; ``name``, the file as messages name it;
    ``sheet``, to read another sheet of a workbook than the first that holds a study.

    Returns a StudyTable; cells that cannot be read are listed in ``refused`` and the others stand. Raises
    FileRefused when no study can be made of the file, for any bytes; nothing else is raised.
    """
    refuse_beyond("bytes", len(content), where=name)
    if not content.strip():
        raise FileRefused("is empty", where=name, remedy="send the file again")
    if content.startswith(ZIP_SIGNATURE):
        return _read(open_study_workbook(content, name, sheet), name)
    if sheet is not None:
        raise FileRefused(
            f"is no workbook; it has no sheet {sheet!r}", where=name, remedy="leave the sheet out"
        )
    return _read(open_study_text(content, name), name)


def _read(opened: OpenedStudy, name: str) -> StudyTable:
    ledger = Ledger(opened.grid.where)
    ledger.note(_understood(opened.plan), *opened.plan.notes, *opened.notes)
    for column in opened.plan.rows.unknown:
        heading = opened.plan.rows.headings[column].text
        ledger.refuse(opened.plan.rows.heading_rows[0], column, heading, _UNKNOWN_HEADING)
    unit = opened.plan.unit or _unit_column(opened)
    walk = _Walk(opened, unit, ledger)
    readings = tuple(walk.go())
    if not readings:
        first = "; ".join(map(str, ledger.refused()[:3]))
        what = "holds no reading that can be read" + (f": {first}" if first else "")
        raise FileRefused(what, where=opened.grid.where, remedy="check headings, separator and decimal mark")
    return StudyTable(
        name=name,
        layout=opened.plan.layout,
        sheet=opened.sheet,
        encoding=opened.encoding,
        delimiter=opened.separator,
        decimal=opened.decimal,
        unit=unit.base if unit else None,
        readings=readings,
        repairs=ledger.repairs(),
        refused=ledger.refused(),
        missing=ledger.missing,
        notes=ledger.notes(),
    )


def _understood(plan: StudyPlan) -> str:
    what = {
        StudyLayout.LONG: "a row a reading",
        StudyLayout.WIDE: "a row a part, a column for each operator and repeat",
        StudyLayout.SHEET: "a row for each operator and repeat, a column a part",
    }[plan.layout]
    above = plan.rows.heading_rows[0]
    title = f" What stands above row {above + 1} is taken for a title." if above else ""
    return f"Layout {plan.layout}, {what}: headings in {rows_named(plan.rows.heading_rows)}.{title}"


def _unit_column(opened: OpenedStudy) -> Unit | None:
    """The one unit that a column of units states. Raises FileRefused where it states several."""
    column = opened.plan.columns.get(StudyRole.UNIT)
    if column is None:
        return None
    found = blocks(opened.grid, start=opened.plan.rows.first_data_row, width=opened.plan.rows.width)
    rows = (row for block in found for row in block.rows)
    told = {cell_text(row[column]).strip() for row in rows if column < len(row)} - {""}
    units = {unit for text in told if (unit := find_unit(text))}
    if len(units) > 1:
        raise FileRefused(
            f"states more than one unit: {', '.join(sorted(one.shown for one in units))}",
            where=opened.grid.where,
            remedy="give all readings of a study in one unit",
        )
    return next(iter(units), None)


class _Rows(RowSorter):
    """The rows of readings. An operator may be called Max: that word makes no statistic of their rows."""

    def __init__(self, plan: StudyPlan, opened: OpenedStudy, ledger: Ledger) -> None:
        super().__init__(plan.rows, opened.head, ledger, opened.grid.where)
        operator = plan.columns.get(StudyRole.OPERATOR)
        self._watched = [column for column in self._watched if column != operator]


class _Walk:
    """Through the rows of a file once."""

    def __init__(self, opened: OpenedStudy, unit: Unit | None, ledger: Ledger) -> None:
        self._opened, self._plan, self._ledger = opened, opened.plan, ledger
        self._units = Units([unit])
        self._values = ValueColumns(opened.decimal, ledger, from_sheet=opened.sheet is not None)
        self._parts = self._names(StudyRole.PART)
        self._operators = self._names(StudyRole.OPERATOR)
        self._repeats: dict[tuple[str, str], int] = {}
        self._seen: dict[tuple[str, str, int], int] = {}
        self._count = 0

    def _names(self, role: StudyRole) -> Names | None:
        column = self._plan.columns.get(role)
        return None if column is None else Names(role.value, column, self._ledger)

    def go(self) -> Iterator[StudyReading]:
        """All readings, row by row as in the file."""
        rows = self._plan.rows
        sorter = _Rows(self._plan, self._opened, self._ledger)
        for block in blocks(self._opened.grid, start=rows.first_data_row, width=rows.width):
            piece = sorter.sort(block)
            if piece:
                yield from self._piece(piece)
        sorter.say()
        for names in (self._parts, self._operators):
            if names:
                names.say()

    def _piece(self, piece: Piece) -> Iterator[StudyReading]:
        read = [self._values.read(piece, one.column, self._units) for one in self._plan.values]
        value = np.column_stack([values for values, _ in read])
        refused = np.column_stack([refused for _, refused in read])
        alive: NDArray[np.bool_] = np.asarray((~np.isnan(value)).any(axis=1))
        self._ledger.missing += int((np.isnan(value) & ~refused)[alive | refused.any(axis=1)].sum())
        if not alive.any():
            return
        piece, value = piece.where(alive), value[alive]
        reference, repeat = self._references(piece), self._counted(piece)
        for position in range(len(piece.numbers)):
            part, operator = (
                self._named(self._parts, piece, position),
                self._named(self._operators, piece, position),
            )
            if part is None or operator is None or repeat[position] == 0:
                continue
            for told, one in zip(self._plan.values, value[position].tolist(), strict=True):
                if one != one:
                    continue
                found = self._reading(
                    piece, position, told, (told.part or part, told.operator or operator), one,
                    repeat=told.repeat or max(int(repeat[position]), 0), reference=reference[position],
                )  # fmt: skip
                if found is not None:
                    yield found

    def _named(self, names: Names | None, piece: Piece, position: int) -> str | None:
        return "" if names is None else names.of_row(piece, position)

    def _references(self, piece: Piece) -> list[float | None]:
        column = self._plan.columns.get(StudyRole.REFERENCE)
        if column is None:
            return [None] * len(piece.numbers)
        values, _ = self._values.read(piece, column, self._units)
        return [None if one != one else one for one in values.tolist()]

    def _counted(self, piece: Piece) -> NDArray[np.int64]:
        """The repeat of each row: -1 where the file gives none, 0 where the cell is refused."""
        column = self._plan.columns.get(StudyRole.REPEAT)
        if column is None:
            return np.full(len(piece.numbers), -1, np.int64)
        counts = read_counts(piece, column, self._ledger)
        bad = {one.row - 1 for one in self._ledger.refused() if one.column == column + 1}
        for position in np.flatnonzero(counts == 0).tolist():
            self._ledger.refuse(piece.row(position), column, piece.text(column, position), _FROM_ONE)
        return np.array([0 if piece.row(i) in bad else count for i, count in enumerate(counts.tolist())])

    def _reading(
        self,
        piece: Piece,
        position: int,
        told: StudyColumn,
        whose: tuple[str, str],
        value: float,
        *,
        repeat: int,
        reference: float | None,
    ) -> StudyReading | None:
        row = piece.row(position)
        if not repeat:
            repeat = self._repeats[whose] = self._repeats.get(whose, 0) + 1
        first = self._seen.get((*whose, repeat))
        if first is not None:
            text = piece.text(told.column, position)
            self._ledger.refuse(row, told.column, text, _double(whose, repeat, first))
            return None
        self._seen[(*whose, repeat)] = row
        self._count += 1
        refuse_too_many(self._count, where=self._opened.grid.where)
        return StudyReading(
            part=whose[0], operator=whose[1], repeat=repeat, reference=reference, value=value,
            row=row + 1, column=told.column + 1,
        )  # fmt: skip


def _double(whose: tuple[str, str], repeat: int, first: int) -> Unread:
    part, operator = whose
    by = f" by {quote(operator)}" if operator else ""
    return Unread(
        f"is a second reading of part {quote(part)}{by}, repeat {repeat}: the first is in row {first + 1}",
        "number the repeats, or delete one of the two",
    )

"""The file of a weld study, from its bytes to its runs: the one way in."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial
from typing import Any

from offtool.core.values import Caution
from offtool.exchange.headed_tables import TableRow, TableWalk, Told, open_table
from offtool.exchange.headed_tables.cells import Quantity
from offtool.exchange.headed_tables.opening import OpenedTable
from offtool.exchange.readings.grid import cell_text
from offtool.exchange.readings.numbers import Unread
from offtool.exchange.weld_runs import words
from offtool.exchange.weld_runs.table import WeldRunRead, WeldStudyTable
from offtool.handbook.terms import Appearance, Failure, Ridge

_NUMBERS = {field.name: name for name, field in words.NUMBERS.items()}
_SETTINGS = ("time_s", "pressure_bar", "amplitude_um")
"""What makes a setting of the welder: a run without one of them stands at another."""
_REMEDY = (
    "head the columns piece, weld time [s], pressure [bar], amplitude peak-to-peak [µm], strength [N], "
    "flash [mm] and what else was set and found"
)
_NO_PIECE = Unread("names no piece", "name the piece; the row is left out")
_NOTHING_FOUND = Unread(
    "says neither what was set nor what was found; the row is left out", "fill it in, or delete the row"
)
_STOPPED_AND_FAILED = Unread(
    "says that the pull was stopped, and its row how the seam came apart",
    "write the pull alone if it came apart, or the failure as held",
)
_NOTHING_SAID = Caution(
    "The heading of the amplitude says neither peak-to-peak nor peak: it is taken as peak-to-peak. If it is "
    "the peak amplitude, the true one is twice as large; head it so."
)


def read_weld_study(
    content: bytes,
    name: str,
    *,
    sheet: str | None = None,
    top: Sequence[str] = (),
    bottom: Sequence[str] = (),
) -> WeldStudyTable:
    """The runs of a weld study from a file as it came from the bench.

    Parameters: ``content``, the bytes of a CSV or XLSX file; ``name``, the file as messages name it;
    ``sheet``, to read another sheet of a workbook than the first that holds a study; ``top`` and ``bottom``,
    part codes that head the columns of cavities.

    Returns a WeldStudyTable; cells that cannot be read are listed in its file as refused and the others
    stand. Raises FileRefused when no study can be made of the file, for any bytes; nothing else is raised.
    """
    look = partial(open_table, content, name, sheet=sheet, needed=tuple(_NUMBERS), remedy=_REMEDY)
    opened = look(vocabulary=words.vocabulary(tuple(top), tuple(bottom)))
    if _result_is_failure(opened):
        opened = look(vocabulary=words.vocabulary(tuple(top), tuple(bottom), result_is_failure=True))
    walk = TableWalk(opened)
    runs = tuple(_Study(walk).read())
    if not runs:
        raise walk.nothing_read("run")
    others = [one for one in _NUMBERS if one != words.STRENGTH]
    walk.cautions += [
        *walk.far_off(others),
        *walk.far_off((words.STRENGTH,), or_else="an open seam"),
        *walk.alone((words.STRENGTH,)),
    ]
    return WeldStudyTable(
        file=walk.about_the_file(name),
        runs=runs,
        top_column=walk.column_from_one(words.TOP),
        bottom_column=walk.column_from_one(words.BOTTOM),
    )


def _result_is_failure(opened: OpenedTable) -> bool:
    """Whether a column headed result, in a file that has none of failures, says how seams came apart."""
    plan = opened.plan
    if any(one.field.name == words.FAILURE for one in plan.told):
        return False
    columns = [column for column, head in enumerate(plan.rows.headings) if words.is_result(head.text)]
    return any(
        words.is_failure(cell_text(row[column]))
        for row in opened.head[plan.rows.first_data_row :]
        for column in columns
        if column < len(row)
    )


class _Study:
    """Through the rows of a file once."""

    def __init__(self, walk: TableWalk) -> None:
        self._walk = walk
        self._numbers = [one for one in walk.told if one.field.name in _NUMBERS]
        self._rows = 0
        side = walk.column(words.SOME_CAVITY)
        if side is not None:
            walk.refuse_heading(
                side, "says not of which part the cavity is; the column is left out",
                "head it top cavity or bottom cavity, or by the part, such as HO-02 cavity",
            )  # fmt: skip
        if walk.column(words.PIECE) is None:
            walk.ledger.note("No column names the piece: each row is one, numbered 1, 2, 3 …")
        amplitude = walk.column(words.AMPLITUDE)
        if amplitude is not None and not amplitude.said:
            walk.cautions.append(_NOTHING_SAID)

    def read(self) -> Iterator[WeldRunRead]:
        """All runs, row by row as in the file."""
        for row in self._walk.rows():
            self._rows += 1
            run = self._run(row)
            if run is not None:
                yield run

    def _run(self, row: TableRow) -> WeldRunRead | None:
        """The run of a row; None where a name, a word or a setting of it is refused, or it says nothing."""
        piece, top, bottom = (
            self._piece(row),
            self._walk.name(row, words.TOP),
            self._walk.name(row, words.BOTTOM),
        )
        failure = self._walk.word(row, words.FAILURE, words.FAILURE_WORDS)
        appearance = self._walk.word(row, words.APPEARANCE, words.APPEARANCE_WORDS)
        ridge = self._walk.word(row, words.RIDGE, words.RIDGE_WORDS)
        numbers = self._numbers_of(row)
        for one in (piece, top, bottom, failure, appearance, ridge):
            if isinstance(one, Unread):
                return None
        if any(isinstance(numbers.get(name), Unread) for name in _SETTINGS):
            return None
        if not (numbers or failure or appearance or ridge):
            self._refuse_empty(row, str(piece))
            return None
        read = {name: one for name, one in numbers.items() if isinstance(one, Quantity)}
        if not (read or failure or appearance or ridge):
            return None
        found: dict[str, Any] = {name: one.value for name, one in read.items()}
        how = Failure(str(failure))
        if "strength_n" in read and read["strength_n"].at_least:
            if how in (Failure.TORN, Failure.PEELED):
                self._refuse_strength(row)
                del found["strength_n"]
            else:
                how = Failure.HELD
        return WeldRunRead(
            piece=str(piece), top_cavity=str(top), bottom_cavity=str(bottom), failure=how,
            appearance=Appearance(str(appearance)), ridge=Ridge(str(ridge)), row=row.number + 1, **found,
        )  # fmt: skip

    def _piece(self, row: TableRow) -> str | Unread:
        told = self._walk.column(words.PIECE)
        if told is None:
            return str(self._rows)
        found = self._walk.name(row, words.PIECE)
        if found == "":
            self._walk.refuse(row, told, _NO_PIECE)
            return _NO_PIECE
        return found

    def _numbers_of(self, row: TableRow) -> dict[str, Quantity | Unread]:
        """The numbers of a row that are not blank; Unread for those that were refused."""
        read = {_NUMBERS[told.field.name]: self._number(row, told) for told in self._numbers}
        return {name: one for name, one in read.items() if one is not None}

    def _number(self, row: TableRow, told: Told) -> Quantity | Unread | None:
        found = self._walk.measured(row, told)
        if isinstance(found, Unread):
            is_setting = _NUMBERS[told.field.name] in _SETTINGS
            remedies = (found.remedy, "the row is left out" if is_setting else "")
            self._walk.refuse(row, told, Unread(found.why, "; ".join(filter(None, remedies))))
            return found
        if found is None or words.PEAK not in told.said or told.field.name != words.AMPLITUDE:
            return found
        doubled = Quantity(2 * found.value)
        self._walk.ledger.repair(
            row.number, told.column, row.text(told), f"{doubled.value:.10g} µm peak-to-peak",
            "an amplitude that is headed peak is doubled",
        )  # fmt: skip
        return doubled

    def _refuse_empty(self, row: TableRow, piece: str) -> None:
        told = self._walk.column(words.PIECE)
        column = 0 if told is None else told.column
        self._walk.ledger.refuse(row.number, column, piece, _NOTHING_FOUND)

    def _refuse_strength(self, row: TableRow) -> None:
        told = self._walk.column(words.STRENGTH)
        if told is not None:
            self._walk.refuse(row, told, _STOPPED_AND_FAILED)

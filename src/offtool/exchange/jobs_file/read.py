"""A list of jobs, from its bytes to its rows: the one way in."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Any

from offtool.exchange.day_cells import read_day
from offtool.exchange.headed_tables import TableRow, TableWalk, Told, open_table
from offtool.exchange.jobs_file import words
from offtool.exchange.jobs_file.table import JobLeftOut, JobRowRead, JobsTable
from offtool.exchange.readings.numbers import Unread
from offtool.exchange.spreadsheet import read_safe_cell

_REMEDY = (
    "head the columns job, press, begins, ends, product, resin, colour, may stop, margin per hour and what "
    "else is known; a row a job"
)
_NO_NAME = Unread("names no {thing}", "write it in every row; the row is left out")
_NO_DAY = Unread("gives no first day", "write year-month-day, such as 2026-03-31; the row is left out")
_NEGATIVE = Unread("is below 0", "write 0 or more; the cell is left out")
_LAB = ("lightness", "a", "b")
_NAMES = ("job", "press", "product", "what", "resin", "colour")


def read_jobs(content: bytes, name: str, *, sheet: str | None = None) -> JobsTable:
    """The jobs of a file as planning keeps them.

    Parameters: ``content``, the bytes of a CSV or XLSX file; ``name``, the file as messages name it;
    ``sheet``, to read another sheet of a workbook than the first that holds a list of jobs.

    Returns a JobsTable; cells that cannot be read are listed in its file as refused and the others stand.
    Raises FileRefused when no list of jobs can be made of the file, for any bytes; nothing else is raised.
    """
    needed = tuple(words.FIELDS[one].name for one in ("job", "press", "begins"))
    opened = open_table(
        content, name, sheet=sheet, vocabulary=words.VOCABULARY, needed=needed, remedy=_REMEDY
    )
    walk = TableWalk(opened)
    jobs = _Jobs(walk)
    rows = tuple(jobs.read())
    if not rows:
        raise walk.nothing_read("job")
    known = frozenset(one for one, field in words.FIELDS.items() if walk.column(field.name) is not None)
    return JobsTable(
        file=walk.about_the_file(name),
        rows=rows,
        fields=known,
        left_out=tuple(jobs.left_out),
        currency=words.currency_of(walk.column(words.FIELDS["margin_per_h"].name)),
    )


class _Jobs:
    """Through the rows of a file once."""

    def __init__(self, walk: TableWalk) -> None:
        self._walk = walk
        self.left_out: list[JobLeftOut] = []
        """The rows of which no job could be made, once all are read."""

    def read(self) -> Iterator[JobRowRead]:
        for row in self._walk.rows():
            names = {one: self._name(row, one) for one in _NAMES}
            one = self._row(row, names)
            if one is not None:
                yield one
            else:
                job, press = (said if isinstance(said := names[key], str) else "" for key in ("job", "press"))
                self.left_out.append(JobLeftOut(job=job, press=press, row=row.number + 1))

    def _row(self, row: TableRow, names: dict[str, str | Unread]) -> JobRowRead | None:
        """A job; None where its name, press or first day is missing, or one of its days is refused."""
        for needed in ("job", "press"):
            if names[needed] == "":
                said = Unread(_NO_NAME.why.format(thing=needed), _NO_NAME.remedy)
                self._refuse(row, needed, said)
                return None
        begins, ends = self._day(row, "begins"), self._day(row, "ends")
        if begins is None:
            self._refuse(row, "begins", _NO_DAY)
        if any(isinstance(one, Unread) for one in (*names.values(), begins, ends)) or begins is None:
            return None
        stops = self._walk.word(row, words.FIELDS["may_stop"].name, words.YES_OR_NO)
        told: dict[str, Any] = {**names, **self._lab(row)}
        return JobRowRead(
            **told,
            begins=begins if isinstance(begins, date) else date.min,
            ends=ends if isinstance(ends, date) else None,
            may_stop={"yes": True, "no": False}.get(stops) if isinstance(stops, str) else None,
            margin_per_h=self._number(row, "margin_per_h"),
            restart_min=self._number(row, "restart_min"),
            row=row.number + 1,
        )

    def _lab(self, row: TableRow) -> dict[str, float | None]:
        """A measured colour has all three numbers, or none counts."""
        lab = {one: self._number(row, one, may_be_negative=one != "lightness") for one in _LAB}
        return dict.fromkeys(lab) if None in lab.values() else lab

    def _name(self, row: TableRow, name: str) -> str | Unread:
        found = self._walk.name(row, words.FIELDS[name].name)
        return found if isinstance(found, Unread) else read_safe_cell(found)

    def _day(self, row: TableRow, name: str) -> date | Unread | None:
        told = self._told(name)
        found = None if told is None else read_day(row.cell(told))
        if told is None or found is None:
            return None
        if isinstance(found, Unread):
            refusal = Unread(found.why, f"{found.remedy}; the row is left out")
            self._refuse(row, name, refusal)
            return refusal
        if found.why:
            self._walk.ledger.repair(row.number, told.column, row.text(told), f"{found.day}", found.why)
        return found.day

    def _number(self, row: TableRow, name: str, *, may_be_negative: bool = False) -> float | None:
        told = self._told(name)
        found = self._walk.quantity(row, told) if told is not None else None
        if found is None:
            return None
        if found.value < 0 and not may_be_negative:
            self._refuse(row, name, _NEGATIVE)
            return None
        return found.value

    def _told(self, name: str) -> Told | None:
        return self._walk.column(words.FIELDS[name].name)

    def _refuse(self, row: TableRow, name: str, refusal: Unread) -> None:
        told = self._told(name)
        if told is not None:
            self._walk.refuse(row, told, refusal)

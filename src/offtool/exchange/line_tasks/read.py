"""A table of tasks, from its bytes to its rows: the one way in."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from statistics import fmean, stdev

from offtool.exchange.headed_tables import TableRow, TableWalk, Told, open_table
from offtool.exchange.headed_tables.units import find_unit, number_and_unit
from offtool.exchange.line_tasks import words
from offtool.exchange.line_tasks.names import names_in, station_in
from offtool.exchange.line_tasks.table import LineTaskRead, LineTasksTable
from offtool.exchange.readings.numbers import Unread
from offtool.exchange.readings.units import Unit
from offtool.exchange.readings.words import MISSING
from offtool.exchange.spreadsheet import read_safe_cell

_REMEDY = (
    "head the columns task, time [s], spread [s], readings, after and needs: a row a task; between the names "
    "in a cell stand semicolons"
)
_NO_NAME = Unread("names no task", "write its name; the row is left out")
_NO_STATION = Unread("is no station", "give its number, such as 3; the cell is left out")
_LISTS = ("after", "needs", "together", "apart")
_NAMES = ("title", "part", "joint", "seam")
_STATIONS = ("station", "fixed_station")
FEWEST_READINGS = 2
"""Columns of single times of which a mean and a spread are made."""


def read_line_tasks(
    content: bytes, name: str, *, sheet: str | None = None, unit: str | None = None
) -> LineTasksTable:
    """The tasks of a line from a file.

    Parameters: ``content``, the bytes of a CSV or XLSX file; ``name``, the file as messages name it;
    ``sheet``, to read another sheet of a workbook than the first that holds such a table; ``unit``, s or min:
    in what times are given of which the file does not say so.

    Times of one task in columns numbered 1, 2, 3 are its readings: mean, standard deviation and their number.

    Returns a LineTasksTable; cells that cannot be read are listed in its file as refused, the others stand.
    Raises FileRefused when no tasks can be made of the file, for any bytes; nothing else is raised.
    """
    opened = open_table(
        content,
        name,
        sheet=sheet,
        vocabulary=words.VOCABULARY,
        needed=[words.FIELDS["task"].name],
        remedy=_REMEDY,
    )
    walk = TableWalk(opened)
    tasks = _Tasks(walk, unit)
    rows = tuple(tasks.read())
    if not rows:
        raise walk.nothing_read("task")
    walk.cautions += walk.far_off({words.FIELDS["time_s"].name})
    walk.cautions += walk.alone({words.FIELDS["time_s"].name})
    fields = {one for one, field in words.FIELDS.items() if walk.column(field.name) is not None}
    if len(tasks.single) >= FEWEST_READINGS:
        fields |= {"spread_s", "readings"}
    return LineTasksTable(
        file=walk.about_the_file(name),
        rows=rows,
        fields=frozenset(fields),
        ignored=tuple(opened.plan.ignored),
        unit=tasks.unit_said,
    )


@dataclass(frozen=True, slots=True)
class _Timed:
    """What a row says of the time of its task."""

    time_s: float | None = None
    spread_s: float | None = None
    readings: int | None = None


def _in_unit(told: Told | None, unit: Unit | None) -> Told | None:
    return None if told is None else replace(told, unit=told.unit or unit)


class _Tasks:
    """Through the rows of a file twice: which tasks there are, then what each row says of its own."""

    def __init__(self, walk: TableWalk, unit: str | None) -> None:
        self._walk = walk
        times = [one for one in walk.told if one.field is words.FIELDS["time_s"]]
        numbered = [one for one in times if one.number is not None]
        self.single = numbered if len(numbered) >= FEWEST_READINGS else []
        """Columns of single times."""
        self._time = next((one for one in times if one not in self.single), None)
        self._spread = self._told("spread_s")
        self._asked = find_unit(unit) if unit else None
        self.unit_said = unit or ""

    def read(self) -> Iterator[LineTaskRead]:
        rows = list(self._walk.rows())
        names = {row.number: self._name(row) for row in rows}
        known = [one for one in names.values() if one]
        numbered = self._numbered(rows, names)
        self._settle_unit(rows)
        for row in rows:
            name = names[row.number]
            if not name:
                self._refuse(row, "task", _NO_NAME)
                continue
            yield self._row(row, name, known, numbered)

    def _name(self, row: TableRow) -> str:
        found = self._walk.name(row, words.FIELDS["task"].name)
        return "" if isinstance(found, Unread) else read_safe_cell(found)

    def _numbered(self, rows: Sequence[TableRow], names: dict[int, str]) -> dict[str, str]:
        """The tasks by the number that the table gives them."""
        told = self._told("number")
        if told is None:
            return {}
        return {row.text(told).strip().removesuffix(".0"): names[row.number] for row in rows}

    def _settle_unit(self, rows: Sequence[TableRow]) -> None:
        """Take times without a unit in the one that is asked for; without one they are shown in seconds."""
        columns = [one for one in (self._time, self._spread, *self.single) if one is not None]
        bare = [one for one in columns if one.unit is None]
        if all(self._has_unit(row, told) for told in bare for row in rows):
            self.unit_said = words.FIELDS["time_s"].unit
            return
        unit = self._asked or find_unit(words.FIELDS["time_s"].unit)
        self._time, self._spread = (_in_unit(one, unit) for one in (self._time, self._spread))
        self.single = [replace(one, unit=one.unit or unit) for one in self.single]

    def _has_unit(self, row: TableRow, told: Told) -> bool:
        text = row.text(told).strip()
        return text.casefold() in MISSING or number_and_unit(text)[1] is not None

    def _row(self, row: TableRow, name: str, known: Sequence[str], numbered: dict[str, str]) -> LineTaskRead:
        timed = self._timed(row)
        side = self._walk.word(row, words.FIELDS["side"].name, words.SIDES)
        lists = {one: self._list(row, one, known, numbered) for one in _LISTS}
        stations = {one: self._station(row, one) for one in _STATIONS}
        return LineTaskRead(
            task=name,
            title=self._text(row, "title"),
            time_s=timed.time_s,
            spread_s=timed.spread_s,
            readings=timed.readings,
            after=lists["after"],
            needs=lists["needs"],
            together=lists["together"],
            apart=lists["apart"],
            side=side if isinstance(side, str) else "",
            station=stations["station"],
            fixed_station=stations["fixed_station"],
            part=self._text(row, "part"),
            joint=self._text(row, "joint"),
            seam=self._text(row, "seam"),
            row=row.number + 1,
        )

    def _timed(self, row: TableRow) -> _Timed:
        """Mean, spread and number of the single times; else what the columns say."""
        single = [one.value for told in self.single if (one := self._walk.quantity(row, told)) is not None]
        if single:
            spread = stdev(single) if len(single) > 1 else None
            return _Timed(fmean(single), spread, len(single))
        time = self._walk.quantity(row, self._time) if self._time is not None else None
        spread_read = self._walk.quantity(row, self._spread) if self._spread is not None else None
        readings = self._walk.whole(row, words.FIELDS["readings"].name)
        return _Timed(
            time.value if time is not None else None,
            spread_read.value if spread_read is not None else None,
            readings if isinstance(readings, int) else None,
        )

    def _list(
        self, row: TableRow, name: str, known: Sequence[str], numbered: dict[str, str]
    ) -> tuple[str, ...]:
        told = self._told(name)
        if told is None:
            return ()
        return names_in(row.text(told)) if name == "needs" else names_in(row.text(told), known, numbered)

    def _text(self, row: TableRow, name: str) -> str:
        found = self._walk.name(row, words.FIELDS[name].name)
        return "" if isinstance(found, Unread) else read_safe_cell(found)

    def _station(self, row: TableRow, name: str) -> int | None:
        told = self._told(name)
        if told is None or row.text(told).strip().casefold() in MISSING:
            return None
        found = station_in(row.text(told))
        if found is None:
            self._walk.refuse(row, told, _NO_STATION)
        return found

    def _told(self, name: str) -> Told | None:
        return self._walk.column(words.FIELDS[name].name)

    def _refuse(self, row: TableRow, name: str, refusal: Unread) -> None:
        told = self._told(name)
        if told is not None:
            self._walk.refuse(row, told, refusal)

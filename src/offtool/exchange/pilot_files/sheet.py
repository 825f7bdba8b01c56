"""Through the rows of a pilot's sheet once: the station filled down, the hour counted from the first."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import TypeVar

from offtool.core.values import Caution
from offtool.exchange.headed_tables import TableRow, TableWalk, Told, Vocabulary, open_table
from offtool.exchange.pilot_files import words
from offtool.exchange.pilot_files.hours import ClockTime, HourRead, first_of_shift, read_hour
from offtool.exchange.readings.numbers import Unread
from offtool.exchange.readings.text import heading_key

Row = TypeVar("Row")

NO_STATION = Unread("names no station", "name the station; the row is left out")
MIXED = Unread("is a time, where other rows count the hours", "write all hours one way; the row is left out")
_FILLED_DOWN = "an empty cell stands for the station above it"


class Sheet:
    """A sheet of a pilot that is opened, with what its rows have in common."""

    def __init__(
        self, content: bytes, name: str, *, sheet: str | None, begins: ClockTime | None,
        vocabulary: Vocabulary, needed: Sequence[str], remedy: str,
    ) -> None:  # fmt: skip
        self._name, self._begins = name, begins
        self.walk = TableWalk(
            open_table(content, name, sheet=sheet, vocabulary=vocabulary, needed=needed, remedy=remedy)
        )
        self._above = ""
        self.named: list[tuple[int, str]] = []
        """Each row, from 1, with the station that it names, those that are refused later too."""
        self._hours: dict[int, int | ClockTime] = {}

    def column(self, name: str) -> Told | None:
        """The column of a field."""
        return self.walk.column(name)

    def place(self, *names: str) -> int:
        """The first of these columns that there is, from 1; 1 where there is none."""
        found = (self.walk.column_from_one(name) for name in names)
        return next((one for one in found if one is not None), 1)

    def rows(self) -> Iterator[tuple[TableRow, str]]:
        """Each row with its station; rows without one are refused, totals passed over."""
        told = self.column(words.STATION)
        for row in self.walk.rows():
            station = self.walk.name(row, words.STATION)
            if told is None or isinstance(station, Unread):
                continue
            if heading_key(station) in words.TOTALS:
                self._pass_over(row, station)
                self._above = ""
                continue
            if (hour := self._hour_text(row)) and heading_key(hour) in words.TOTALS:
                self._pass_over(row, hour)
                continue
            if not station and self._above:
                self.walk.ledger.repair(row.number, told.column, "", self._above, _FILLED_DOWN)
            if not station and not self._above:
                self.walk.refuse(row, told, NO_STATION)
                continue
            self._above = station or self._above
            self.named.append((row.number + 1, self._above))
            yield row, self._above

    def _hour_text(self, row: TableRow) -> str:
        told = self.column(words.HOUR)
        return row.text(told).strip() if told is not None else ""

    def _pass_over(self, row: TableRow, named: str) -> None:
        self.walk.ledger.note(f"Row {row.number + 1}, {named!r}, adds up others: it is passed over.")

    def hour(self, row: TableRow) -> bool:
        """Whether the hour of a row can be read; it is kept until all are known."""
        told = self.column(words.HOUR)
        if told is None:
            return True
        found: HourRead = read_hour(row.cell(told))
        if isinstance(found, Unread):
            self.walk.refuse(row, told, found)
            return False
        if found is not None and self._is_other_way(found):
            self.walk.refuse(row, told, MIXED)
            return False
        if found is not None:
            self._hours[row.number] = found
        return True

    def _is_other_way(self, found: int | ClockTime) -> bool:
        """Whether the first hour of the file was written the other way, as a number or on the clock."""
        first = next(iter(self._hours.values()), found)
        return isinstance(first, ClockTime) != isinstance(found, ClockTime)

    def numbered(self) -> Callable[[int], int | None]:
        """For a row, counted from 1, the hour of the pilot. Ask when all rows are read."""
        clocks = [one for one in self._hours.values() if isinstance(one, ClockTime)]
        begins = self._begins
        if clocks and begins is None:
            begins = first_of_shift(clocks)
            self.walk.ledger.note(
                f"The hours are times on the clock: hour 1 is taken to begin at {begins}, the earliest of "
                "this file. If the pilot began earlier, say when."
            )
        numbers = [one for one in self._hours.values() if isinstance(one, int)]
        if numbers and min(numbers) > 1:
            self.walk.cautions.append(
                Caution(
                    f"The first hour is {min(numbers)}: if hours are times on the clock, write 8:00, not 8."
                )
            )
        start = begins

        def of(row: int) -> int | None:
            found = self._hours.get(row - 1)
            return (
                found.hour_of(start)
                if isinstance(found, ClockTime) and start is not None
                else (found if isinstance(found, int) else None)
            )

        return of

    def missing(self, names: Sequence[str]) -> str:
        """Which of these columns there are not, in words."""
        return " and ".join(name for name in names if self.column(name) is None)

"""The book of what was repaired, refused and noted while a file was read."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from offtool.exchange.readings.limits import MAX_REFUSED_CELLS
from offtool.exchange.readings.numbers import Unread
from offtool.exchange.readings.table import FileRefused, RefusedCell, Repair
from offtool.exchange.readings.text import one_line

LISTED_REPAIRS = 100
"""More repairs of one kind are a habit of the file: one note says it, instead of a list nobody reads."""

_LISTED_ROWS = 5
_QUOTED = 60


@dataclass(slots=True)
class _Habit:
    """All repairs of one kind; the first ones are kept to be listed."""

    count: int = 0
    first: list[Repair] = field(default_factory=list)
    last: tuple[int, int] = (0, 0)


class Ledger:
    """Rows and columns come in counted from 0 and go out counted from 1."""

    def __init__(self, where: str) -> None:
        self._where = where
        self._habits: dict[str, _Habit] = {}
        self._refused: list[RefusedCell] = []
        self._notes: list[str] = []
        self.missing = 0

    def repair(self, row: int, column: int, found: str, read_as: str, why: str) -> None:
        habit = self._habits.setdefault(why, _Habit())
        habit.count += 1
        habit.last = (row + 1, column + 1)
        if habit.count <= LISTED_REPAIRS:
            habit.first.append(Repair(row + 1, column + 1, quote(found), read_as, why))

    def refuse(self, row: int, column: int, found: str, refusal: Unread) -> None:
        """Refuse one cell; the file is refused when there are too many of them."""
        self._refused.append(RefusedCell(row + 1, column + 1, quote(found), refusal.why, refusal.remedy))
        if len(self._refused) > MAX_REFUSED_CELLS:
            raise FileRefused(
                f"more than {MAX_REFUSED_CELLS:,} cells cannot be read, the first in {self._refused[0]}",
                where=self._where,
                remedy="check layout, separator and decimal mark",
            )

    def note(self, *sentences: str) -> None:
        self._notes += sentences

    def refused(self) -> tuple[RefusedCell, ...]:
        return tuple(sorted(self._refused, key=lambda cell: (cell.row, cell.column)))

    def repairs(self) -> tuple[Repair, ...]:
        listed = (
            repair
            for habit in self._habits.values()
            if habit.count <= LISTED_REPAIRS
            for repair in habit.first
        )
        return tuple(sorted(listed, key=lambda repair: (repair.row, repair.column)))

    def notes(self) -> tuple[str, ...]:
        habits = ((why, habit) for why, habit in self._habits.items() if habit.count > LISTED_REPAIRS)
        return (*self._notes, *(_habit_note(why, habit) for why, habit in habits))


def _habit_note(why: str, habit: _Habit) -> str:
    first = habit.first[0]
    return (
        f"{habit.count:,} cells, from row {first.row}, column {first.column} to row {habit.last[0]}, column"
        f" {habit.last[1]}: {why}; {first.found!r} is read as {first.read_as}."
    )


def quote(text: str) -> str:
    """The text of a cell, on one line and short enough for a message."""
    shown = one_line(text)
    return shown if len(shown) <= _QUOTED else f"{shown[: _QUOTED - 1]}…"


def rows_named(rows: Iterable[int]) -> str:
    """Rows for a sentence, counted from 1: "row 4", "rows 4, 9 and 12", "rows 4, 5, 6, 7, 8 and 20 more"."""
    numbers = [str(row + 1) for row in sorted(rows)]
    if len(numbers) == 1:
        return f"row {numbers[0]}"
    if len(numbers) <= _LISTED_ROWS + 1:
        return f"rows {', '.join(numbers[:-1])} and {numbers[-1]}"
    return f"rows {', '.join(numbers[:_LISTED_ROWS])} and {len(numbers) - _LISTED_ROWS:,} more"

"""The hour of a pilot in a cell: its number, or the time on the clock at which it began."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from offtool.exchange.readings.grid import Cell, SpoiledCell, cell_text
from offtool.exchange.readings.numbers import Unread
from offtool.exchange.readings.text import one_line, plain
from offtool.exchange.readings.words import MISSING

A_DAY, NOON = 24.0, 12
MOST_HOURS = 200
"""A pilot is a shift or a few of them."""

NO_HOUR = Unread(
    "is no hour",
    "count the hours of the pilot, 1, 2, 3 …, or write the time, such as 8:00; the row is left out",
)
_NUMBERED = re.compile(
    r"(?:hour|h|std|stunde|第)?\.?\s*([0-9]{1,3})(?:[.,]0+)?\s*(?:\.|st|nd|rd|th)?\s*(?:hour|h|std|stunde|小时)?\.?",
    re.IGNORECASE,
)
_CLOCK = re.compile(
    r"([01]?[0-9]|2[0-4])[:.h点]([0-5][0-9])?(?::[0-5][0-9])?\s*(am|pm|uhr|h)?"
    r"(?:\s*(?:-|–|to|bis|至)\s*.*)?",
    re.IGNORECASE,
)
_FROM_TO = re.compile(
    r"([01]?[0-9]|2[0-3])\s*(am|pm|uhr)?\s*(?:-|–|to|bis|至)\s*([01]?[0-9]|2[0-4])\s*(am|pm|uhr)?",
    re.IGNORECASE,
)
_WHOLE_CLOCK = re.compile(r"([01]?[0-9]|2[0-4])\s*(am|pm|uhr|o'?clock|点)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class ClockTime:
    """A time of day, in hours from midnight."""

    hour: float

    def __str__(self) -> str:
        minutes = round(60 * self.hour)
        return f"{minutes // 60 % 24}:{minutes % 60:02d}"

    def hour_of(self, begins: ClockTime) -> int:
        """In which hour of a pilot that begins then; one that runs past midnight goes on."""
        since = self.hour - begins.hour
        return int(since % A_DAY + 1e-9) + 1


def first_of_shift(times: Sequence[ClockTime]) -> ClockTime:
    """The time before which the clock stood longest without a count: 22:00 of 22:00, 23:00, 0:00 and 1:00."""
    hours = sorted({one.hour for one in times})
    before = [hours[-1] - A_DAY, *hours[:-1]]
    return ClockTime(max(zip(hours, before, strict=True), key=lambda pair: pair[0] - pair[1])[0])


HourRead = int | ClockTime | Unread | None


def read_hour(cell: Cell) -> HourRead:
    """The hour in a cell; None for an empty one."""
    if isinstance(cell, SpoiledCell):
        return cell.refusal
    if isinstance(cell, datetime | time):
        return ClockTime(cell.hour + cell.minute / 60)
    if isinstance(cell, timedelta):
        return ClockTime(cell.total_seconds() / 3600)
    if isinstance(cell, date):
        return NO_HOUR
    if isinstance(cell, float) and 0 < cell < 1:
        return ClockTime(A_DAY * cell)  # how a sheet keeps a time of day
    text = one_line(plain(cell_text(cell)))
    return None if text.casefold() in MISSING else hour_in_text(text)


def hour_in_text(text: str) -> int | ClockTime | Unread:
    """The hour in words: 3, hour 3, 3rd hour; 8:00, 8:00 to 9:00, 8-9, 1 pm."""
    found = _NUMBERED.fullmatch(text)
    if found is not None:
        number = int(found[1])
        return number if 1 <= number <= MOST_HOURS else NO_HOUR
    for pattern, half in ((_CLOCK, 3), (_FROM_TO, 2), (_WHOLE_CLOCK, 2)):
        clock = pattern.fullmatch(text)
        if clock is not None:
            minutes = int(clock[2] or 0) if pattern is _CLOCK else 0
            said = clock[half] or (_of_both(clock) if pattern is _FROM_TO else None)
            return ClockTime(_of_day(int(clock[1]), said) + minutes / 60)
    return NO_HOUR


def _of_both(clock: re.Match[str]) -> str | None:
    """The half of the day that 1-2 pm says for both; 11-1 pm says it of the end alone."""
    return clock[4] if int(clock[1]) < int(clock[3]) < NOON else None


def _of_day(hour: int, half: str | None) -> int:
    half = (half or "").casefold()
    if half == "pm" and hour < 12:
        return hour + 12
    return 0 if half == "am" and hour == 12 else hour

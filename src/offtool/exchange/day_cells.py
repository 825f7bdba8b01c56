"""The day in a cell or in typed words, in the forms in which shops write days."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from datetime import date, datetime, time

from offtool.exchange.readings.grid import Cell, SpoiledCell, cell_text
from offtool.exchange.readings.numbers import Unread
from offtool.exchange.readings.text import plain
from offtool.exchange.readings.words import MISSING

TIME_LEFT_OUT = "the time is left out: the record keeps days"
CENTURY = "a year of two digits is taken as 20.."

_HOW = "write year-month-day, such as 2026-03-31"
NO_DAY = Unread("is no day", _HOW)
_TIME = re.compile(
    r"(?P<day>.*?\S)(?:T|,?\s+)(?P<hour>\d{1,2}):(?P<minute>\d\d)(?::(?P<second>\d\d)(?:\.\d+)?)?Z?"
)
_YEAR_FIRST = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})|(\d{4})年(\d{1,2})月(\d{1,2})日")
_DOTTED = re.compile(r"(\d{1,2})\.\s?(\d{1,2})\.\s?(\d{4}|\d\d)")
_SLASHED = re.compile(r"(\d{1,2})[/-](\d{1,2})[/-](\d{4}|\d\d)")
_NAMED = re.compile(r"(\d{1,2})[. -]*\s*([^\W\d_]{3,9})[. -]*\s*(\d{4}|\d\d)")
_MONTHS = (
    *("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"),
    *("jan", "feb", "mär", "apr", "mai", "jun", "jul", "aug", "sep", "okt", "nov", "dez"),
)
"""The first letters of months, in English and in German."""


@dataclass(frozen=True, slots=True)
class DayRead:
    """A day; `why` says what was left out or supposed, empty where nothing was."""

    day: date
    why: str = ""


def read_day(cell: Cell) -> DayRead | Unread | None:
    """The day in a cell of a file; None for an empty cell."""
    if isinstance(cell, SpoiledCell):
        return cell.refusal
    if isinstance(cell, datetime):
        return DayRead(cell.date(), TIME_LEFT_OUT if cell.time() != time() else "")
    if isinstance(cell, date):
        return DayRead(cell)
    text = plain(cell_text(cell))
    return None if text.casefold() in MISSING else day_in_text(text)


def day_in_text(text: str) -> DayRead | Unread:
    """The day in words: 2026-12-24, 24.12.2026, 24.12.26, 24 Dec 2026, each also with a time behind it.

    With slashes and the year last it is read only where no month has the other number: 3/4/2026 is March to
    some, April to others.
    """
    text = unicodedata.normalize("NFC", plain(text))
    timed = _TIME.fullmatch(text)
    if timed is not None and not _is_time(timed):
        return NO_DAY
    found = _day(timed["day"] if timed is not None else text)
    if isinstance(found, Unread) or timed is None or not _tells_more(timed):
        return found
    return DayRead(found.day, ", ".join(filter(None, (TIME_LEFT_OUT, found.why))))


def _is_time(timed: re.Match[str]) -> bool:
    return int(timed["hour"]) < 24 and int(timed["minute"]) < 60 and int(timed["second"] or 0) < 60


def _tells_more(timed: re.Match[str]) -> bool:
    """Whether it is another time than midnight, which sheets write behind a bare day."""
    return any(int(timed[one] or 0) for one in ("hour", "minute", "second"))


def _day(text: str) -> DayRead | Unread:
    if found := _YEAR_FIRST.fullmatch(text):
        year, month, day = (one for one in found.groups() if one is not None)
        return _made(year, month, day)
    if found := _DOTTED.fullmatch(text):
        return _made(found[3], found[2], found[1])
    if found := _SLASHED.fullmatch(text):
        return _slashed(*found.groups())
    found = _NAMED.fullmatch(text)
    month = _MONTHS.index(found[2][:3].casefold()) % 12 + 1 if found and _is_month(found[2]) else 0
    return _made(found[3], str(month), found[1]) if found and month else NO_DAY


def _is_month(word: str) -> bool:
    return word[:3].casefold() in _MONTHS


def _slashed(first: str, second: str, year: str) -> DayRead | Unread:
    day_first, month_first = _made(year, second, first), _made(year, first, second)
    if isinstance(day_first, Unread):
        return month_first
    if isinstance(month_first, Unread) or month_first.day == day_first.day:
        return day_first
    one, other = (f"{read.day.day} {read.day:%B}" for read in (day_first, month_first))
    return Unread(
        f"is {one} to some and {other} to others",
        f"write {day_first.day} or {month_first.day}, whichever it is",
    )


def _made(year: str, month: str, day: str) -> DayRead | Unread:
    century = 2000 if len(year) == 2 else 0
    try:
        return DayRead(date(century + int(year), int(month), int(day)), CENTURY if century else "")
    except ValueError:
        return NO_DAY

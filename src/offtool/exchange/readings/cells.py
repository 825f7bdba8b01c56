"""What stands in a cell of readings: a number, nothing, or something that is no reading.

A sign that does not change the number is taken off and said (⌀4.00, 12,34*, 4.01 mm); whatever could be
another number, a bound, a judgement or a date is refused with the reason.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from offtool.exchange.readings.numbers import NO_NUMBER, NOT_FINITE, Number, Unread, read_number, sized
from offtool.exchange.readings.text import has_full_width, plain
from offtool.exchange.readings.units import BASE, DEG, MM, UNITS, Unit, find_unit
from offtool.exchange.readings.words import (
    BEYOND_THE_GAUGE,
    JUDGED_BAD,
    JUDGED_GOOD,
    MISSING,
    SPREADSHEET_ERRORS,
)


@dataclass(frozen=True, slots=True)
class Found:
    """A reading in a cell, in the unit written in the cell, if any; ``why`` says what was repaired."""

    value: float
    unit: Unit | None = None
    why: str = ""


@dataclass(frozen=True, slots=True)
class Missing:
    """A cell that says that nothing was measured."""


MISSING_CELL = Missing()

DRAWING_SIGN = re.compile(r"(?:s?[⌀Øøφϕ∅Φ]|dia\.?|sr|r|□)\s*(?=[+-]?[0-9.,])", re.IGNORECASE)
"""The sign of a diameter, a radius, a sphere or a square before a size."""

_QUOTED = re.compile(r"=?\"([^\"]*)\"|'(.+)")
_MARKS = re.compile(r"(?<=[0-9])\s*[*#!†‡↑↓▲▼★☆●]+$")
_UNIT_BEHIND = re.compile(
    r"(?<=[0-9])\s*(" + "|".join(sorted(map(re.escape, UNITS), key=len, reverse=True)) + r")$", re.I
)
_MINUTES = re.compile(r"([+-]?)([0-9]+)\s*°\s*([0-5]?[0-9])\s*['′](?:\s*([0-5]?[0-9])\s*(?:[\"″]|''))?")
_BOUND = re.compile(r"[<>≤≥]|(?:max|min)\b\.?", re.I)
_ABOUT = re.compile(r"[~≈∼]|(?:ca|approx|about|etwa|约)\.?\s*[0-9]", re.I)
_WITH_TOLERANCE = re.compile(r"±|\+/-|[0-9]\s*\(?\s*[+-]\s*[0-9.,]+\s*/?\s*[+-]?\s*[0-9]")
_DATE = re.compile(
    r"[0-9]{1,4}[./-][0-9]{1,2}[./-][0-9]{1,4}(?:[ T].*)?|[0-9]{1,2}:[0-9]{2}(?::[0-9]{2})?(?:\s*[ap]m)?",
    re.I,
)
_TWO_NUMBERS = re.compile(r"[0-9.,]+\s*(?:[/;~|]|\.\.\.?|\s|-|to|bis|至)\s*[+-]?[0-9.,]+", re.I)
_INFINITE = re.compile(r"[+-]?(?:nan|inf|infinity|∞)", re.I)

_A_BOUND = Unread("is a bound, not a value", "enter what was measured, or leave the cell empty and say why")
_AN_ESTIMATE = Unread("is about, not measured", "enter what was measured, or leave the cell empty")
_A_JUDGEMENT = Unread("is a judgement, not a value", "enter the measured size; a go/no-go gauge gives none")
_BEYOND = Unread(
    "says that the gauge could not measure", "measure again, or leave the cell empty and say why"
)
FAILED_FORMULA = Unread(
    "is the error of a formula, not a value", "mend the formula, or enter the value itself"
)
_A_TOLERANCE = Unread("is a size with its tolerance, not a reading", "enter the measured size alone")
A_DATE = Unread(
    "is a date or a time, not a value; spreadsheets turn 3.4 into a date",
    "format the cell as a number and type it again",
)
_TWO = Unread("holds more than one number", "give each reading a cell of its own")

_NAMED: dict[str, Unread | Missing] = {
    **dict.fromkeys(BEYOND_THE_GAUGE, _BEYOND),
    **dict.fromkeys(JUDGED_GOOD | JUDGED_BAD, _A_JUDGEMENT),
    **dict.fromkeys(SPREADSHEET_ERRORS, FAILED_FORMULA),
    **dict.fromkeys(MISSING, MISSING_CELL),
}
_REFUSED: tuple[tuple[re.Pattern[str], bool, Unread], ...] = (
    (_INFINITE, True, NOT_FINITE),
    (_BOUND, False, _A_BOUND),
    (_ABOUT, False, _AN_ESTIMATE),
    (_DATE, True, A_DATE),
    (_WITH_TOLERANCE, False, _A_TOLERANCE),
    (_TWO_NUMBERS, True, _TWO),
)
"""What explains text that is no number: a pattern, whether it must be the whole text, and the refusal."""

_LONGEST = 60
"""No reading is written with more signs than this; longer text is a remark."""


def read_value(text: str, decimal: str) -> Found | Missing | Unread:
    """The reading in a cell of text, in a file whose decimal mark is ``decimal``."""
    seen = plain(text)
    named = _NAMED.get(seen.casefold())
    if named:
        return named
    number = read_number(seen, decimal)
    repairs = ["full-width signs"] if has_full_width(text) else []
    if isinstance(number, Number):
        return Found(number.value, None, _together(repairs, number))
    if number is not NO_NUMBER or len(seen) > _LONGEST:
        return number
    return _without_signs(seen, decimal, repairs)


def _without_signs(seen: str, decimal: str, repairs: list[str]) -> Found | Unread:
    """The number that is left when marks, drawing signs and a unit are taken off."""
    bare = seen
    quoted = _QUOTED.fullmatch(bare)
    if quoted:
        bare = (quoted[1] or quoted[2] or "").strip()
        repairs.append("quotation marks around the number are left out")
    angle = _MINUTES.fullmatch(bare)
    if angle:
        return _angle(angle, repairs)
    unmarked = _MARKS.sub("", bare)
    if unmarked != bare:
        bare = unmarked
        repairs.append("a mark behind the number is left out")
    signed = DRAWING_SIGN.match(bare)
    if signed:
        bare = bare[signed.end() :]
        repairs.append("a drawing sign before the number is left out")
    unit = None
    behind = _UNIT_BEHIND.search(bare)
    if behind:
        unit, bare = find_unit(behind[1]), bare[: behind.start()]
        repairs.append("a unit behind the number is taken as its unit")
    number = read_number(bare, decimal)
    if isinstance(number, Unread):
        return number if number is not NO_NUMBER else _explain(seen)
    if signed and unit and unit.base != MM:
        return Unread(f"has the sign of a length and the unit {unit.shown}", "check the cell")
    return Found(number.value, unit, _together(repairs, number))


def _explain(seen: str) -> Unread:
    """Why text in its plain form is no reading."""
    for pattern, whole, refusal in _REFUSED:
        if pattern.fullmatch(seen) if whole else pattern.search(seen):
            return refusal
    return NO_NUMBER


def degrees(whole: str, minutes: str, seconds: str | None) -> float:
    return int(whole) + int(minutes) / 60 + int(seconds or 0) / 3600


def _angle(found: re.Match[str], repairs: list[str]) -> Found | Unread:
    size = degrees(found[2], found[3], found[4])
    number = sized(-size if found[1] == "-" else size, "degrees and minutes are read as degrees")
    return (
        Found(number.value, BASE[DEG], _together(repairs, number)) if isinstance(number, Number) else number
    )


def _together(repairs: list[str], number: Number) -> str:
    return ", ".join([*repairs, number.why] if number.why else repairs)

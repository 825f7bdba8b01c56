"""What stands in one cell under a known heading: a number in its unit, a bound, a count, a name or a word."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from math import isfinite

from offtool.exchange.headed_tables.fields import Field
from offtool.exchange.headed_tables.units import convert, fits, number_and_unit
from offtool.exchange.readings.cells import A_DATE, Found, Missing, read_value
from offtool.exchange.readings.grid import Cell, SpoiledCell, cell_text
from offtool.exchange.readings.limits import MAX_SIZE
from offtool.exchange.readings.numbers import NOT_FINITE, TOO_LARGE, Unread
from offtool.exchange.readings.text import heading_key, one_line, plain
from offtool.exchange.readings.units import Unit
from offtool.exchange.readings.words import MISSING
from offtool.handbook.terms import LONGEST_NAME

_BOUND = re.compile(r"(?:>=?|≥)\s*(?P<front>[^<>≥]+)|(?P<back>[^<>≥+]*[0-9]\S*)\s*\+")
_A_BOUND = "the pull was stopped there: it is at least so much"
_MOST_COUNTED = 1_000_000_000
_WHOLE = re.compile(r"[0-9]{1,10}")
TEXT_IN_SHEET = "a number stored as text"

NOT_WHOLE = Unread("is no whole number", "give the number alone, such as 3")
TOO_LONG = Unread(
    f"is longer than the {LONGEST_NAME} signs that a name may have", "shorten the name; the row is left out"
)


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number in the unit of its field; `why` says what was repaired."""

    value: float
    unit: Unit | None = None
    """The unit written in the cell."""
    why: str = ""
    at_least: bool = False


def read_quantity(cell: Cell, field: Field, decimal: str, *, from_sheet: bool) -> Quantity | Missing | Unread:
    """The number in a cell as it is written, before its unit is made the field's."""
    if isinstance(cell, SpoiledCell):
        return cell.refusal
    if not isinstance(cell, str):
        if not isinstance(cell, int | float):
            return A_DATE
        return Quantity(float(cell)) if isfinite(cell) else NOT_FINITE
    text, at_least = _without_bound(plain(cell)) if field.may_be_a_bound else (plain(cell), False)
    bare, unit = number_and_unit(text)
    found = read_value(bare, decimal)
    if isinstance(found, Unread) and unit:
        bare, unit = text, None  # what looked like a unit may be a mark or half of a date
        found = read_value(bare, decimal)
    if not isinstance(found, Found):
        return found
    repairs = [
        "a unit behind the number is taken as its unit" if unit else "",
        _A_BOUND if at_least else "",
        found.why,
        TEXT_IN_SHEET if from_sheet and not (unit or at_least) else "",
    ]
    return Quantity(found.value, unit or found.unit, ", ".join(filter(None, repairs)), at_least)


def _without_bound(text: str) -> tuple[str, bool]:
    """ ">400" and "400+" without their sign."""
    found = _BOUND.fullmatch(text)
    return ((found["front"] or found["back"]).strip(), True) if found else (text, False)


def in_unit(found: Quantity, field: Field, unit: Unit | None) -> float | Unread:
    """The value in the unit of its field. `unit` is that of the column, or of its row."""
    if found.unit and unit and found.unit.shown != unit.shown:
        return Unread(f"is in {found.unit.shown}, its column in {unit.shown}", "give a column one unit")
    written = found.unit or unit
    if written is not None and not fits(written, field.unit):
        return Unread(f"is in {written.shown}: {given_in(field)}", "check the cell and its unit")
    value = found.value if written is None else convert(found.value, written, field.unit)
    if value < 0 and not field.may_be_negative:
        return Unread(f"is below 0: {field.name} is given without a sign", "check it, or leave the sign out")
    return value if abs(value) <= MAX_SIZE else TOO_LARGE


def given_in(field: Field) -> str:
    """In what a field is given, for a message."""
    return f"{field.name} is given in {field.unit}" if field.unit else f"{field.name} has no such unit"


def read_whole(cell: Cell) -> int | Unread | None:
    """A whole number from 0; None for an empty cell. 12.0 is how a spreadsheet writes 12."""
    if isinstance(cell, SpoiledCell):
        return cell.refusal
    text = plain(cell_text(cell))
    if text.casefold() in MISSING:
        return None
    digits = re.sub(r"[.,]0+$", "", text)
    if not _WHOLE.fullmatch(digits) or int(digits) > _MOST_COUNTED:
        return NOT_WHOLE
    return int(digits)


def read_name(cell: Cell) -> str | Unread:
    """A name on one line; empty for an empty cell."""
    if isinstance(cell, SpoiledCell):
        return cell.refusal
    text = one_line(plain(cell_text(cell)))
    if text.casefold() in MISSING:
        return ""
    return text if len(text) <= LONGEST_NAME else TOO_LONG


def read_word(cell: Cell, words: Mapping[str, str], what: str) -> str | Unread:
    """What one of a few words means; empty for an empty cell."""
    text = read_name(cell)
    if isinstance(text, Unread) or not text:
        return text
    meaning = words.get(heading_key(text))
    if meaning is None:
        return Unread(f"is no {what} that is known", f"write {', '.join(dict.fromkeys(words.values()))}")
    return meaning

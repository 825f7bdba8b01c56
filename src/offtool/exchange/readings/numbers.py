"""A number written as text: which mark is the decimal mark, which only groups thousands.

The rules for a mark that is not the file's decimal mark:

- it can only be a decimal mark where no thousands can be grouped: after no digit, after a leading 0, after
  more than three digits, or before any other count of digits than three. Then it is read so, as a repair.
- both marks in one number: the last is the decimal mark, the others must group three digits each.
- a mark that repeats can only group thousands, and must group three digits each.
- one mark before exactly three digits could be either; it is refused.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import isfinite

from offtool.exchange.readings.limits import LIMITS, MAX_SIZE


@dataclass(frozen=True, slots=True)
class Number:
    """A number that was read; ``why`` says what was repaired, empty when nothing was."""

    value: float
    why: str = ""


@dataclass(frozen=True, slots=True)
class Unread:
    """Text that is no number, why, and the remedy."""

    why: str
    remedy: str


OTHER_MARK = {",": ".", ".": ","}
MARK_NAME = {",": "comma", ".": "point"}

POINTED = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?")
_LEADING_ZERO = re.compile(r"[+-]?0[0-9]")
_GROUPED_BY_SPACE = re.compile(r"[+-]?[1-9][0-9]{0,2}(?:(?: [0-9]{3})+|(?:'[0-9]{3})+)[.,][0-9]+")
_ONE_MARK = re.compile(r"[+-]?([0-9]*)[.,]([0-9]*)(?:[eE][+-]?[0-9]{1,3})?")
_REPEATED = {
    mark: re.compile(rf"[+-]?[1-9][0-9]{{0,2}}(?:{re.escape(mark)}[0-9]{{3}}){{2,}}") for mark in ",."
}
_BOTH = {
    mark: re.compile(
        rf"[+-]?[1-9][0-9]{{0,2}}(?:{re.escape(OTHER_MARK[mark])}[0-9]{{3}})+{re.escape(mark)}[0-9]+"
    )
    for mark in ",."
}

NO_NUMBER = Unread("is no number", "write the number alone in the cell")
LEADING_ZERO = Unread(
    "starts with a 0 before another digit: is it the second half of a number that a comma has cut in two?",
    "put numbers with a decimal comma in quotation marks, or separate the columns by ; or tab",
)
TOO_LARGE = Unread(
    f"is beyond {MAX_SIZE:,.0f} mm, deg, g, N or N·m: {LIMITS['size'].source.split(' (')[0]}",
    str(LIMITS["size"].remedy),
)
NOT_FINITE = Unread("is no size that can be measured", "leave the cell empty where nothing was measured")


def could_group_thousands(before: str, after: str) -> bool:
    """Whether a single mark between these digits may group thousands."""
    return len(after) == 3 and 1 <= len(before) <= 3 and before[0] != "0"


def mark_evidence(text: str) -> tuple[str, bool]:
    """The only mark of a number ("" when it has none or several), and whether it must be the decimal mark."""
    found = _ONE_MARK.fullmatch(text)
    if not found:
        return "", False
    return ("," if "," in text else "."), not could_group_thousands(found[1], found[2])


def read_number(text: str, decimal: str) -> Number | Unread:
    """A number in its plain form (see `plain`), in a file whose decimal mark is ``decimal``."""
    why = ""
    if _GROUPED_BY_SPACE.fullmatch(text):
        text, why = (
            text.replace(" ", "").replace("'", ""),
            "a space or apostrophe that groups thousands is left out",
        )
    pointed = text if decimal == "." else text.replace(",", ".") if "." not in text else ""
    if not POINTED.fullmatch(pointed):
        repaired = _with_other_mark(text, decimal)
        if isinstance(repaired, Unread):
            return repaired
        pointed, why = repaired
    if _LEADING_ZERO.match(pointed):
        return LEADING_ZERO
    return sized(float(pointed), why)


def sized(value: float, why: str = "") -> Number | Unread:
    """The number, unless nothing of that size can be measured."""
    if not isfinite(value):
        return NOT_FINITE
    return Number(value, why) if abs(value) <= MAX_SIZE else TOO_LARGE


def _with_other_mark(text: str, decimal: str) -> tuple[str, str] | Unread:
    """The number with a decimal point, and the repair, when another mark than the file's stands in it."""
    other = OTHER_MARK[decimal]
    single = _ONE_MARK.fullmatch(text)
    if single and other in text:
        if could_group_thousands(single[1], single[2]):
            return Unread(
                f"may be {single[1]}{decimal}{single[2]} or {single[1]}{single[2]}: elsewhere in the file the"
                f" decimal {MARK_NAME[decimal]} is used",
                f"write it with a decimal {MARK_NAME[decimal]} or without the mark",
            )
        if single[1] or single[2]:
            why = f"a decimal {MARK_NAME[other]} in a file of decimal {MARK_NAME[decimal]}s"
            return text.replace(",", "."), why
    for mark in ",.":
        if _REPEATED[mark].fullmatch(text):
            return text.replace(
                mark, ""
            ), f"a {MARK_NAME[mark]} that repeats only groups thousands and is left out"
        if _BOTH[mark].fullmatch(text):
            grouping = OTHER_MARK[mark]
            why = f"the last mark is the decimal mark; the {MARK_NAME[grouping]} only groups thousands"
            return text.replace(grouping, "").replace(mark, "."), why
    return NO_NUMBER

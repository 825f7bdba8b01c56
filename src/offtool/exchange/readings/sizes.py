"""Sizes as a drawing states them: nominal and limits, or tolerances alone.

⌀4.00±0.05    4,00 +0,03 -0,02    4.00(+0.03/0)    12.5 -0.1    3.95~4.05    max 0.1    45°±30'    (12)
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from offtool.exchange.readings.cells import DRAWING_SIGN, degrees
from offtool.exchange.readings.numbers import NO_NUMBER, Number, Unread, read_number
from offtool.exchange.readings.text import one_line, plain
from offtool.exchange.readings.units import BASE, DEG, UNITS, Unit


@dataclass(frozen=True, slots=True)
class Deviations:
    """How far a size may lie above and below its nominal, in the unit written with it, if any."""

    upper: float
    lower: float
    unit: Unit | None = None


@dataclass(frozen=True, slots=True)
class Size:
    """What one cell of a drawing or report asks for, in the unit written in it, if any."""

    nominal: float | None = None
    upper: float | None = None
    lower: float | None = None
    unit: Unit | None = None


_N = r"(?:[0-9][0-9.,]*|[.,][0-9]+)"
_SIGNED = rf"(?:[+-]{_N}|[+-]?0(?:[.,]0*)?)"
_GAP = r"[\s/;]*"

_COUNT = re.compile(r"[0-9]{1,2}\s*[x×*-]\s*(?=[⌀Øøφϕ∅ΦRr□])")
_OTHER_SIGN = re.compile(r"[Ct]\s*=?\s*(?=[0-9])")
_WRITTEN_UNIT = re.compile(
    r"(?<=[0-9])\s*(" + "|".join(sorted(map(re.escape, UNITS), key=len, reverse=True)) + r")(?![a-z])", re.I
)
_MINUTES = re.compile(r"(?:([0-9]+)\s*°\s*)?([0-5]?[0-9])\s*['′](?:\s*([0-5]?[0-9])\s*[\"″])?(?![0-9])")
_PLUS_MINUS = re.compile(r"\+\s*/?\s*-(?=\s*[0-9.,])")
_FIT = re.compile(
    rf"{_N}\s*(?:[A-Z]{{1,2}}[0-9]{{1,2}}|[a-z]{{1,2}}[0-9]{{1,2}})(?:/[A-Za-z]{{1,2}}[0-9]{{1,2}})?"
)

_REFERENCE = re.compile(rf"\((-?{_N})\)")
_SYMMETRIC = re.compile(rf"(-?{_N})?\s*\(?\s*±\s*({_N})\s*\)?")
_TWO_SIDED = re.compile(rf"(-?{_N})??{_GAP}\(?\s*({_SIGNED}){_GAP}({_SIGNED})\s*\)?")
_ONE_SIDED = re.compile(rf"(-?{_N})?\s*\(?\s*([+-])\s*({_N})\s*\)?")
_SPAN = re.compile(rf"(-?{_N})\s*(?:~|～|\.\.\.?|…|to|bis|至|到|-)\s*(-?{_N})", re.I)
_MOST = r"(?:max(?:imum)?|höchstens|at most|not more than|最大|不大于|≤|<=|<)\.?:?"
_LEAST = r"(?:min(?:imum)?|mindestens|at least|not less than|最小|不小于|≥|>=|>)\.?:?"
_AT_MOST = re.compile(rf"{_MOST}\s*(-?{_N})|(-?{_N})\s*{_MOST}", re.I)
_AT_LEAST = re.compile(rf"{_LEAST}\s*(-?{_N})|(-?{_N})\s*{_LEAST}", re.I)

_A_FIT = Unread("gives a fit, not limits", "write the limits or the tolerances in numbers")
_NO_SIZE = Unread("is no size of a drawing", "write nominal and limits as numbers in cells of their own")
_NO_TOLERANCE = Unread("is no tolerance", "write it as ±0.05 or +0.03/-0.02")
_TWO_UNITS = Unread("names two units", "write the size in one unit")

_LONGEST = 80


def read_size(text: str, decimal: str) -> Size | Unread:
    """Nominal and limits from one cell, as far as the cell gives them."""
    prepared = _prepare(text, decimal)
    if isinstance(prepared, Unread):
        return prepared
    seen, unit = prepared
    try:
        return _sized(seen, decimal, unit)
    except _NotRead as number:
        return number.refusal


def read_tolerance(text: str, decimal: str) -> Deviations | Unread:
    """The upper and lower deviation from a cell that gives a tolerance alone: ±0.05, 0.05, +0.03/-0.02."""
    prepared = _prepare(text, decimal)
    if isinstance(prepared, Unread):
        return prepared
    seen, unit = prepared
    try:
        nominal, found = _deviations(seen, decimal) or (None, None)
        if nominal is not None:
            return _NO_TOLERANCE
        half = 0.0 if found else abs(_number(seen, decimal))
    except _NotRead as number:
        return number.refusal if number.refusal is not NO_NUMBER else _NO_TOLERANCE
    return Deviations(found.upper, found.lower, unit) if found else Deviations(half, -half, unit)


class _NotRead(Exception):
    """A number inside a size that cannot be read."""

    def __init__(self, refusal: Unread) -> None:
        self.refusal = refusal
        super().__init__(refusal.why)


def _number(text: str, decimal: str) -> float:
    number = read_number(text.replace(" ", ""), decimal)
    if isinstance(number, Number):
        return number.value
    raise _NotRead(number)


def _prepare(text: str, decimal: str) -> tuple[str, Unit | None] | Unread:
    """The text without drawing signs and units, and the unit."""
    seen = one_line(plain(text))
    if len(seen) > _LONGEST:
        return _NO_SIZE
    if _FIT.fullmatch(seen[_sign_ends(seen) :]):
        return _A_FIT
    in_degrees = "°" in seen or _MINUTES.search(seen) is not None
    seen = _MINUTES.sub(lambda angle: _in_degrees(angle, decimal), seen)
    written = {UNITS[unit.casefold()] for unit in _WRITTEN_UNIT.findall(seen)}
    if in_degrees:
        written.add(UNITS["°"])
    if len({unit.base for unit in written}) > 1 or len({unit.factor for unit in written}) > 1:
        return _TWO_UNITS
    seen = _PLUS_MINUS.sub("±", _WRITTEN_UNIT.sub("", seen))
    unit = BASE[DEG] if in_degrees else next(iter(written), None)
    return seen[_sign_ends(seen) :].strip(), unit


def _in_degrees(angle: re.Match[str], decimal: str) -> str:
    return f"{degrees(angle[1] or '0', angle[2], angle[3]):.9g}".replace(".", decimal)


def _sign_ends(seen: str) -> int:
    """Where the count and the drawing sign before a size end: "2-⌀4.00", "R2.5", "t=1.2", "C0.5"."""
    counted = _COUNT.match(seen)
    start = counted.end() if counted else 0
    signed = DRAWING_SIGN.match(seen, start) or _OTHER_SIGN.match(seen, start)
    return signed.end() if signed else start


def _sized(seen: str, decimal: str, unit: Unit | None) -> Size | Unread:
    number = read_number(seen, decimal)
    if isinstance(number, Number):
        return Size(number.value, unit=unit)
    for pattern, is_upper in ((_AT_MOST, True), (_AT_LEAST, False)):
        bound = pattern.fullmatch(seen)
        if bound:
            size = _number(bound[1] or bound[2], decimal)
            return Size(upper=size if is_upper else None, lower=None if is_upper else size, unit=unit)
    reference = _REFERENCE.fullmatch(seen)
    if reference:
        return Size(_number(reference[1], decimal), unit=unit)
    span = _SPAN.fullmatch(seen)
    if span:
        low, high = _number(span[1], decimal), _number(span[2], decimal)
        if low < high:
            return Size(upper=high, lower=low, unit=unit)
    found = _deviations(seen, decimal)
    if found:
        nominal, deviations = found
        if nominal is None:
            return _NO_SIZE
        return Size(nominal, limit(nominal, deviations.upper), limit(nominal, deviations.lower), unit)
    return number if number is not NO_NUMBER else _NO_SIZE


def limit(nominal: float, deviation: float) -> float:
    """Nominal and deviation together; rounding takes off what floating point adds to a sum of decimals."""
    return round(nominal + deviation, 9)


def _deviations(seen: str, decimal: str) -> tuple[float | None, Deviations] | None:
    """The nominal, if there is one before the tolerance, and the deviations."""
    symmetric = _SYMMETRIC.fullmatch(seen)
    if symmetric:
        half = _number(symmetric[2], decimal)
        return _nominal(symmetric[1], decimal), Deviations(half, -half)
    two = _TWO_SIDED.fullmatch(seen)
    if two and (two[2][0] in "+-" or two[3][0] in "+-"):
        first, second = _number(two[2], decimal), _number(two[3], decimal)
        return _nominal(two[1], decimal), Deviations(max(first, second), min(first, second))
    one = _ONE_SIDED.fullmatch(seen)
    if one:
        size = _number(one[3], decimal)
        return _nominal(one[1], decimal), Deviations(size, 0.0) if one[2] == "+" else Deviations(0.0, -size)
    return None


def _nominal(text: str | None, decimal: str) -> float | None:
    return _number(text, decimal) if text else None

"""Units a gauge room writes, and how each becomes mm, deg, g, N or N·m."""

from __future__ import annotations

import re
from dataclasses import dataclass

from offtool.exchange.readings.text import plain

MM, DEG, GRAM, NEWTON, NEWTON_METRE = "mm", "deg", "g", "N", "N·m"


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit as it is shown; a number in it, times ``factor``, is the number in ``base``."""

    shown: str
    base: str
    factor: float


# Inch, pound-force and kilogram-force are exact by definition (international yard and pound 1959; standard
# acceleration 9.80665 m/s2), pound-force and its torque follow from them; the others are decimal multiples.
_FACTORS: tuple[tuple[str, float, str], ...] = (
    (MM, 1.0, "mm, ㎜, millimetre, millimeter, millimetres, millimeters, 毫米"),
    (MM, 0.001, "µm, μm, um, ㎛, micron, microns, micrometre, micrometer, mikrometer, 微米"),
    (MM, 10.0, "cm, ㎝, centimetre, centimeter, zentimeter, 厘米"),
    (MM, 1000.0, "metre, meter, 米"),
    (MM, 25.4, 'inch, in, inches, zoll, ", ″, 英寸, 吋'),
    (MM, 0.0254, "mil, mils, thou"),
    (DEG, 1.0, "deg, degree, degrees, °, grad, 度"),
    (DEG, 1 / 60, "arcmin"),
    (GRAM, 1.0, "g, gram, grams, gramm, 克"),
    (GRAM, 0.001, "mg, ㎎, 毫克"),
    (GRAM, 1000.0, "kg, ㎏, 千克, 公斤"),
    (NEWTON, 1.0, "N, newton, newtons, 牛, 牛顿"),
    (NEWTON, 1000.0, "kN"),
    (NEWTON, 9.80665, "kgf, kp"),
    (NEWTON, 0.00980665, "gf"),
    (NEWTON, 4.4482216152605, "lbf"),
    (NEWTON_METRE, 1.0, "N·m, nm, n*m, n.m, n m, n-m, n•m, n⋅m, n∙m, newton metre, newtonmeter, 牛米, 牛·米"),
    (NEWTON_METRE, 0.01, "N·cm, ncm, n*cm, n.cm, n cm, n-cm, n⋅cm"),
    (NEWTON_METRE, 0.001, "N·mm, nmm, n*mm, n.mm, n mm, n-mm, n•mm, n⋅mm, n∙mm, mnm, mn·m"),
    (NEWTON_METRE, 0.0980665, "kgf·cm, kgfcm, kgf*cm, kgf.cm, kgf cm, kgf-cm"),
    (NEWTON_METRE, 0.1129848290276167, "in·lb, in-lb, in lb, inlb, in·lbf, in-lbf, lbf·in, lbf-in, lb-in"),
)


def _by_spelling(words: str, base: str, factor: float) -> dict[str, Unit]:
    spellings = [word.strip() for word in words.split(",")]
    return {spelling.casefold(): Unit(spellings[0], base, factor) for spelling in spellings}


UNITS: dict[str, Unit] = {
    spelling: unit
    for base, factor, words in _FACTORS
    for spelling, unit in _by_spelling(words, base, factor).items()
}
"""Each unit by its spelling in small letters."""

# Nine decimals are a millionth of a µm: rounding takes off what floating point adds to decimal numbers.
CONVERTED_DECIMALS = 9

BASE: dict[str, Unit] = {base: Unit(base, base, 1.0) for base in (MM, DEG, GRAM, NEWTON, NEWTON_METRE)}

_IN_BRACKETS = re.compile(
    r"\s*[\[(（【]\s*(?:(?:in|unit|einheit|单位)\s*[:：]?\s+|单位[:：]?)?([^\[\]()（）【】]+?)\s*[\])）】]"
)
_AFTER = re.compile(r"(?:\s*[/,]\s*(?:in\s+)?|\s+in\s+)([^\s/,]+(?: [Nnm]?[cm]?m)?)$", re.IGNORECASE)
_BEHIND_A_SPACE = re.compile(
    r"\s+(mm|[µμu]m|inch|zoll|deg|°|grad|kg|nm|n·m|n·mm|nmm|ncm|n·cm|毫米|微米)$", re.IGNORECASE
)
_STATED = re.compile(
    r"(?:units?|einheit(?:en)?|单位|(?:dimensions?|sizes?)(?: are)? in|(?:ma(?:ß|ss)e|abmessungen|werte) in)"
    r"\s*[:：=]?\s*([^\s,;()（）]+)",
    re.IGNORECASE,
)


def find_unit(text: str) -> Unit | None:
    """The unit when the whole text is one."""
    seen = plain(text).strip("[]() ").casefold()
    return UNITS.get(seen)


def split_unit(text: str) -> tuple[str, Unit | None]:
    """A heading without its unit, and the unit: "Peg dia [mm]", "Länge in mm", "Force / N", "扭矩（N·m）"."""
    whole = find_unit(text)
    if whole:
        return "", whole
    for bracket in _IN_BRACKETS.finditer(text):
        unit = find_unit(bracket[1])
        if unit:
            return (text[: bracket.start()] + text[bracket.end() :]).strip(), unit
    for pattern in (_AFTER, _BEHIND_A_SPACE):
        behind = pattern.search(text)
        unit = find_unit(behind[1]) if behind else None
        if behind and unit:
            return text[: behind.start()].strip(), unit
    return text, None


def stated_unit(text: str) -> Unit | None:
    """The unit that a line above the table states for all of it: "Unit: mm", "Alle Maße in mm", "单位:mm"."""
    stated = _STATED.search(plain(text))
    return find_unit(stated[1]) if stated else None

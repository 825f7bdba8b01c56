"""Units of torque, force, time, pressure and energy in a heading or a cell, and how one becomes another."""

from __future__ import annotations

import re

from offtool.exchange.readings import units as sizes
from offtool.exchange.readings.text import plain
from offtool.exchange.readings.units import CONVERTED_DECIMALS, Unit

SECOND, BAR, JOULE = "s", "bar", "J"

# 1 psi is one pound-force on a square inch and ozf·in a sixteenth of lbf·in, both exact by definition; the
# technical atmosphere, kgf/cm², is 0.980665 bar by definition.
_FACTORS: tuple[tuple[str, float, str], ...] = (
    (SECOND, 1.0, "s, sec, secs, second, seconds, Sekunde, Sekunden, 秒"),
    (SECOND, 0.001, "ms, msec, millisecond, milliseconds, Millisekunden, 毫秒"),
    (SECOND, 60.0, "min, minute, minutes, Minuten, 分钟"),
    (SECOND, 3600.0, "h, hr, hrs, hour, hours, Std, Stunde, Stunden, 小时"),
    (SECOND, 86_400.0, "d, day, days, Tag, Tage, 天"),
    (BAR, 1.0, "bar"),
    (BAR, 10.0, "MPa"),
    (BAR, 0.01, "kPa"),
    (BAR, 0.06894757293168361, "psi"),
    (BAR, 0.980665, "kgf/cm², kgf/cm2, kg/cm², kg/cm2"),
    (JOULE, 1.0, "J, joule, joules, Ws, W·s, 焦, 焦耳"),
    (JOULE, 1000.0, "kJ"),
    (
        sizes.NEWTON_METRE,
        0.00706155181422604,
        "ozf·in, ozf-in, ozf in, ozf.in, in·ozf, in-ozf, oz·in, oz-in, oz in",
    ),
    (sizes.MM, 1000.0, "m, metre, metres, meter, meters, 米"),
    (sizes.MM, 304.8, "ft, foot, feet"),
    (sizes.NEWTON_METRE, 0.001, "mN·m, mn m, mn.m, mn-m, mnm"),
)
_UNITS: dict[str, Unit] = {
    word.strip().casefold(): Unit(words.split(",")[0], base, factor)
    for base, factor, words in _FACTORS
    for word in words.split(",")
}

WANTED: dict[str, Unit] = {
    **sizes.BASE,
    "µm": Unit("µm", sizes.MM, 0.001),
    SECOND: Unit(SECOND, SECOND, 1.0),
    "min": Unit("min", SECOND, 60.0),
    "h": Unit("h", SECOND, 3600.0),
    BAR: Unit(BAR, BAR, 1.0),
    JOULE: Unit(JOULE, JOULE, 1.0),
}
"""The units that values are kept in."""

_BRACKETED = re.compile(r"\s*[\[(（【]\s*([^\[\]()（）【】]+?)\s*[\])）】]")
_BEHIND_A_NUMBER = re.compile(r"^(?P<number>.*[0-9.,+])\s*(?P<unit>[^0-9\s.,+][^0-9]*)$")


def find_unit(text: str) -> Unit | None:
    """The unit when the whole text is one."""
    return _UNITS.get(plain(text).strip("[]() ").casefold()) or sizes.find_unit(text)


def without_unit(text: str) -> tuple[str, Unit | None]:
    """A heading without its unit, and the unit: "Weld time [ms]", "Drehmoment in N·cm", "Strength N"."""
    for bracket in _BRACKETED.finditer(text):
        unit = find_unit(bracket[1])
        if unit:
            return (text[: bracket.start()] + " " + text[bracket.end() :]).strip(), unit
    for words in (2, 1):
        before, unit = _unit_at_end(text, words)
        if unit:
            return before, unit
    return text, None


def _unit_at_end(text: str, words: int) -> tuple[str, Unit | None]:
    pieces = text.replace(",", " ").replace(" / ", " ").split()
    if len(pieces) <= words:
        return text, None
    unit = find_unit(" ".join(pieces[-words:]))
    before = pieces[:-words]
    if unit and before[-1].casefold() == "in" and len(before) > 1:
        before = before[:-1]
    return (" ".join(before), unit) if unit else (text, None)


def number_and_unit(text: str) -> tuple[str, Unit | None]:
    """A cell without the unit behind its number: "120 mN·m", "0,3s"."""
    found = _BEHIND_A_NUMBER.match(text)
    unit = find_unit(found["unit"]) if found else None
    return (found["number"].strip(), unit) if found and unit else (text, None)


def convert(value: float, unit: Unit, wanted: str) -> float:
    """The value in the unit that is kept; the two are of one dimension."""
    into = WANTED[wanted]
    if unit.factor == into.factor:
        return value
    return round(value * unit.factor / into.factor, CONVERTED_DECIMALS)


def fits(unit: Unit, wanted: str) -> bool:
    """Whether a unit is of the dimension that is kept; none is where a field has no unit."""
    return bool(wanted) and unit.base == WANTED[wanted].base

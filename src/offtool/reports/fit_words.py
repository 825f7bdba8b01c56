"""How what is found of presses and cycles is worded, for the page and the command alike."""

from __future__ import annotations

from math import isfinite

from offtool.core.planning.bracket import Bracket
from offtool.core.planning.press import FitCheck, FitQuestion, PressFacts
from offtool.core.planning.press.facts import KN_PER_T
from offtool.core.values import Verdict
from offtool.reports import words
from offtool.steps.cycle_of_tool import WallCooled
from offtool.steps.fit_found import ToolOnPress

SHORT = {Verdict.HOLDS: "holds", Verdict.FAILS: "does not", Verdict.NOT_SHOWN: "not shown"}
"""In the table of tools and presses, where many stand side by side."""
NO_NUMBER = "not written down"


def needed_in_words(check: FitCheck) -> str:
    """18.3 to 24.4 t; 180 mm; that it cannot be said."""
    return _span(check, check.needed) if check.needed is not None else "cannot be said"


def can_in_words(check: FitCheck) -> str:
    """At most 82 t; 150 to 380 mm."""
    if check.can is None:
        return "cannot be said"
    low, high = check.can
    if low <= 0:
        return f"at most {_span(check, (high, high))}"
    return f"at least {_span(check, (low, low))}" if not isfinite(high) else _span(check, check.can)


def margin_in_words(check: FitCheck) -> str:
    """22 % to spare; 12 % too little; up to 70 % too long where it is not shown; empty where unknown."""
    if check.margin is None:
        return ""
    share = words.percent(abs(check.margin), 0)
    if check.margin >= 0:
        return f"{share} to spare"
    up_to = "up to " if check.verdict is Verdict.NOT_SHOWN else ""
    return f"{up_to}{share} {_beyond(check)}"


def _beyond(check: FitCheck) -> str:
    if check.question is FitQuestion.RESIDENCE:
        return "too long"
    if check.needed is not None and check.can is not None and check.needed[0] < check.can[0]:
        return "too thin"
    return "too little"


def _span(check: FitCheck, ends: tuple[float, float]) -> str:
    low, high = ends
    unit = check.unit
    if unit == "kN":
        low, high, unit = low / KN_PER_T, high / KN_PER_T, "t"
    first, last = _plain(low, unit), _plain(high, unit)
    return f"{first} {unit}" if first == last else f"{first} to {last} {unit}"


def _plain(value: float, unit: str) -> str:
    decimals = 0 if unit == "mm" or abs(value) >= 100 else 1
    return words.number(value, decimals)


def bracket_in_words(found: Bracket, unit: str, decimals: int = 0) -> str:
    """About 9 s, 6 to 14; one number where it is known."""
    usual = words.number(found.usual, decimals)
    if found.is_point:
        return f"{usual} {unit}"
    return f"about {usual} {unit}, {words.ends(found.low, found.high, decimals)}"


def every_in_words(found: Bracket) -> str:
    """A part about every 2.8 s, 1.8 to 4.2."""
    return f"a part {bracket_in_words(found, 's', 1).replace('about', 'about every', 1)}"


def press_in_words(press: PressFacts, currency: str = "") -> list[tuple[str, str]]:
    """Each number of a press with its name; those that nobody wrote down say so."""
    told = (
        ("clamp", _number(press.clamp_kn, "kN", press.clamp_kn and press.clamp_kn / KN_PER_T)),
        ("barrel, in polystyrene", _number(press.barrel_g, "g")),
        ("screw", _number(press.screw_mm, "mm")),
        ("between tie bars", _pair(press.tie_bars_wide_mm, press.tie_bars_high_mm)),
        ("mould height", _ends(press.mould_least_mm, press.mould_most_mm)),
        ("opening", _number(press.opening_mm, "mm")),
        ("daylight", _number(press.daylight_mm, "mm")),
        ("ejector", _number(press.ejector_mm, "mm")),
        ("dry cycle", _number(press.dry_cycle_s, "s")),
        ("an hour costs", _number(press.per_hour, currency)),
    )
    return list(told)


def _number(value: float | None, unit: str, tonnes: float | None = None) -> str:
    if value is None:
        return NO_NUMBER
    said = f"{value:g} {unit}".rstrip()
    return f"{said}, {tonnes:.0f} t" if tonnes is not None else said


def _pair(wide: float | None, high: float | None) -> str:
    if wide is None or high is None:
        return NO_NUMBER
    return f"{wide:g} × {high:g} mm"


def _ends(low: float | None, high: float | None) -> str:
    if low is None or high is None:
        known = (
            f"at least {low:g} mm" if low is not None else f"at most {high:g} mm" if high is not None else ""
        )
        return f"{known}; the other end {NO_NUMBER}" if known else NO_NUMBER
    return f"{low:g} to {high:g} mm"


def cooled_in_words(cooled: WallCooled) -> list[tuple[str, str]]:
    """The cooling time four ways."""
    plain, warm = cooled.in_steps, cooled.with_warm_core
    return [
        ("middle of the wall, closed form", f"{cooled.by_middle.time_s:.1f} s"),
        ("mean of the wall, closed form", f"{cooled.by_mean.time_s:.1f} s"),
        ("middle, in steps, heat by temperature", f"{plain.time_s:.1f} s"),
        (
            f"the same, core {warm.second_half_c:.0f} °C, shrunk from a cavity of {warm.first_half_c:.0f} °C",
            f"{warm.time_s:.1f} s",
        ),
    ]


def at_temperatures(cooled: WallCooled) -> str:
    """From 235 °C in a mould of 55 °C to 88 °C, walls of 2.1 mm."""
    one = cooled.in_steps
    return (
        f"a wall of {one.wall_mm:.3g} mm from {one.melt_c:.0f} °C in a mould of {one.first_half_c:.0f} °C to "
        f"{one.eject_c:.0f} °C"
    )


def on_press_in_words(one: ToolOnPress) -> str:
    """The word in a cell of the table."""
    return SHORT[one.verdict]

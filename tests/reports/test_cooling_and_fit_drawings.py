"""The drawings of a fit: the wall as it cools, and needs between the ends of a press."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from itertools import pairwise

import pytest

from offtool.core.planning.bracket import Bracket
from offtool.core.planning.cycle import cooling_time_unequal
from offtool.core.planning.press import FitQuestion, PressFacts, ToolFacts, fit_press
from offtool.reports.cooling_drawing import APART, draw_cooling
from offtool.reports.fit_bar import draw_fit_bar
from offtool.reports.fit_words import (
    bracket_in_words,
    can_in_words,
    every_in_words,
    margin_in_words,
    needed_in_words,
    press_in_words,
)

SVG = "{http://www.w3.org/2000/svg}"
PRESS = PressFacts(code="P2", clamp_kn=800.0, barrel_g=112.0, mould_least_mm=150.0, mould_most_mm=380.0)
TOOL = ToolFacts(
    code="M1", resin="ABS", projected_cm2=45.0, runner_cm2=8.0, parts_g=28.0, runner_g=6.0, thick_mm=140.0
)


def wall(second: float = 60.0) -> str:
    return draw_cooling(
        cooling_time_unequal(
            2.0, resin="ABS", melt_c=235.0, first_half_c=50.0, second_half_c=second, eject_c=90.0
        )
    )


@pytest.mark.parametrize("second", [30.0, 50.0, 85.0])
def test_the_wall_is_drawn_once_a_time_and_its_words_stand_apart(second: float) -> None:
    drawn = ET.fromstring(wall(second))
    curves = [one for one in drawn.iter(f"{SVG}path") if one.get("class") == "wall"]
    assert len(curves) == 6
    words = [
        one for one in drawn.iter(f"{SVG}text") if (one.text or "").endswith((" s", "out", "filled", "°C"))
    ]
    right = sorted(float(one.get("y", "0")) for one in words if float(one.get("x", "0")) > 400)
    assert all(below - above >= APART - 0.11 for above, below in pairwise(right))


def test_the_drawing_says_in_words_what_it_shows() -> None:
    said = ET.fromstring(wall()).get("aria-label") or ""
    assert re.search(
        r"wall of 2 mm between halves of 50 and 60 °C: from 235 °C down to 90 °C .* \d+\.\d s", said
    )


def test_a_bar_is_drawn_where_both_sides_are_known_and_only_there() -> None:
    fit = fit_press(PRESS, TOOL)
    assert "span-bar" in draw_fit_bar(fit.check(FitQuestion.CLAMP))
    assert draw_fit_bar(fit.check(FitQuestion.TIE_BARS)) == ""


def test_needs_and_margins_are_worded_in_the_units_of_the_floor() -> None:
    fit = fit_press(PRESS, TOOL)
    clamp, height = fit.check(FitQuestion.CLAMP), fit.check(FitQuestion.MOULD_HEIGHT)
    assert (needed_in_words(clamp), can_in_words(clamp)) == ("18.3 to 24.4 t", "at most 81.6 t")
    assert margin_in_words(clamp) == "70 % to spare"
    assert (needed_in_words(height), can_in_words(height)) == ("140 mm", "150 to 380 mm")
    assert margin_in_words(height) == "3 % too thin"
    bars = fit.check(FitQuestion.TIE_BARS)
    assert (needed_in_words(bars), can_in_words(bars), margin_in_words(bars)) == (
        "cannot be said",
        "cannot be said",
        "",
    )


def test_ranges_say_about_and_known_numbers_do_not() -> None:
    assert bracket_in_words(Bracket(low=6, usual=9.2, high=14), "s") == "about 9 s, 6 to 14"
    assert bracket_in_words(Bracket.point(2.0), "s", 1) == "2.0 s"
    assert every_in_words(Bracket(low=1.3, usual=2.3, high=3.5)) == "a part about every 2.3 s, 1.3 to 3.5"


def test_a_sheet_says_what_nobody_wrote_down() -> None:
    told = dict(
        press_in_words(PressFacts(code="P", clamp_kn=800.0, mould_most_mm=380.0, per_hour=40.0), "USD")
    )
    assert told["clamp"] == "800 kN, 82 t"
    assert told["mould height"] == "at most 380 mm; the other end not written down"
    assert told["an hour costs"] == "40 USD"
    assert told["daylight"] == "not written down"

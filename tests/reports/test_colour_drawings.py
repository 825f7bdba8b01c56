"""The drawings of a change of colour and of break-even: what stands where, in words, and in black too."""

from __future__ import annotations

import re
from itertools import pairwise
from math import log10
from xml.etree import ElementTree

import pytest

from offtool.core.planning import colour_change
from offtool.core.planning.colour_change import Amount, BreakEven, change_curve
from offtool.core.planning.colour_change.break_even import break_even
from offtool.reports.break_even_drawing import HEIGHT as PAYS_HEIGHT
from offtool.reports.break_even_drawing import break_even_in_words, draw_break_even
from offtool.reports.washout_drawing import draw_washout, shots_in_words
from tests.core.planning.colour_change.plastics import BROWN, SHOT, YELLOW, press


def drawn(**more: object) -> str:
    found = colour_change(BROWN, YELLOW, belief=press(), costs=SHOT)
    curve = change_curve(BROWN.lab, YELLOW.lab, belief=press(), shot_g=25.0, last=80)  # type: ignore[arg-type]
    return draw_washout(curve, limit_de=1.0, passes_after=found.shots, new_name="yellow & <more>", **more)  # type: ignore[arg-type]


def line_of(svg: str) -> list[tuple[float, float]]:
    path = re.search(r'class="line" d="M([^"]+)"', svg)
    assert path is not None
    return [tuple(map(float, spot.split())) for spot in path[1].split("L")]  # type: ignore[misc]


def test_the_washout_is_whole_xml_says_what_it_shows_and_falls() -> None:
    svg = drawn(measured=[(1, 40.0), (10, 8.0)])
    root = ElementTree.fromstring(svg)
    said = root.get("aria-label") or ""
    assert "are outside ΔE 1" in said
    assert "yellow & <more>" in said
    assert "2 shots were measured" in said
    places = line_of(svg)
    assert all(one[1] <= other[1] for one, other in pairwise(places))
    assert svg.count('class="measured"') == 2


def test_the_line_crosses_the_limit_where_the_mark_of_the_shot_stands() -> None:
    svg = drawn()
    limit = re.search(r'class="limit" d="M[\d.]+ ([\d.]+)', svg)
    usual = re.search(r'class="usual" d="M([\d.]+)', svg)
    assert limit is not None
    assert usual is not None
    inside = next(x for x, y in line_of(svg) if y >= float(limit[1]))
    assert inside == pytest.approx(float(usual[1]), abs=25)


def test_everything_lies_inside_the_drawing() -> None:
    svg = drawn(measured=[(1, 70.0), (200, 0.01)])
    width, height = map(float, re.search(r'viewBox="0 0 ([\d.]+) ([\d.]+)"', svg).groups())  # type: ignore[union-attr]
    assert all(0 <= x <= width and 0 <= y <= height for x, y in line_of(svg))


def test_shots_in_words_have_their_span() -> None:
    assert shots_in_words(Amount(value=36, low=25, high=52)) == "36 shots (25 to 52)"
    assert shots_in_words(Amount(value=36, low=25, high=float("inf"))) == "36 shots (25 to ∞)"
    assert shots_in_words(Amount(value=float("inf"), low=25, high=float("inf"))) == "all shots"


def pays(**changed: object) -> BreakEven:
    given: dict[str, object] = {
        "more_kg": Amount(value=2.0, low=1.5, high=3.0),
        "more_minutes": Amount(value=30.0, low=20.0, high=50.0),
        "price_per_kg": 3.0,
        "per_hour": 60.0,
        "trial_shots": 90.0,
        "worth_per_shot": 0.5,
    }
    return break_even(**{**given, **changed})  # type: ignore[arg-type]


def test_break_even_is_a_straight_line_that_halves_where_the_shots_double() -> None:
    (x_0, y_0), (x_1, y_1) = line_of(draw_break_even(pays()))
    along = (x_1 - x_0) / (log10(1000) - log10(5))
    worth = pays().worth_at(100)
    assert worth is not None
    assert worth.value == pytest.approx((2 * 3 + 30) / 100)
    assert worth.value * 2 == pytest.approx(pays().worth_at(50).value)  # type: ignore[union-attr]
    assert y_1 > y_0
    assert along > 0
    assert y_1 - y_0 < PAYS_HEIGHT


def test_break_even_says_worth_shots_price_and_hour() -> None:
    said = break_even_in_words(pays(), currency="USD")
    for words in (
        "With 90 shots",
        "0.40 (0.27 to 0.66) USD",
        "from 72 (49 to 118) shots on",
        "a kg",
        "an hour",
    ):
        assert words in said, said
    svg = draw_break_even(pays(), currency="USD")
    assert 'class="worth"' in svg
    assert 'class="trial"' in svg
    assert ElementTree.fromstring(svg).get("aria-label") == said


def test_without_prices_it_stands_in_minutes_of_the_press() -> None:
    unpriced = pays(price_per_kg=None)
    assert "30 (20 to 50) min of the press" in break_even_in_words(unpriced)
    assert "min of the press" in draw_break_even(unpriced)


def test_where_nothing_more_is_taken_there_is_nothing_to_draw() -> None:
    nothing = Amount(value=0.0, low=0.0, high=0.0)
    assert draw_break_even(pays(more_kg=nothing, more_minutes=nothing)) == ""


def test_where_no_price_makes_it_pay_it_says_no() -> None:
    assert "up to no a kg" in break_even_in_words(pays(worth_per_shot=0.01))

"""The bar of minutes and its words: as long as the minutes, told apart without colour."""

from __future__ import annotations

import re
from itertools import pairwise

import pytest
from hypothesis import strategies as st

from offtool.core.planning.shots import TimeOn, TrialTime, minutes_for, press_time
from offtool.reports.minutes_bar import LETTERS, LOOKS, draw_minutes_bar, draw_minutes_key, line_in_words
from offtool.reports.trial_words import duration, duration_span, run_of_shots
from tests.core.laws import law

LINES = (
    minutes_for(TimeOn.SET_UP, 45, least=45, most=120),
    minutes_for(TimeOn.SETTLE, 15),
    minutes_for(TimeOn.SHOTS, 30),
    minutes_for(TimeOn.WAY_BACK, 60),
)


def pieces(drawing: str) -> list[tuple[float, float]]:
    """Left edge and width of each piece."""
    found = re.findall(r'<rect x="([\d.]+)" y="12" width="([\d.]+)" height="20"', drawing)
    return [(float(left), float(width)) for left, width in found]


def bar(*lines: object) -> str:
    return draw_minutes_bar(press_time(lines or LINES))  # type: ignore[arg-type]


def test_pieces_stand_side_by_side_as_wide_as_their_minutes() -> None:
    found = pieces(bar())
    for (left, width), (next_left, _) in pairwise(found):
        assert left + width == pytest.approx(next_left, abs=0.15)
    unit = found[0][1] / 45
    assert [width / unit for _, width in found] == pytest.approx([45, 15, 30, 60], abs=0.2)


def test_each_kind_looks_its_own_way_without_colour_and_has_its_own_letter() -> None:
    assert len(set(LOOKS.values())) == len(LOOKS) == len(TimeOn)
    assert len(set(LETTERS.values())) == len(TimeOn)
    assert len({draw_minutes_key(one) for one in TimeOn}) == len(TimeOn)


def test_it_is_told_in_words_to_those_who_do_not_see_it() -> None:
    said = bar()
    assert "press time 2 h 30 min (2 h 30 min to 3 h 45 min)" in said
    for one in LINES:
        assert line_in_words(one) in said


def test_a_time_of_nothing_is_drawn_without_a_fault() -> None:
    assert pieces(draw_minutes_bar(TrialTime(lines=(), minutes=0.0, least=0.0, most=0.0))) == []


@law(minutes=st.lists(st.floats(0.01, 5000), min_size=6, max_size=6))
def test_nothing_leaves_the_drawing(minutes: list[float]) -> None:
    lines = [minutes_for(what, one) for what, one in zip(TimeOn, minutes, strict=True)]
    for left, width in pieces(draw_minutes_bar(press_time(lines))):
        assert left >= 0
        assert left + width <= 560.05


@pytest.mark.parametrize(
    ("minutes", "said"), [(0, "0 min"), (33.4, "33 min"), (59.7, "1 h"), (85, "1 h 25 min"), (6000, "100 h")]
)
def test_minutes_are_said_as_people_say_them(minutes: float, said: str) -> None:
    assert duration(minutes) == said


def test_spans_and_runs_of_shots() -> None:
    assert duration_span(21.6, 48) == "22 to 48 min"
    assert duration_span(50, 70) == "50 min to 1 h 10 min"
    assert duration_span(45, 45.2) == "45 min"
    assert (run_of_shots(9, 9), run_of_shots(9, 1200)) == ("9", "9 to 1,200")

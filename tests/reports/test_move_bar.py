"""The move bar: from where a size stands to where the next trial should find it."""

from __future__ import annotations

from math import inf

import pytest
from hypothesis import given
from hypothesis import strategies as st

from offtool.core.values import Interval
from offtool.reports.move_bar import draw_move_bar
from tests.reports.drawn import Drawing, drawn
from tests.reports.factories import size_expected

ANY = st.floats(allow_nan=False, allow_infinity=False)


def dots(drawing: Drawing) -> list[float]:
    """Where now and the next trial are drawn."""
    return [mark.middle for mark in drawing.marks if mark.kind == "circle"]


def test_both_dots_stand_between_the_limits_where_the_numbers_do() -> None:
    size = size_expected(now=3.9925, expected=4.0175, interval=Interval(low=4.005, high=4.03, confidence=0.8))
    drawing = drawn(draw_move_bar(size, width=230))
    assert [mark.left for mark in drawing.named("limit")] == [65.0, 165.0]
    assert dots(drawing) == pytest.approx([90.0, 140.0], abs=0.11)
    down, along = drawing.named("way")
    assert (down.left, along.left, along.right) == pytest.approx((90.0, 90.0, 140.0), abs=0.11)
    (heavy,) = drawing.named("mean")
    assert (heavy.left, heavy.right) == pytest.approx((115.0, 165.0), abs=0.11)


def test_the_words_say_the_way() -> None:
    assert drawn(draw_move_bar(size_expected())).says == (
        "now 3.966, 0.014 below the lower limit; expected 4.003 ± 0.006, inside, 0.023 from the lower limit"
    )


def test_an_infinite_interval_is_not_drawn_as_a_line() -> None:
    drawing = drawn(draw_move_bar(size_expected(interval=Interval(low=-inf, high=inf, confidence=0.8))))
    assert drawing.named("mean") == []
    assert "no interval" in drawing.says


@given(
    now=ANY, expected=ANY, low=ANY, high=ANY, lower=st.one_of(ANY, st.none()), upper=st.one_of(ANY, st.none())
)
def test_nothing_leaves_the_drawing(
    now: float, expected: float, low: float, high: float, lower: float | None, upper: float | None
) -> None:
    if lower is not None and upper is not None and lower >= upper:
        lower = None
    interval = Interval(low=low, high=high, confidence=0.8)
    size = size_expected(now=now, expected=expected, interval=interval, lower=lower, upper=upper)
    assert drawn(draw_move_bar(size)).leaves_its_view() == []

"""The limit bar in signs says what the numbers say."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from offtool.cli.limit_bar import limit_bars
from offtool.core.inspection import SizeFinding, judge_size
from offtool.core.values import ImpossibleInput

COLUMNS = 41


def judged(
    values: list[float], lower: float | None, upper: float | None, index: float | None = 1.0
) -> SizeFinding:
    return judge_size(values, ["1"] * len(values), lower=lower, upper=upper, required_index=index)


def bar(finding: SizeFinding) -> str:
    return limit_bars(finding, finding.cavities, columns=COLUMNS)[0]


def test_a_centred_size_stands_in_the_middle_and_holds() -> None:
    drawn = bar(judged([9.99, 10.0, 10.01] * 10, 9.9, 10.1))
    assert drawn[COLUMNS // 2] == "●"
    assert drawn.count("│") == 2
    assert drawn == drawn[::-1]


@pytest.mark.parametrize(
    ("values", "mark"),
    [([9.99, 10.0, 10.01] * 10, "●"), ([9.98, 10.0, 10.02], "○"), ([9.88, 9.89, 9.9], "×")],
)
def test_the_mark_tells_the_verdict(values: list[float], mark: str) -> None:
    drawn = bar(judged(values, 9.9, 10.1))
    assert {sign for sign in drawn if sign in "●○×"} == {mark}


def test_both_limits_stand_at_the_same_places_for_every_size() -> None:
    small, large = (
        bar(judged([4.004, 4.005, 4.006], 3.98, 4.03)),
        bar(judged([61.99, 62, 62.01], 61.85, 62.15)),
    )
    places = [[place for place, sign in enumerate(drawn) if sign in "│┼┿"] for drawn in (small, large)]
    assert places[0] == places[1]


def test_a_line_that_crosses_a_limit_shows_the_limit() -> None:
    thin, heavy = bar(judged([9.9, 9.96] * 20, 9.9, 10.1)), bar(judged([9.9, 9.93, 9.96, 9.99], 9.9, 10.1))
    assert "┼" in thin
    assert "┿" in heavy


@pytest.mark.parametrize(("values", "end"), [([9.0, 9.01, 9.02], "<"), ([11.0, 11.01, 11.02], ">")])
def test_what_lies_beyond_the_bar_leaves_an_arrow(values: list[float], end: str) -> None:
    drawn = bar(judged(values, 9.9, 10.1))
    assert (drawn[0] if end == "<" else drawn[-1]) == end
    assert "×" not in drawn


@pytest.mark.parametrize(("lower", "upper"), [(2.0, None), (None, 9.0)])
def test_with_one_limit_all_parts_inside_are_seen(lower: float | None, upper: float | None) -> None:
    drawn = bar(judged([5.0, 5.5, 6.0], lower, upper))
    assert drawn.count("│") == 1
    assert "○" in drawn
    assert not {"<", ">"} & set(drawn)


@given(
    st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=5),
    st.floats(-1e6, 1e6) | st.none(),
    st.floats(-1e6, 1e6) | st.none(),
)
def test_any_size_gives_a_bar_of_the_width_asked(
    values: list[float], lower: float | None, upper: float | None
) -> None:
    try:
        finding = judged(values, lower, upper)
    except ImpossibleInput:
        return
    assert [len(drawn) for drawn in limit_bars(finding, finding.cavities, columns=COLUMNS)] == [COLUMNS]

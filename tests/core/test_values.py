"""Ranges, intervals and errors: what is impossible, what is unusual, what is said."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import strategies as st

from offtool.core.values import (
    Caution,
    ImpossibleInput,
    Interval,
    NotEnoughData,
    OfftoolError,
    Range,
    Verdict,
    nearest,
)
from tests.core.laws import law

WALL = Range(
    meaning="wall",
    unit="mm",
    above=0,
    at_most=50,
    usual=(0.5, 6),
    source="a handbook",
    remedy="measure again",
)
SHARE = Range(meaning="share", at_least=0, below=1)


@pytest.mark.parametrize("value", [0.001, 3, 50, np.float64(2), [1.0, 2.0], (), np.array([0.1, 50.0])])
def test_what_can_be_passes(value: object) -> None:
    WALL.refuse_impossible("wall_mm", value)


@pytest.mark.parametrize(
    ("value", "shown", "limit"),
    [
        (0, "0.0", "must be above 0"),
        (-1.0, "-1.0", "must be above 0"),
        (50.001, "50.001", "must be at most 50"),
        (float("nan"), "nan", "must be a finite number"),
        (float("inf"), "inf", "must be a finite number"),
        ([1.0, 99.0, 2.0], "99.0", "must be at most 50"),
        ([1.0, float("nan"), 2.0], "nan", "must be a finite number"),
        (np.array([[1.0, 2.0], [0.0, 3.0]]), "0.0", "must be above 0"),
    ],
)
def test_what_cannot_be_is_refused_with_name_value_unit_limit_and_remedy(
    value: object, shown: str, limit: str
) -> None:
    with pytest.raises(ImpossibleInput) as refused:
        WALL.refuse_impossible("wall_mm", value)
    assert str(refused.value) == f"wall_mm = {shown} mm: {limit}; measure again"
    assert (refused.value.argument, refused.value.unit, refused.value.limit) == ("wall_mm", "mm", limit)


@pytest.mark.parametrize("value", [-1e-9, 1.0, 2.0])
def test_closed_and_open_ends_are_told_apart(value: float) -> None:
    SHARE.refuse_impossible("share", 0.0)
    SHARE.refuse_impossible("share", 1.0 - 1e-12)
    with pytest.raises(ImpossibleInput):
        SHARE.refuse_impossible("share", value)


def test_infinity_passes_only_where_it_may() -> None:
    side = Range(meaning="limit", may_be_infinite=True)
    side.refuse_impossible("upper", [float("inf"), 4.0, -float("inf")])
    with pytest.raises(ImpossibleInput, match="finite"):
        side.refuse_impossible("upper", float("nan"))


@pytest.mark.parametrize(
    ("value", "shown"), [(0.4, "0.4"), (7, "7"), ([1.0, 9.0], "9"), ([0.25, 3.0], "0.25")]
)
def test_the_unusual_is_answered_with_a_caution_and_its_source(value: object, shown: str) -> None:
    caution = WALL.caution("wall_mm", value)
    assert caution == Caution(f"wall_mm = {shown} mm lies outside the usual 0.5 to 6 mm", "a handbook")


@pytest.mark.parametrize("value", [0.5, 6.0, [1.0, 5.0], []])
def test_the_usual_is_not_cautioned_against(value: object) -> None:
    assert WALL.caution("wall_mm", value) is None
    assert SHARE.caution("share", value) is None


@pytest.mark.parametrize(
    ("range_", "words"),
    [
        (WALL, "above 0 and at most 50"),
        (SHARE, "at least 0 and below 1"),
        (Range(meaning="any"), "any number"),
        (Range(meaning="x", above=-0.2, below=0.2), "above -0.2 and below 0.2"),
    ],
)
def test_a_range_says_itself_in_words(range_: Range, words: str) -> None:
    assert range_.words() == words


bounds = st.floats(-100, 100)


@law(low=bounds, high=bounds, value=bounds)
def test_a_range_refuses_exactly_what_lies_outside(low: float, high: float, value: float) -> None:
    range_ = Range(meaning="x", at_least=min(low, high), at_most=max(low, high))
    if min(low, high) <= value <= max(low, high):
        range_.refuse_impossible("x", value)
    else:
        with pytest.raises(ImpossibleInput):
            range_.refuse_impossible("x", value)


@law(values=st.lists(st.floats(-10, 10), min_size=1, max_size=8))
def test_a_list_is_refused_exactly_when_one_of_it_is(values: list[float]) -> None:
    def refused(value: object) -> bool:
        try:
            SHARE.refuse_impossible("share", value)
        except ImpossibleInput:
            return True
        return False

    assert refused(values) is any(refused(value) for value in values)


@law(low=bounds, width=st.floats(0, 50), value=bounds)
def test_an_interval_holds_what_lies_between_its_ends(low: float, width: float, value: float) -> None:
    interval = Interval(low=low, high=low + width, confidence=0.95)
    assert (value in interval) is (low <= value <= low + width)
    assert interval.low in interval
    assert interval.high in interval
    assert interval.half_width == pytest.approx(width / 2, abs=1e-12)


def test_an_open_interval_holds_everything_on_its_side() -> None:
    interval = Interval(low=4.0, high=float("inf"), confidence=0.95)
    assert 1e300 in interval
    assert 3.9 not in interval


def test_errors_say_what_where_and_the_remedy() -> None:
    assert str(OfftoolError("no trial")) == "no trial"
    assert str(OfftoolError("no trial", where="T9")) == "T9: no trial"
    assert str(OfftoolError("no trial", where="T9", remedy="read one")) == "T9: no trial; read one"
    assert isinstance(NotEnoughData("few"), OfftoolError)
    assert isinstance(ImpossibleInput("x", 1, "mm", "no"), OfftoolError)


def test_the_three_verdicts_read_as_an_inspector_would_say_them() -> None:
    assert [str(verdict) for verdict in Verdict] == ["holds", "does not hold", "not shown"]


@pytest.mark.parametrize(
    ("name", "known", "said"),
    [
        ("oter", ["otter", "clip"], "did you mean 'otter'?"),
        ("x", ["b", "a", "b"], "known are: a, b"),
        ("x", [], "there are none yet"),
        ("x", [f"name {at:02}" for at in range(21)], "known are: name 00, name 01, "),
    ],
)
def test_an_unknown_name_is_answered_with_the_nearest_one_or_with_all(
    name: str, known: list[str], said: str
) -> None:
    found = nearest(name, known)
    assert found.startswith(said)
    assert found.endswith(" …") == (len(known) > 20)

"""A concession counts from its day until its end, for what it was given for."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import strategies as st

from offtool.core.pilot.release import ConcessionGiven, covers, why_it_does_not_count
from offtool.core.values import ImpossibleInput
from tests.core.laws import law

GIVEN, LAST = date(2026, 3, 1), date(2026, 4, 30)


def given(**changed: object) -> ConcessionGiven:
    told: dict[str, object] = {"item": "", "given_on": GIVEN, "until": LAST, "pieces": None} | changed
    return ConcessionGiven(**told)  # type: ignore[arg-type]


def why(one: ConcessionGiven, on: date, made: int | None = None) -> str:
    return why_it_does_not_count(one, on=on, made=made)


def test_its_first_and_its_last_day_count() -> None:
    assert why(given(), GIVEN) == ""
    assert why(given(), LAST) == ""


def test_the_day_before_and_the_day_after_do_not() -> None:
    assert why(given(), GIVEN - timedelta(days=1)) == "given from 2026-03-01 on"
    assert why(given(), LAST + timedelta(days=1)) == "its last day was 2026-04-30"


def test_it_is_used_up_when_its_pieces_are_made() -> None:
    one = given(until=None, pieces=500)
    assert why(one, GIVEN, 499) == ""
    assert why(one, GIVEN, 500) == "its 500 pieces are made"


def test_where_nobody_counts_the_pieces_it_counts() -> None:
    assert why(given(until=None, pieces=500), LAST + timedelta(days=900), None) == ""


def test_of_a_day_and_a_number_whichever_comes_first_ends_it() -> None:
    one = given(pieces=500)
    assert why(one, GIVEN, 600)
    assert why(one, LAST + timedelta(days=1), 0)


def test_one_that_was_ended_counts_no_more_from_that_day_on() -> None:
    one = given(closed_on=date(2026, 3, 20))
    assert why(one, date(2026, 3, 19)) == ""
    assert why(one, date(2026, 3, 20)) == "closed on 2026-03-20"


def test_one_without_an_end_is_refused() -> None:
    with pytest.raises(ImpossibleInput, match="last day, a number of pieces"):
        why(given(until=None), GIVEN)


def test_it_covers_what_it_names_and_what_belongs_to_that() -> None:
    assert covers("HO-04 2", "HO-04 2, cavity 3")
    assert covers("ho-04  2", "HO-04 2")
    assert not covers("HO-04 2, cavity 3", "HO-04 2")
    assert not covers("HO-04 2", "HO-04 21")
    assert not covers("HO-04 2, cavity 3", "HO-04 2, cavity 4")


@law(item=st.text(max_size=12))
def test_one_that_names_nothing_covers_the_whole_line(item: str) -> None:
    assert covers("", item)
    assert covers(item, item)


@law(days=st.integers(0, 60), more=st.integers(0, 400))
def test_a_later_end_never_takes_a_day_away(days: int, more: int) -> None:
    on = GIVEN + timedelta(days=days)
    if not why(given(), on):
        assert not why(given(until=LAST + timedelta(days=more)), on)

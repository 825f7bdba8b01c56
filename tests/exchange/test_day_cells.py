"""Days in the forms in which shops write them; a day that could be two is not read."""

from __future__ import annotations

from datetime import date, datetime

import pytest
from hypothesis import strategies as st

from offtool.exchange.day_cells import CENTURY, TIME_LEFT_OUT, DayRead, day_in_text, read_day
from offtool.exchange.readings.numbers import Unread
from tests.core.laws import law

GERMAN = ("Jan", "Feb", "März", "April", "Mai", "Juni", "Juli", "Aug", "Sept", "Okt", "Nov", "Dezember")
days = st.dates(date(2000, 1, 1), date(2099, 12, 31))


@pytest.mark.parametrize(
    ("text", "day", "why"),
    [
        ("24.11.2026 06:00", date(2026, 11, 24), TIME_LEFT_OUT),
        ("2026-12-01 06:00", date(2026, 12, 1), TIME_LEFT_OUT),
        ("2026-12-03T22:00", date(2026, 12, 3), TIME_LEFT_OUT),
        ("2026-12-03 00:00:00", date(2026, 12, 3), ""),
        ("1.12.26", date(2026, 12, 1), CENTURY),
        ("5. Dez 2026", date(2026, 12, 5), ""),
        ("5 Dec 2026", date(2026, 12, 5), ""),
        ("2026年12月5日", date(2026, 12, 5), ""),
        ("25/12/2026", date(2026, 12, 25), ""),
        ("12/25/2026", date(2026, 12, 25), ""),
        ("12/12/2026", date(2026, 12, 12), ""),
    ],
)
def test_a_day_is_read_and_what_is_left_out_of_it_is_said(text: str, day: date, why: str) -> None:
    assert read_day(text) == DayRead(day, why)


@pytest.mark.parametrize("text", ["01/12/2026", "1-12-26"])
def test_a_day_that_could_be_two_is_asked_for_with_both(text: str) -> None:
    found = read_day(text)
    assert isinstance(found, Unread)
    assert found.why == "is 1 December to some and 12 January to others"
    assert "2026-12-01 or 2026-01-12" in found.remedy


@pytest.mark.parametrize(
    "text", ["31.2.2026", "5 Foo 2026", "tomorrow", "2026-12-01 25:00", "6:00", "12.2026"]
)
def test_what_is_no_day_is_none(text: str) -> None:
    assert isinstance(read_day(text), Unread)


def test_the_time_of_a_sheet_is_not_dropped_in_silence() -> None:
    assert read_day(datetime(2026, 12, 1, 6)) == DayRead(date(2026, 12, 1), TIME_LEFT_OUT)
    assert read_day(datetime(2026, 12, 1)) == DayRead(date(2026, 12, 1))
    assert read_day("") is None


@law(day=days)
def test_every_form_of_a_day_is_that_day(day: date) -> None:
    named = f"{day.day}. {GERMAN[day.month - 1]} {day.year}"
    for text in (
        day.isoformat(),
        f"{day:%d.%m.%Y}",
        f"{day:%d.%m.%y}",
        f"{day.day} {day:%B} {day.year}",
        named,
    ):
        found = day_in_text(text)
        assert isinstance(found, DayRead)
        assert found.day == day

"""What makes evidence stale: kind, place, day and age; and nothing else does."""

from __future__ import annotations

from datetime import date, timedelta

from hypothesis import strategies as st

from offtool.core.pilot.release import Happened, StaleBecause, touched, what_made_stale
from tests.core.laws import law

TESTED = date(2026, 3, 10)
TODAY = date(2026, 6, 1)
DAYS = st.dates(min_value=date(2025, 1, 1), max_value=date(2026, 12, 31))
NAMES = st.frozensets(st.sampled_from(["size:1", "size:2", "part:A", "joint:hip"]), max_size=3)


def paint(on: date | None, *touches: str) -> Happened:
    return Happened(change="paint", on=on, words="another lot", touches=frozenset(touches))


def stale(*happened: Happened, day: date | None = TESTED, rests_on: tuple[str, ...] = (),
          stale_by: tuple[str, ...] = ("paint",), after: int | None = None,
          on: date = TODAY) -> tuple[StaleBecause, ...]:  # fmt: skip
    return what_made_stale(
        day, happened, rests_on=frozenset(rests_on), stale_by=stale_by, stale_after_days=after, on=on
    )


def test_a_later_change_of_a_kind_that_counts_makes_it_stale() -> None:
    reasons = stale(paint(TESTED + timedelta(days=1)))
    assert [(one.change, one.on) for one in reasons] == [("paint", date(2026, 3, 11))]


def test_an_older_change_does_not() -> None:
    assert stale(paint(TESTED - timedelta(days=1))) == ()


def test_a_change_of_another_kind_does_not() -> None:
    assert stale(paint(TESTED + timedelta(days=1)), stale_by=("steel",)) == ()


def test_of_a_change_on_the_same_day_nobody_knows_which_came_first() -> None:
    (reason,) = stale(paint(TESTED))
    assert "nobody wrote which came first" in reason.words


def test_a_change_that_is_yet_to_come_does_not_count_yet() -> None:
    assert stale(paint(TODAY + timedelta(days=1))) == ()


def test_a_day_that_nobody_wrote_down_counts_against_the_evidence() -> None:
    assert stale(paint(None))
    assert stale(paint(TESTED - timedelta(days=90)), day=None)


def test_a_change_of_another_part_leaves_it_as_it_is() -> None:
    later = TESTED + timedelta(days=1)
    assert stale(paint(later, "part:A"), rests_on=("part:B",)) == ()
    assert stale(paint(later, "part:A"), rests_on=("part:A", "part:B"))


def test_age_alone_makes_it_stale_on_the_day_after_the_last_one_allowed() -> None:
    assert stale(after=83) == ()  # 10 March to 1 June are 83 days
    (reason,) = stale(after=82)
    assert reason.words == "83 days old; 82 are allowed"
    assert reason.change == ""


def test_evidence_without_a_day_is_too_old_where_age_counts() -> None:
    assert stale(day=None, after=365)
    assert stale(day=None) == ()


@law(a=NAMES, b=NAMES)
def test_touching_goes_both_ways_and_nothing_named_is_everything(
    a: frozenset[str], b: frozenset[str]
) -> None:
    assert touched(a, b) == touched(b, a)
    assert touched(frozenset(), b)
    assert touched(a, a)


@law(changed=DAYS, tested=DAYS, later=st.integers(0, 300))
def test_newer_evidence_is_never_more_stale(changed: date, tested: date, later: int) -> None:
    newer = tested + timedelta(days=later)
    if not stale(paint(changed), day=tested, on=date(2027, 12, 31)):
        assert not stale(paint(changed), day=newer, on=date(2027, 12, 31))


@law(changed=DAYS, tested=DAYS, asked=DAYS, later=st.integers(0, 300), after=st.integers(1, 400))
def test_what_is_stale_stays_stale_as_time_goes_by(
    changed: date, tested: date, asked: date, later: int, after: int
) -> None:
    now = stale(paint(changed), day=tested, after=after, on=asked)
    then = stale(paint(changed), day=tested, after=after, on=asked + timedelta(days=later))
    assert len(then) >= len(now)

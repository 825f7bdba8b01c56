"""The way to the release in days of the calendar: by hand, against the day asked for, and in words."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import strategies as st

from offtool.core.pilot.release import StaleBecause, Standing
from offtool.core.values import Verdict
from offtool.steps.way_days import day_begun, day_done, day_in_words, days_through, days_until
from offtool.steps.way_sentences import in_time
from offtool.steps.way_tools import SlotAhead
from tests.core.laws import law
from tests.labels import independent
from tests.reports import reviews, ways
from tests.reports.reviews import fact, line, size
from tests.reports.ways import tool, way

MONDAY = date(2026, 3, 23)
DAYS = st.dates(date(2026, 1, 1), date(2027, 12, 31))


def counted(first: date, last: date) -> int:
    """Working days from the first day to the last, walked one by one."""
    days = (first + timedelta(days=n) for n in range((last - first).days + 1))
    return sum(day.weekday() < 5 for day in days)


@law(on=DAYS, days=st.integers(1, 200))
def test_a_day_that_is_done_is_so_many_working_days_on(on: date, days: int) -> None:
    done = day_done(on, float(days))
    assert done.weekday() < 5
    assert counted(on, done) == independent(days, way="the days walked one by one")


@law(on=DAYS, days=st.integers(0, 200))
def test_what_begins_when_another_ends_begins_on_the_next_working_day(on: date, days: int) -> None:
    begins = day_begun(on, float(days))
    assert counted(on, begins) == independent(days + 1, way="the days walked one by one")


@law(on=DAYS, ahead=st.integers(0, 300))
def test_days_until_and_through_are_counted(on: date, ahead: int) -> None:
    day = on + timedelta(days=ahead)
    assert days_through(on, day) == counted(on, day)
    assert days_until(on, day) == max(counted(on, day - timedelta(days=1)), 0)


def test_half_a_day_ends_on_the_same_day() -> None:
    assert day_done(MONDAY, 0.5) == MONDAY
    assert day_begun(MONDAY, 0.5) == MONDAY
    assert day_done(date(2026, 3, 28), 1.0) == date(2026, 3, 30), "a Saturday: the Monday after"
    assert day_in_words(MONDAY) == "23 March 2026"


def test_the_way_adds_up_by_hand() -> None:
    """One tool, a cut that is decided and a slot that is fixed: each day counted on a calendar."""
    slot = SlotAhead(trial="T4", fixed=date(2026, 4, 15), earliest=None)
    ahead = tool("M3", decided=1, slots=(slot,))
    review = reviews.review(lines=(line("sizes", Standing.FAILS, size("M3", "HO-05 6", Standing.FAILS)),))
    sure = {"cut": (5.0, 5.0), "trial": (1.0, 1.0), "measure": (3.0, 3.0), "review": (2.0, 2.0)}
    found = way(review, tools=(ahead,), own=sure, due=None)
    assert [one.step for one in found.steps] == ["cut M3", "trial M3", "measure M3", "review"]
    assert [(one.starts, one.ends) for one in found.steps] == [
        (MONDAY, date(2026, 3, 27)),
        (date(2026, 4, 15), date(2026, 4, 15)),
        (date(2026, 4, 16), date(2026, 4, 20)),
        (date(2026, 4, 21), date(2026, 4, 22)),
    ]
    assert found.of("cut M3").must_end == date(2026, 4, 14)
    assert found.path == ("trial M3", "measure M3", "review")
    assert found.ends == found.ends_first == found.ends_last == date(2026, 4, 22)
    assert found.headline.startswith("Harbour otter is 4 weeks from release")
    assert all(one.is_own for one in found.steps)


@pytest.mark.parametrize(
    ("due", "verdict", "said"),
    [
        (date(2026, 4, 1), Verdict.FAILS, "cannot be kept"),
        (date(2027, 4, 1), Verdict.HOLDS, "can be kept"),
    ],
)
def test_a_day_that_is_asked_for_is_judged_by_the_band(due: date, verdict: Verdict, said: str) -> None:
    found = way(due=due)
    assert found.verdict is verdict
    assert said in in_time(found)
    assert found.chance_in_time == (1.0 if verdict is Verdict.HOLDS else 0.0)


def test_inside_the_band_nobody_can_say_and_the_chance_is_told() -> None:
    open_ = way(due=None)
    assert (open_.verdict, in_time(open_)) == (None, "")
    found = way(due=open_.ends)
    assert found.verdict is Verdict.NOT_SHOWN
    assert found.chance_in_time is not None
    assert 0.05 < found.chance_in_time < 0.95
    assert "may be kept or not" in in_time(found)


def test_hurrying_a_step_that_decides_brings_the_end_nearer_and_any_other_does_not() -> None:
    found = way()
    for one in found.steps:
        own = {one.kind: (0.0, 0.0)}
        sooner = way(own=own).ends
        assert sooner <= found.ends
        if not one.decides and one.tool == "":
            assert sooner == found.ends


def test_more_days_for_a_step_never_bring_the_end_nearer() -> None:
    found = way()
    for one in found.steps:
        assert way(own={one.kind: (one.low_days, one.high_days + 20)}).ends_last >= found.ends_last


def test_the_even_chance_lies_in_the_band_and_never_before_the_middle_of_every_step() -> None:
    found = way()
    assert found.ends_first <= found.ends <= found.even_chance <= found.ends_last
    sure = way(own={one.kind: (one.low_days, one.low_days) for one in found.steps})
    assert sure.even_chance == sure.ends == sure.ends_last


def test_what_can_begin_now_is_told_first_those_that_decide() -> None:
    found = way()
    doing = [found.of(one.step) for one in found.actions]
    assert all(one.starts == MONDAY for one in doing)
    assert doing[0].step == "decide M3"
    chances = [one.chance_to_decide for one in doing]
    assert chances == sorted(chances, reverse=True)


def test_each_tool_stands_by_the_worst_of_its_sizes() -> None:
    stands = {one.tool: one for one in way().tools}
    assert (stands["M3"].standing, stands["M1"].standing) == (Standing.FAILS, Standing.HOLDS)
    assert stands["M3"].words == "Of its sizes, 1 does not hold."
    assert stands["M1"].words == "Its sizes hold for the release."


def test_what_became_stale_is_told_by_the_change_that_did_it() -> None:
    (told,) = way().gone_stale
    assert (told.change, told.on, told.lines) == (
        "mask",
        date(2026, 3, 18),
        (("decoration", "Paint and print"),),
    )


def test_what_was_open_before_a_change_and_is_older_than_it_is_told_beside_what_it_made_stale() -> None:
    """The review asks for both again, so a reader of this list alone must not forget the one that failed."""
    cut = StaleBecause(change="steel", on=date(2026, 3, 20), words="M1 was cut to state d")
    open_before = line(
        "joints-fresh",
        Standing.FAILS,
        fact("hip", Standing.FAILS, stale_because=(cut,)),
        fact("neck", Standing.HOLDS),
    )
    made_stale = line("seams", Standing.STALE, fact("torso", Standing.STALE, stale_because=(cut,)))
    conceded = line("weight", Standing.CONCESSION, fact("M1", Standing.CONCESSION, stale_because=(cut,)))
    (told,) = way(reviews.review(lines=(open_before, made_stale, conceded))).gone_stale
    assert [code for code, _ in told.lines] == ["seams"]
    assert [code for code, _ in told.older] == ["joints-fresh"]


def test_a_programme_that_is_ready_says_so() -> None:
    ready = reviews.review(lines=(line("sizes", Standing.HOLDS), line("signatures", Standing.HOLDS)))
    found = way(ready)
    assert found.steps == found.actions == found.path == ()
    assert "no step left" in found.headline
    assert found.ends == MONDAY


def test_lines_are_counted_without_the_signatures() -> None:
    found = way()
    assert (found.lines_met, found.lines_asked) == (2, 6)


def test_what_is_not_said_is_named() -> None:
    found = way(reviews.review(unsaid=("for which markets it is",)), due=None)
    assert found.missing == (
        "for which markets it is",
        "the day by which release is asked for",
        "a trial that is asked for: M3",
    )


def test_a_step_of_many_tools_is_one_word_in_the_headline() -> None:
    fails = line(
        "sizes", Standing.FAILS, size("M3", "HO-05 6", Standing.FAILS), size("M1", "HO-02 4", Standing.FAILS)
    )
    assert "tools M1, M3" in way(reviews.review(lines=(fails,))).headline
    assert ways.TOOLS[0].tool == "M1"

"""The plan of all trials from the record: what is taken, what is said to be missing, what is fixed."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest

from offtool.core.values import ImpossibleInput
from offtool.handbook.shop_times import ENGINEERS_UNSAID
from offtool.records.models import Press, TrialRequest
from offtool.records.operations import fix_slot, say_engineers, say_press_off
from offtool.records.queries import find_programme
from offtool.records.queries.finding import NotInRecord
from offtool.steps.fix_trial_slot import fix_all, fix_trial, release_trial
from offtool.steps.place_trials import place_waiting_trials
from offtool.steps.slots_found import SlotsFound
from tests.labels import independent
from tests.steps.asked import NAME, ON, make_asked, run_job
from tests.web import otter

pytestmark = pytest.mark.django_db
TRIAL = f"{otter.TOOL} {NAME}"


def plan(**asked: object) -> SlotsFound:
    return place_waiting_trials(otter.SLUG, from_day=ON, seconds=5, **asked)  # type: ignore[arg-type]


def at(day: int, hour: int) -> datetime:
    return datetime(2026, 3, day, hour, tzinfo=UTC)


def press(code: str) -> Press:
    return Press.objects.get(code=code)


def test_a_trial_goes_to_the_press_on_which_nothing_is_lost() -> None:
    make_asked()
    run_job("P1")
    found = plan()
    one = found.placed[0]
    assert (one.trial, one.press, one.stops, one.lost) == (TRIAL, "P2", "", 0)
    assert found.headline.startswith(TRIAL)
    assert found.is_proved
    dearer = next(other for other in one.elsewhere if other.press == "P1")
    assert dearer.more is not None
    assert dearer.more > 0


def test_what_a_stopped_job_loses_is_its_margin_for_the_hours_it_stands() -> None:
    make_asked()
    run_job("P1", margin_per_h=20.0)
    run_job("P2", margin_per_h=35.0)
    one = plan().placed[0]
    assert one.press == "P1"
    assert one.lost == independent(
        20.0 * one.stands_h, way="20 for each hour between leaving the job and its return"
    )
    assert (one.ends - one.begins).total_seconds() / 3600 == one.stands_h


def test_first_shot_to_last_lies_while_an_engineer_is_there() -> None:
    make_asked()
    say_engineers(find_programme(otter.SLUG), at(26, 9), at(26, 15), made_by="tester")
    one = plan().placed[0]
    assert at(26, 9) <= one.first_shot
    assert one.last_shot <= at(26, 15)


def test_where_nobody_said_when_engineers_are_there_it_says_what_it_takes() -> None:
    make_asked()
    assert ENGINEERS_UNSAID in [one.says for one in plan().rests_on]


def test_nothing_is_put_on_a_press_while_it_stands() -> None:
    make_asked()
    for code in ("P1", "P2"):
        say_press_off(press(code), at(23, 0), at(25, 0), why="check ring", made_by="tester")
    assert plan().placed[0].begins >= at(25, 0)


def test_a_job_of_which_nobody_said_whether_it_may_stop_is_not_stopped_and_that_is_said() -> None:
    make_asked()
    for code in ("P1", "P2"):
        run_job(code, may_stop=None)
    found = plan()
    assert found.placed == ()
    assert any("whether J-1 on P1 may be stopped" in one for one in found.missing)
    assert any("may not be stopped" in one for one in found.unplaced[0].because)
    assert any("agree that it may be stopped" in one for one in found.unplaced[0].remedies)


def test_a_job_without_a_margin_is_said_to_count_as_nothing() -> None:
    make_asked()
    run_job("P1", margin_per_h=None)
    assert any("stopping it counts as nothing" in one for one in plan().missing)


def test_a_press_that_fails_to_fit_is_not_offered_and_says_why() -> None:
    make_asked()
    Press.objects.filter(code="P2").update(tie_bars_wide_mm=100.0, tie_bars_high_mm=100.0)
    found = plan()
    assert found.placed[0].press == "P1"
    told = next(one for one in found.placed[0].elsewhere if one.press == "P2")
    assert told.more is None
    assert told.because.startswith("P2: ")


def test_a_press_whose_fit_is_not_shown_is_offered_with_a_caution() -> None:
    make_asked(bare=True)
    found = plan()
    assert found.placed
    assert any("though the fit is not shown" in one.text for one in found.cautions)


def test_a_fixed_slot_stays_and_can_be_released() -> None:
    make_asked()
    fix_trial(otter.SLUG, otter.TOOL, NAME, press="P2", starts_at=at(26, 9), by="tester")
    one = plan().placed[0]
    assert (one.press, one.begins, one.is_fixed) == ("P2", at(26, 9), True)
    release_trial(otter.SLUG, otter.TOOL, NAME, by="tester")
    assert not plan().placed[0].is_fixed


def test_all_slots_are_fixed_or_none() -> None:
    make_asked()
    with pytest.raises(NotInRecord):
        fix_all(
            otter.SLUG,
            [(otter.TOOL, NAME, "P1", at(26, 9)), (otter.TOOL, "T99", "P1", at(27, 9))],
            by="tester",
        )
    assert TrialRequest.objects.get(name=NAME).press is None


def test_a_slot_fixed_before_the_first_day_is_said_to_run_or_to_have_run() -> None:
    request = make_asked()
    fix_slot(request, press("P1"), at(20, 9), made_by="tester")
    found = plan()
    assert found.placed == ()
    assert "before the first day" in found.unplaced[0].because[0]


def test_a_trial_that_slips_comes_later_and_says_what_it_costs() -> None:
    make_asked()
    run_job("P1")
    before = plan().placed[0]
    slip = plan(slip=TRIAL, slip_by_h=48.0).slip
    assert slip is not None
    assert slip.now is not None
    assert (slip.now - before.begins).total_seconds() / 3600 >= 48
    assert slip.headline.startswith(f"If {TRIAL} slips by 2 days")


def test_a_trial_that_does_not_wait_cannot_slip() -> None:
    make_asked()
    with pytest.raises(ImpossibleInput, match="not in the plan"):
        plan(slip="M9 T1")


def test_without_a_trial_it_says_to_ask_for_one() -> None:
    otter.make_programme()
    found = plan()
    assert found.headline == "No trial waits."
    assert found.actions[0].do == "Ask for a trial."


def test_a_trial_after_a_job_it_must_never_meet_carries_that_caution() -> None:
    make_asked()
    TrialRequest.objects.update(resin="POM")
    for code in ("P1", "P2"):
        run_job(code, resin="PVC-P", begins=date(2026, 3, 1))
    found = plan()
    assert found.placed
    assert any("PVC" in one.text and "POM" in one.text for one in found.cautions)

"""The plan of all trials from the record: what is taken, what is said to be missing, what is fixed."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest

from offtool.core.values import ImpossibleInput
from offtool.handbook.shop_times import ENGINEERS_UNSAID
from offtool.handbook.terms import TrialPurpose
from offtool.records.models import Press, Programme, Tool, TrialRequest
from offtool.records.operations import fix_slot, say_engineers, say_press_off
from offtool.records.queries import find_programme
from offtool.records.queries.finding import NotInRecord
from offtool.steps.fix_trial_slot import fix_all, fix_trial, release_trial
from offtool.steps.place_trials import place_waiting_trials
from offtool.steps.slots_found import SlotsFound
from tests.labels import independent
from tests.steps.asked import NAME, ON, ask, make_asked, run_job
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
    assert any("agree that the job may be stopped" in one for one in found.unplaced[0].remedies)


def test_a_job_without_a_margin_is_said_to_count_as_nothing() -> None:
    make_asked()
    run_job("P1", margin_per_h=None)
    assert any("stopping it counts as nothing" in one for one in plan().missing)


def test_what_is_taken_where_nobody_said_it_stands_under_not_said() -> None:
    make_asked(bare=True)
    said = [one.says for one in plan().rests_on if one.about == "Not said"]
    assert any(f"how long {otter.TOOL} takes to set up" in one for one in said)
    assert any("what one shot weighs" in one for one in said)
    assert any("the largest shot of P1" in one for one in said)


def test_hours_that_hardly_set_the_tool_up_are_said() -> None:
    make_asked()
    TrialRequest.objects.update(hours=0.5)
    assert any("0.5 h hardly set it up" in one for one in plan().missing)


def test_jobs_that_share_a_day_follow_one_another_at_noon_and_that_is_said() -> None:
    make_asked()
    run_job("P1", ends=date(2026, 3, 24))
    run_job("P1", code="J-2", begins=date(2026, 3, 24))
    found = plan()
    assert any("when J-2 on P1 takes over from J-1 on P1 on 2026-03-24: noon" in one for one in found.missing)
    first, second = (one for one in found.jobs if one.press == "P1")
    assert first.ends == second.begins == at(24, 12)


def test_a_job_that_never_ends_before_another_is_refused_in_words() -> None:
    make_asked()
    run_job("P1", ends=None)
    run_job("P1", code="J-2", begins=date(2026, 3, 24))
    with pytest.raises(ImpossibleInput, match="must not begin before J-1 on P1 ends"):
        plan()


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


def ask_next(tool: Tool, **columns: object) -> TrialRequest:
    return ask(tool, {TrialPurpose.SIZES: None}, name="T3", **{"due": date(2026, 3, 25), **columns})


def test_one_trial_without_a_place_is_named_with_the_reason() -> None:
    make_asked()
    for press_ in ("P1", "P2"):
        run_job(press_, may_stop=False)
    assert plan().headline == (
        f"{TRIAL} has no place: J-1 on P1 runs without an end and may not be stopped; "
        "J-1 on P2 runs without an end and may not be stopped."
    )


def test_two_trials_without_a_place_are_neither_placed() -> None:
    request = make_asked()
    ask_next(request.tool)
    for press_ in ("P1", "P2"):
        run_job(press_, may_stop=False)
    found = plan()
    assert found.headline.startswith(f"Neither of the two trials that wait has a place; {TRIAL}: J-1 on P1")


def test_trials_of_one_tool_keep_their_order_though_the_later_is_due_first() -> None:
    request = make_asked()
    ask_next(request.tool, late_per_day=500.0)
    run_job("P1")
    first, second = plan().placed
    assert (first.name, second.name) == (NAME, "T3")
    assert first.ends <= second.begins


def test_a_tenth_trial_comes_after_the_second() -> None:
    request = make_asked()
    ask(request.tool, {TrialPurpose.SIZES: None}, name="T10")
    assert [one.name for one in plan().placed] == [NAME, "T10"]


def test_a_tool_that_hangs_is_not_hung_again_and_its_press_is_not_back_between() -> None:
    request = make_asked()
    Press.objects.filter(code="P2").delete()
    ask_next(request.tool)
    run_job("P1")
    first, second = plan().placed
    assert first.followed_by == second.trial
    assert second.followed_by == ""
    assert second.begins == first.last_shot
    assert (second.first_shot - second.begins).total_seconds() == independent(
        0.0, way="the tool is in the press and the colour stays: nothing is left to change"
    )
    assert first.colour == "orange, as it is on the press"
    assert second.colour == "orange, as it is on the press"


def test_what_the_press_goes_back_to_is_said() -> None:
    request = make_asked()
    TrialRequest.objects.filter(pk=request.pk).update(wish="the colour of the product", colour="pearl grey")
    Press.objects.filter(code="P2").delete()
    run_job("P1")
    assert plan().placed[0].colour == "pearl grey, purged; then back to orange"


def test_nothing_begins_before_the_present_hour_of_the_first_day() -> None:
    make_asked()
    run_job("P1")
    early = plan(now=at(22, 13)).placed[0]
    assert early.begins < at(23, 13)
    late = plan(now=at(23, 13))
    assert late.placed[0].begins >= at(23, 13)
    assert any(fact.about == "Now" and "13:00" in fact.says for fact in late.rests_on)


def test_due_days_that_are_all_past_are_said() -> None:
    request = make_asked()
    assert not any(fact.about == "Due days" for fact in plan().rests_on)
    TrialRequest.objects.filter(pk=request.pk).update(due=date(2026, 3, 20))
    said = [fact.says for fact in plan().rests_on if fact.about == "Due days"]
    assert said == ["all lie before 2026-03-23: every trial is late, agree new days"]


def test_a_job_that_is_pushed_back_is_said_and_is_not_in_the_money() -> None:
    make_asked()
    Press.objects.filter(code="P2").delete()
    run_job("P1", ends=date(2026, 3, 25))
    run_job("P1", code="J-2", begins=date(2026, 3, 26), ends=date(2026, 4, 10), may_stop=False)
    fix_trial(otter.SLUG, otter.TOOL, NAME, press="P1", starts_at=at(24, 8), by="tester")
    found = plan()
    following = next(one for one in found.jobs if one.job == "J-2")
    assert following.begins_later_h == found.placed[0].stands_h
    said = [fact.says for fact in found.rests_on if fact.about == "Pushed back"]
    assert len(said) == 1
    assert said[0].startswith("J-2 on P1 begins ")
    assert said[0].endswith("later than said; what that costs is not in the money")


def test_money_without_a_currency_says_where_to_give_one() -> None:
    make_asked()
    Press.objects.filter(code="P2").delete()
    run_job("P1")
    Programme.objects.update(currency="")
    assert any("offtool prices" in fact.says for fact in plan().rests_on if fact.about == "Money")
    Programme.objects.update(currency="USD")
    assert not any(fact.about == "Money" for fact in plan().rests_on)


def test_a_job_of_which_only_the_colour_is_said_is_called_by_its_number() -> None:
    make_asked()
    Press.objects.filter(code="P2").delete()
    run_job("P1", code="A-100", product="", what="", colour="koralle")
    assert plan().placed[0].stops == "job A-100 in koralle"


def test_a_colour_that_nobody_named_or_measured_is_told_once() -> None:
    request = make_asked()
    TrialRequest.objects.filter(pk=request.pk).update(wish="the colour of the product", colour="")
    Press.objects.filter(code="P2").delete()
    run_job("P1")
    said = [one.text for one in plan().cautions if "is not measured" in one.text]
    assert any(f"The colour of {TRIAL} is not measured" in one for one in said)


def test_without_a_trial_it_says_to_ask_for_one() -> None:
    otter.make_programme()
    found = plan()
    assert found.headline == "No trial waits."
    assert found.actions[0].do == "Ask for a trial."


def run_everywhere(**columns: object) -> None:
    for code in ("P1", "P2"):
        run_job(code, **columns)


def pom_beside_pvc(**columns: object) -> SlotsFound:
    TrialRequest.objects.update(resin="POM")
    run_everywhere(**{"colour": "white", "resin": "PVC-P", "begins": date(2026, 3, 1), **columns})
    return plan()


@pytest.mark.parametrize("purpose", [TrialPurpose.SIZES, TrialPurpose.FIRST_LOOK])
def test_pom_goes_into_a_job_of_pvc_only_after_a_full_purge_there_and_back(purpose: TrialPurpose) -> None:
    make_asked(wants={purpose: None})
    found = pom_beside_pvc()
    one = found.placed[0]
    assert one.stops
    assert "as it is on the press" not in one.colour
    assert one.colour.endswith("only after a full purge; then back to white")
    assert [(each.when, each.old, each.new) for each in one.purges] == [
        ("before", "PVC-P", "POM"),
        ("after", "POM", "PVC-P"),
    ]
    assert all(each.hours > 1 for each in one.purges)
    assert one.stands_h >= sum(each.hours for each in one.purges) + 0.75
    assert one.lost == independent(20.0 * one.stands_h, way="20 for each hour it stands")
    assert "another press" in found.actions[0].do


@pytest.mark.parametrize("ends", [None, date(2026, 3, 24), date(2026, 3, 20)])
def test_the_caution_on_what_must_never_meet_stands_first(ends: date | None) -> None:
    """Whether the job runs, has ended in the plan, or ended before it: its resin is in the barrel."""
    make_asked()
    found = pom_beside_pvc(ends=ends, may_stop=ends is None)
    assert "must never meet" in found.cautions[0].text
    assert found.never == found.cautions[:1]
    assert found.placed[0].never == found.never
    assert found.placed[0].purges[0].when == "before"


def test_before_a_job_it_must_never_meet_the_way_back_is_a_full_purge() -> None:
    make_asked()
    found = pom_beside_pvc(begins=date(2026, 3, 30), may_stop=False)
    one = found.placed[0]
    assert not one.stops
    assert [(each.when, each.old, each.new) for each in one.purges] == [("after", "POM", "PVC-P")]
    assert "must never meet" in found.cautions[0].text


def test_no_trial_is_shot_as_it_is_in_another_resin() -> None:
    make_asked(wants={TrialPurpose.FIRST_LOOK: None})
    run_everywhere(resin="PP")
    one = plan().placed[0]
    assert "as it is on the press" not in one.colour
    assert one.never == ()


def test_where_nobody_wrote_down_what_ran_last_that_is_a_caution_and_the_change_is_counted() -> None:
    make_asked()
    found = plan()
    assert any("ran last on P" in one.text and "resin is not said" in one.text for one in found.cautions)
    one = found.placed[0]
    run_everywhere(begins=date(2026, 3, 2), ends=date(2026, 3, 20), colour="orange")
    known = plan()
    assert not any("resin is not said" in other.text for other in known.cautions)
    assert "ran last there" in known.placed[0].colour
    assert known.placed[0].first_shot - known.placed[0].begins < one.first_shot - one.begins


def test_a_resin_that_nobody_said_is_asked_for_before_parts_are_shot_in_it() -> None:
    make_asked()
    run_everywhere(resin="")
    found = plan()
    assert found.placed[0].colour.endswith("once its resin is known to be that of the parts")
    assert "resin is not said" in found.cautions[0].text

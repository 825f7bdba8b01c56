"""Plans of trials against every plan that could be made, and the laws that any plan keeps."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import pytest
from hypothesis import strategies as st

from offtool.core.planning.slots import (
    NOTHING,
    Change,
    FixedSlot,
    PlannedJob,
    PlannedPress,
    SlotPlan,
    SlotsGiven,
    Stretch,
    WaitingTrial,
    place_trials,
    slip_trial,
)
from offtool.core.values import ImpossibleInput
from tests.core.laws import law
from tests.core.planning.slots.every_plan import best_plan
from tests.core.planning.slots.small_shop import small_shop
from tests.labels import independent

SECONDS = 20.0
SEEDS = st.integers(0, 10_000)


def made(given: SlotsGiven) -> SlotPlan:
    return place_trials(given, seconds=SECONDS)


def changes(press: str, names: list[str], *, hours: float = 1.0, cost: float = 0.0) -> tuple[Change, ...]:
    """The same change between any two of these."""
    pairs = [(a, b) for a in names for b in names if a != b]
    return tuple(Change(press=press, before=a, after=b, hours=hours, cost=cost) for a, b in pairs)


def shop(
    *, may_stop: bool = True, ends_h: float | None = None, trials: int = 1, **of_trial: object
) -> SlotsGiven:
    """One press round the clock with one job, an engineer from 8 to 17, trials of two hours."""
    job = PlannedJob(job="J", begins_h=0, ends_h=ends_h, may_stop=may_stop, margin_per_h=10)
    press = PlannedPress(press="P", open=(Stretch(begins_h=0, ends_h=48),), jobs=(job,))
    names = [f"T{number + 1}" for number in range(trials)]
    told = {"hours": 2.0, "presses": ("P",), **of_trial}
    return SlotsGiven(
        presses=(press,),
        trials=tuple(WaitingTrial(trial=one, tool=one, **told) for one in names),  # type: ignore[arg-type]
        changes=changes("P", [NOTHING, "J", *names]),
        engineers=(Stretch(begins_h=8, ends_h=17), Stretch(begins_h=32, ends_h=41)),
        ends_h=48,
        step_min=60,
    )


@law(examples=40, seed=SEEDS)
def test_two_trials_cost_what_the_best_of_all_plans_costs(seed: int) -> None:
    given = small_shop(seed, trials=2, hours=18)
    many, cost = best_plan(given)
    plan = made(given)
    assert (len(plan.placed), plan.is_proved) == (many, True)
    assert plan.cost == pytest.approx(cost, abs=1e-6)


@law(examples=8, seed=SEEDS)
def test_three_trials_cost_what_the_best_of_all_plans_costs(seed: int) -> None:
    given = small_shop(seed, trials=3, hours=12)
    many, cost = best_plan(given)
    plan = made(given)
    assert (len(plan.placed), plan.is_proved) == (many, True)
    assert plan.cost == pytest.approx(cost, abs=1e-6)


@law(examples=40, seed=SEEDS)
def test_a_plan_keeps_every_rule(seed: int) -> None:
    given = small_shop(seed, trials=4, presses=2, hours=30)
    plan = made(given)
    trials = {one.trial: one for one in given.trials}
    presses = {one.press: one for one in given.presses}
    for one in plan.placed:
        trial = trials[one.trial]
        assert one.press in trial.presses
        assert one.begins_h >= trial.earliest_h
        assert one.last_shot_h - one.first_shot_h == trial.hours
        assert any(o.begins_h <= one.begins_h and one.ends_h <= o.ends_h for o in presses[one.press].open)
        late = max(one.last_shot_h - trial.due_h, 0) if trial.due_h is not None else 0
        assert one.late_cost == pytest.approx(late * trial.late_per_day / 24)
    for one, other in combinations(plan.placed, 2):
        assert one.press != other.press or one.ends_h <= other.begins_h or other.ends_h <= one.begins_h
    for hour in range(int(given.ends_h)):
        there = sum(o.begins_h <= hour < o.ends_h for o in given.engineers)
        runs = sum(
            one.first_shot_h <= hour < one.last_shot_h and trials[one.trial].needs_engineer
            for one in plan.placed
        )
        assert runs <= there


@law(examples=30, seed=SEEDS)
def test_the_bound_is_not_above_the_cost_nor_the_cost_above_the_hurried_plan(seed: int) -> None:
    plan = place_trials(small_shop(seed, trials=4, hours=30), seconds=0.2)
    assert plan.bound <= plan.cost + 1e-9
    placed_less = len(plan.unplaced) - plan.hurried_unplaced
    assert placed_less < 0 or plan.cost <= plan.hurried_cost + 1e-9


@law(examples=20, seed=SEEDS)
def test_one_more_press_never_costs_more(seed: int) -> None:
    given = small_shop(seed, trials=3, presses=2, hours=24)
    fewer = replace(
        given,
        trials=tuple(replace(t, presses=tuple(p for p in t.presses if p == "P1")) for t in given.trials),
    )
    more, less = made(given), made(fewer)
    assert len(more.placed) >= len(less.placed)
    assert len(more.placed) > len(less.placed) or more.cost <= less.cost + 1e-6


@law(examples=15, seed=SEEDS, times=st.sampled_from([0.001, 7.0, 1e6]))
def test_money_in_another_currency_gives_the_same_plan(seed: int, times: float) -> None:
    given = small_shop(seed, trials=3, hours=24)
    dearer = replace(
        given,
        presses=tuple(
            replace(p, jobs=tuple(replace(j, margin_per_h=j.margin_per_h * times) for j in p.jobs))
            for p in given.presses
        ),
        trials=tuple(replace(t, late_per_day=t.late_per_day * times) for t in given.trials),
        changes=tuple(replace(c, cost=c.cost * times) for c in given.changes),
    )
    assert made(dearer).cost == pytest.approx(made(given).cost * times, rel=1e-5, abs=1e-6 * times)


@law(examples=15, seed=SEEDS)
def test_presses_that_are_alike_can_change_names(seed: int) -> None:
    given = small_shop(seed, trials=3, presses=2, hours=24)
    named = {"P1": "P2", "P2": "P1"}
    turned = replace(
        given,
        presses=tuple(replace(p, press=named[p.press]) for p in given.presses),
        trials=tuple(replace(t, presses=tuple(named[p] for p in t.presses)) for t in given.trials),
        changes=tuple(replace(c, press=named[c.press]) for c in given.changes),
    )
    assert made(turned).cost == pytest.approx(made(given).cost, abs=1e-6)


@law(examples=20, seed=SEEDS)
def test_a_fixed_slot_stays(seed: int) -> None:
    given = small_shop(seed, trials=3, hours=24)
    plan = made(given)
    if not plan.placed:
        return
    one = plan.placed[-1]
    fixed = FixedSlot(press=one.press, starts_h=one.begins_h)
    again = made(
        replace(
            given,
            trials=tuple(replace(t, fixed=fixed) if t.trial == one.trial else t for t in given.trials),
        )
    )
    stays = again.of(one.trial)
    assert stays is not None
    assert (stays.press, stays.begins_h) == (one.press, one.begins_h)
    assert stays.is_fixed
    assert again.cost == pytest.approx(plan.cost, abs=1e-6)


def test_a_trial_costs_what_its_job_loses_while_it_stands() -> None:
    plan = made(shop())
    expected = independent(40.0, way="4 h with the changes of an hour each, at 10 an hour")
    assert plan.cost == expected
    one = plan.placed[0]
    assert (one.begins_h, one.first_shot_h, one.last_shot_h, one.ends_h) == (7, 8, 10, 11)
    assert (one.stops, one.stands_h) == ("J", 4)


def test_two_trials_go_straight_after_one_another_where_that_saves_the_way_back() -> None:
    plan = made(shop(trials=2))
    first, second = plan.placed
    assert first.ends_h == second.begins_h
    assert second.before == first.trial
    assert plan.cost == independent(70.0, way="three changes of an hour and two runs of two, at 10 an hour")


def test_a_job_that_was_stopped_ends_later_in_working_time() -> None:
    plan = made(shop(ends_h=24))
    job = plan.jobs[0]
    if plan.placed[0].stops:
        assert (job.ends_h, job.later_h, job.stands_h) == (28, 4, 4)
    else:
        assert plan.placed[0].begins_h >= 24


def test_where_a_job_ends_the_trial_waits_for_it_if_nothing_is_lost_by_it() -> None:
    plan = made(shop(ends_h=24))
    assert plan.cost == 0
    assert plan.placed[0].begins_h == 31
    assert plan.placed[0].first_shot_h == 32


def test_lateness_can_be_dearer_than_stopping_a_job() -> None:
    plan = made(shop(ends_h=24, due_h=12.0, late_per_day=240.0))
    assert plan.placed[0].stops == "J"
    assert plan.cost == independent(40.0, way="a day later is 22 h late, 220; standing 4 h is 40")


def test_a_job_that_never_ends_and_must_not_stop_is_said_with_the_remedy() -> None:
    plan = made(shop(may_stop=False))
    assert plan.placed == ()
    told = plan.unplaced[0]
    assert told.because == ("J runs without an end and may not be stopped",)
    assert any("agree that the job may be stopped" in one for one in told.remedies)


def test_a_trial_longer_than_engineers_are_there_is_said_so() -> None:
    told = made(shop(hours=11.0)).unplaced[0]
    assert any("no engineer is there for 11 h at a stretch" in one for one in told.because)


@pytest.mark.parametrize(
    ("hours", "said"),
    [(9.0 + 7 / 60, "9 h 7 min"), (9.5, "9 h 30 min"), (10.0, "10 h"), (1.12214, "1 h 7 min")],
)
def test_hours_are_said_in_words(hours: float, said: str) -> None:
    given = replace(shop(hours=hours), engineers=(Stretch(begins_h=8, ends_h=9),))
    assert f"no engineer is there for {said} at a stretch" in made(given).unplaced[0].because[0]


def test_trials_in_one_gap_follow_one_another_as_early_as_they_can() -> None:
    given = shop(trials=3)
    free = replace(given, presses=(replace(given.presses[0], jobs=()),))
    assert [one.begins_h for one in made(free).placed] == independent(
        [7.0, 10.0, 13.0], way="changed in an hour from 7, run for two from 8, then the next change"
    )


def test_a_tool_without_a_press_is_said_so_and_the_others_are_planned() -> None:
    given = shop(trials=2)
    first, second = given.trials
    plan = made(replace(given, trials=(replace(first, presses=()), second)))
    assert [one.trial for one in plan.placed] == ["T2"]
    assert plan.unplaced[0].because == ("no press can be offered to it",)


def test_two_slots_fixed_at_once_on_one_press_leave_one_without_and_say_which_has_it() -> None:
    given = shop(trials=2)
    fixed = FixedSlot(press="P", starts_h=9)
    plan = made(replace(given, trials=tuple(replace(one, fixed=fixed) for one in given.trials)))
    assert len(plan.placed) == 1
    assert plan.placed[0].trial in plan.unplaced[0].because[0]


def test_a_trial_that_stands_in_a_job_only_because_another_made_it_end_later_stays() -> None:
    given = shop(trials=2, ends_h=24, needs_engineer=False)
    fixed = [FixedSlot(press="P", starts_h=9), FixedSlot(press="P", starts_h=26)]
    trials = tuple(replace(one, fixed=slot) for one, slot in zip(given.trials, fixed, strict=True))
    plan = made(replace(given, trials=trials))
    assert [(one.begins_h, one.stops) for one in plan.placed] == [(9.0, "J"), (26.0, "J")]


def test_a_slot_fixed_where_the_press_is_closed_is_said_so() -> None:
    given = shop()
    closed = replace(given.presses[0], open=(Stretch(begins_h=6, ends_h=22), Stretch(begins_h=30, ends_h=46)))
    trial = replace(given.trials[0], fixed=FixedSlot(press="P", starts_h=23))
    told = made(replace(given, presses=(closed,), trials=(trial,))).unplaced[0]
    assert "fixed on P where it cannot stand" in told.because[0]


def test_no_trial_gives_an_empty_plan_that_costs_nothing() -> None:
    plan = made(replace(shop(), trials=()))
    assert (plan.placed, plan.unplaced, plan.cost, plan.gap) == ((), (), 0, 0)


def test_elsewhere_says_what_the_other_press_would_cost_more() -> None:
    given = shop()
    job = PlannedJob(job="K", begins_h=0, ends_h=None, may_stop=True, margin_per_h=25)
    other = PlannedPress(press="Q", open=(Stretch(begins_h=0, ends_h=48),), jobs=(job,))
    both = replace(
        given,
        presses=(*given.presses, other),
        trials=(replace(given.trials[0], presses=("P", "Q")),),
        changes=(*given.changes, *changes("Q", [NOTHING, "K", "T1"])),
    )
    there = made(both).placed[0].elsewhere[0]
    assert there.press == "Q"
    assert there.more == independent(60.0, way="4 h at 25 less 4 h at 10")


def test_a_slip_moves_only_those_that_must() -> None:
    given = shop(trials=2)
    was = made(given)
    first = was.placed[0].trial
    found = slip_trial(given, first, by_h=24, was=was, seconds=SECONDS)
    now = found.now.of(first)
    assert now is not None
    assert now.begins_h >= was.placed[0].begins_h + 24
    assert found.more == pytest.approx(found.now.cost - found.was.cost)
    assert found.more >= 0


@law(examples=12, seed=SEEDS)
def test_the_fixed_slots_of_others_stay_when_one_slips(seed: int) -> None:
    given = small_shop(seed, trials=3, hours=30)
    plan = made(given)
    if len(plan.placed) < 2:
        return
    slipped, stays = plan.placed[0], plan.placed[1]
    fixed = FixedSlot(press=stays.press, starts_h=stays.begins_h)
    held = replace(
        given, trials=tuple(replace(t, fixed=fixed) if t.trial == stays.trial else t for t in given.trials)
    )
    found = slip_trial(held, slipped.trial, by_h=3, seconds=SECONDS)
    now = found.now.of(stays.trial)
    assert now is not None
    assert (now.press, now.begins_h) == (stays.press, stays.begins_h)
    assert len(found.now.placed) < len(found.was.placed) or found.more >= -1e-6


@pytest.mark.parametrize(
    ("given", "argument"),
    [
        (replace(shop(), trials=(replace(shop().trials[0], presses=("X",)),)), "press"),
        (replace(shop(), trials=(replace(shop().trials[0], hours=0.0),)), "hours"),
        (replace(shop(), changes=()), "changes"),
        (replace(shop(), trials=shop().trials * 2), "jobs and trials"),
        (replace(shop(), ends_h=0.0), "ends_h"),
    ],
)
def test_what_cannot_be_is_refused_by_name(given: SlotsGiven, argument: str) -> None:
    with pytest.raises(ImpossibleInput) as refused:
        made(given)
    assert refused.value.argument == argument


def test_jobs_that_overlap_are_refused_with_both_names() -> None:
    given = shop(ends_h=24)
    second = PlannedJob(job="K", begins_h=20, ends_h=30, may_stop=True, margin_per_h=1)
    press = replace(given.presses[0], jobs=(*given.presses[0].jobs, second))
    with pytest.raises(ImpossibleInput, match="before J ends on P"):
        made(replace(given, presses=(press,)))


def test_a_trial_that_has_no_place_cannot_slip() -> None:
    with pytest.raises(ImpossibleInput, match="no place that it could slip from"):
        slip_trial(shop(may_stop=False), "T1", by_h=5, seconds=SECONDS)

"""Give the trials that wait their presses and times, and say what moves when one slips."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime

from offtool import __version__
from offtool.core.planning.colour_change.meeting import is_of_resin_unsaid
from offtool.core.planning.press import compare_presses
from offtool.core.planning.slots import (
    FixedSlot,
    PlannedJob,
    PlannedPress,
    SlotPlan,
    SlotsGiven,
    WaitingTrial,
    place_trials,
    slip_trial,
)
from offtool.core.values import Caution, ImpossibleInput, Range, Verdict, nearest
from offtool.exchange.readings.bundle import natural
from offtool.handbook.defects import AT_THE_PRESS
from offtool.handbook.shop_times import DAYS_PLANNED, MOST_DAYS
from offtool.records.models import Job, Press, Programme, TrialRequest
from offtool.records.queries import (
    engineers_of,
    find_programme,
    jobs_between,
    jobs_of,
    press_off_of,
    presses_of,
    presses_that_hold,
    waiting_requests,
)
from offtool.steps.overview import is_invented
from offtool.steps.plan_time import press_time_of
from offtool.steps.shop_calendar import PlanDays, engineers_open, press_open
from offtool.steps.slot_changes import PressChanges, TrialTimes, trial_times
from offtool.steps.slots_found import SlotsFound
from offtool.steps.slots_sentences import actions, facts, headline
from offtool.steps.slots_told import jobs_told, placed_of, presses_told, slip_told, without_place
from offtool.steps.tool_at_press import press_facts, tool_facts

METHOD = f"offtool {__version__}"
SECONDS = 5.0
LONGER_SECONDS = 30.0
HOURS_A_DAY = 24.0
DAYS = Range(meaning="days to plan", at_least=1, at_most=MOST_DAYS, remedy="plan fewer days")


@dataclass
class ShopRead:
    """The shop as the record has it, and as core takes it."""

    programme: Programme
    days: PlanDays
    given: SlotsGiven
    requests: dict[str, TrialRequest]
    jobs: dict[str, Job]
    changes: dict[str, PressChanges]
    past: tuple[TrialRequest, ...]
    """Fixed before the plan begins."""
    not_offered: dict[str, list[str]] = field(default_factory=dict)
    """By trial, which press is not offered and why."""
    unsure: dict[str, list[str]] = field(default_factory=dict)
    """By trial, presses that are offered though the fit is not shown."""
    missing: list[str] = field(default_factory=list)
    facts: list[tuple[str, str]] = field(default_factory=list)


def place_waiting_trials(
    programme: str,
    *,
    from_day: date,
    days: int = DAYS_PLANNED,
    now: datetime | None = None,
    seconds: float = SECONDS,
    slip: str = "",
    slip_by_h: float = 24.0,
) -> SlotsFound:
    """The plan of all trials that wait, from a day on; `slip` is a trial such as "M3 T4" that comes later.

    Where the plan begins on the day of `now`, nothing new begins before that hour.

    Raises NotInRecord for an unknown programme; ImpossibleInput for jobs that overlap on one press, or a
    trial that is not in the plan.
    """
    DAYS.refuse_impossible("days", days)
    shop = read_shop(find_programme(programme), PlanDays(first=from_day, days=days), now=now)
    plan = place_trials(shop.given, seconds=seconds)
    found = _found(shop, plan)
    if slip:
        if slip not in shop.requests:
            raise ImpossibleInput("slip", slip, "", "is not in the plan", nearest(slip, shop.requests))
        slipped = slip_trial(shop.given, slip, by_h=slip_by_h, was=plan, seconds=seconds)
        found = replace(found, slip=slip_told(slipped, shop.days, found.currency))
    return found


def _found(shop: ShopRead, plan: SlotPlan) -> SlotsFound:
    kept = shop.programme
    found = SlotsFound(
        programme=kept.slug,
        programme_title=kept.title,
        invented=is_invented(kept),
        from_day=shop.days.first,
        days=shop.days.days,
        headline="",
        actions=(),
        rests_on=(),
        placed=tuple(placed_of(shop, plan)),
        unplaced=tuple(without_place(shop, plan)),
        presses=tuple(presses_told(shop)),
        jobs=tuple(jobs_told(shop, plan)),
        currency=kept.currency,
        cost=plan.cost,
        lost=plan.lost,
        used=plan.used,
        late_cost=plan.late_cost,
        bound=max(plan.bound, -1.0),
        gap=plan.gap,
        is_proved=plan.is_proved,
        hurried_cost=plan.hurried_cost,
        hurried_unplaced=plan.hurried_unplaced,
        slip=None,
        missing=tuple(dict.fromkeys(shop.missing)),
        method=METHOD,
    )
    never = tuple(dict.fromkeys(caution for one in found.placed for caution in one.never))
    minded = [caution for one in found.placed for caution in one.cautions]
    minded.sort(key=lambda one: not is_of_resin_unsaid(one))
    return replace(
        found,
        never=never,
        cautions=tuple(dict.fromkeys((*never, *minded, AT_THE_PRESS, *_cautions(shop), *plan.cautions))),
        headline=headline(found),
        actions=tuple(actions(found)),
        rests_on=tuple(facts(found, shop.facts)),
    )


def _cautions(shop: ShopRead) -> Iterator[Caution]:
    for trial, presses in shop.unsure.items():
        yield Caution(f"{trial} is offered {', '.join(presses)} though the fit is not shown: measure first")


def read_shop(programme: Programme, days: PlanDays, *, now: datetime | None = None) -> ShopRead:
    """The shop from the record, with the changes of every press."""
    presses = presses_of(programme)
    jobs = {_job_name(one): one for one in jobs_between(programme, days.first, days.last)}
    waiting = waiting_requests(programme)
    past = tuple(one for one in waiting if one.starts_at and days.hour_of(one.starts_at) < 0)
    still = sorted((one for one in waiting if one not in past), key=_in_order)
    requests = {_trial_name(one): one for one in still}
    there, taken = engineers_open(engineers_of(programme), days)
    empty = SlotsGiven(presses=(), trials=(), changes=(), engineers=there, ends_h=days.hours)
    shop = ShopRead(
        programme=programme, days=days, given=empty, requests=requests, jobs=jobs, changes={}, past=past
    )
    if taken:
        shop.facts.append(("Engineers", taken))
    shop.facts += list(_dues(requests, days))
    from_h = _begins_at(now, days)
    if from_h > 0:
        shop.facts.append(("Now", f"nothing new begins before {days.when(from_h):%H:%M} today"))
    shop.missing += list(_not_said(jobs, requests))
    times = {
        name: trial_times(one, name, press_time_of(one, on=days.first)) for name, one in requests.items()
    }
    shop.missing += [said for one in times.values() for said in one.missing]
    offered = {name: tuple(_offered(shop, name, one, presses)) for name, one in requests.items()}
    off = press_off_of(programme)
    for press in presses:
        mine = [(name, job) for name, job in jobs.items() if job.press_id == press.pk]
        trials = [
            times[name]
            for name, one in requests.items()
            if press.code in offered[name] or one.press_id == press.pk
        ]
        shop.changes[press.code] = PressChanges(
            press=press, jobs=mine, trials=trials, last=_last_job(programme, press, days.first)
        )
    changes = tuple(change for one in shop.changes.values() for change in one.changes())
    shop.missing += [said for one in shop.changes.values() for said in one.missing]
    shop.given = replace(
        empty,
        presses=tuple(
            PlannedPress(
                press=press.code,
                open=press_open(press, [one for one in off if one.press_id == press.pk], days),
                jobs=_in_turn(shop, [_job(name, job, days) for name, job in shop.changes[press.code].jobs]),
            )
            for press in presses
        ),
        trials=tuple(_trials(requests, times, offered, days, from_h)),
        changes=changes,
    )
    return shop


def _last_job(programme: Programme, press: Press, before: date) -> Job | None:
    """The job that ended last on a press before a day."""
    ended = [
        one
        for one in jobs_of(programme)
        if one.press_id == press.pk and one.ends is not None and one.ends < before
    ]
    return max(ended, key=lambda one: (one.ends, one.begins), default=None)


def _trial_name(request: TrialRequest) -> str:
    return f"{request.tool.code} {request.name}"


def _job_name(job: Job) -> str:
    return f"{job.code} on {job.press.code}"


def _offered(shop: ShopRead, name: str, request: TrialRequest, presses: Sequence[Press]) -> Iterator[str]:
    """Presses that hold the tool and do not fail to fit; one that is not shown to fit is offered and said."""
    held = {one.code for one in presses_that_hold(request.tool)} or {one.code for one in presses}
    compared = compare_presses(
        tool_facts(request.tool).facts, [press_facts(one) for one in presses if one.code in held]
    )
    words = {one.fit.press.code: one for one in compared.presses}
    for press in presses:
        if press.code not in held:
            shop.not_offered.setdefault(name, []).append(
                f"{press.code} is not said to hold {request.tool.code}"
            )
        elif words[press.code].fit.verdict is Verdict.FAILS:
            shop.not_offered.setdefault(name, []).append(f"{press.code}: {words[press.code].words}")
        else:
            if words[press.code].fit.verdict is Verdict.NOT_SHOWN:
                shop.unsure.setdefault(name, []).append(press.code)
            yield press.code


def _job(name: str, job: Job, days: PlanDays) -> PlannedJob:
    """A job from the morning of its first day to the night of its last."""
    ends = None if job.ends is None else days.hour_of_day(job.ends) + 24
    return PlannedJob(
        job=name,
        begins_h=days.hour_of_day(job.begins),
        ends_h=ends,
        may_stop=job.may_stop is True,
        margin_per_h=job.margin_per_h or 0.0,
    )


def _in_turn(shop: ShopRead, jobs: list[PlannedJob]) -> tuple[PlannedJob, ...]:
    """A job that begins on the last day of the one before takes over at noon, and that is said."""
    for at in range(len(jobs) - 1):
        one, following = jobs[at], jobs[at + 1]
        noon = following.begins_h + 12
        if one.ends_h == noon + 12 and one.begins_h < noon:
            day = f"{shop.days.when(noon):%Y-%m-%d}"
            shop.missing.append(f"when {following.job} takes over from {one.job} on {day}: noon is taken")
            jobs[at : at + 2] = [replace(one, ends_h=noon), replace(following, begins_h=noon)]
    return tuple(jobs)


def _in_order(request: TrialRequest) -> tuple[str, list[tuple[int, int, str]]]:
    return request.tool.code, natural(request.name)


def _begins_at(now: datetime | None, days: PlanDays) -> float:
    """The hour before which nothing can begin any more; 0 for a plan of another day."""
    hour = days.hour_of(now) if now is not None else 0.0
    return hour if 0.0 < hour < HOURS_A_DAY else 0.0


def _dues(requests: dict[str, TrialRequest], days: PlanDays) -> Iterator[tuple[str, str]]:
    dues = [one.due for one in requests.values() if one.due is not None]
    if dues and max(dues) < days.first:
        yield "Due days", f"all lie before {days.first}: every trial is late, agree new days"


def _trials(
    requests: dict[str, TrialRequest],
    times: dict[str, TrialTimes],
    offered: dict[str, tuple[str, ...]],
    days: PlanDays,
    from_h: float,
) -> Iterator[WaitingTrial]:
    """The trials as core takes them; those of one tool come after one another."""
    before: dict[str, tuple[str, ...]] = {}
    for name, one in requests.items():
        trial = _trial(one, times[name], offered[name], days)
        earlier = before.get(one.tool.code, ())
        before[one.tool.code] = (*earlier, name)
        yield replace(trial, earliest_h=max(trial.earliest_h, from_h), comes_after=earlier)


def _trial(
    request: TrialRequest, times: TrialTimes, offered: tuple[str, ...], days: PlanDays
) -> WaitingTrial:
    fixed = None
    if request.press is not None and request.starts_at is not None:
        fixed = FixedSlot(press=request.press.code, starts_h=days.hour_of(request.starts_at))
    return WaitingTrial(
        trial=times.name,
        tool=request.tool.code,
        hours=times.run_h,
        presses=offered,
        earliest_h=max(days.hour_of_day(request.earliest), 0.0) if request.earliest else 0.0,
        due_h=days.hour_of_day(request.due) + 24 if request.due else None,
        late_per_day=request.late_per_day or 0.0,
        needs_engineer=request.needs_engineer,
        fixed=fixed,
    )


def _not_said(jobs: dict[str, Job], requests: dict[str, TrialRequest]) -> Iterator[str]:
    for name, job in jobs.items():
        if job.may_stop is None:
            yield f"whether {name} may be stopped: it is taken that it may not"
        elif job.may_stop and job.margin_per_h is None:
            yield f"what an hour of {name} brings: stopping it counts as nothing"
        if job.ends is None:
            yield f"when {name} ends: it is taken to run past the plan"
    for name, request in requests.items():
        if request.due is not None and request.late_per_day is None:
            yield f"what a day costs that {name} is late: lateness counts as nothing"

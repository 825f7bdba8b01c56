"""A plan of core in the days, presses and jobs of the record."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from offtool.core.planning.colour_change import ColourOption
from offtool.core.planning.slots import PlacedTrial, SlipFound, SlotPlan
from offtool.core.values import Caution
from offtool.records.models import Job
from offtool.steps.colour_known import plastic_of_job
from offtool.steps.sample_seen import light_of, on_screen
from offtool.steps.shop_calendar import PlanDays
from offtool.steps.slot_changes import PressChanges
from offtool.steps.slots_found import (
    FullPurge,
    JobOnPress,
    PressElsewhere,
    PressHours,
    SlipSeen,
    TrialMoved,
    TrialSlot,
    TrialWithout,
)
from offtool.steps.slots_sentences import colour_in_words, slip_headline
from offtool.steps.trial_press import job_in_words

if TYPE_CHECKING:
    from offtool.steps.place_trials import ShopRead


def placed_of(shop: ShopRead, plan: SlotPlan) -> Iterator[TrialSlot]:
    """Each trial that has a place, in order of time."""
    for one in plan.placed:
        yield _placed(shop, one)


def _placed(shop: ShopRead, one: PlacedTrial) -> TrialSlot:
    request, changes, days = shop.requests[one.trial], shop.changes[one.press], shop.days
    option = changes.colours.get((one.before, one.trial))
    names = (one.before, one.after) if one.after else (one.before,)
    beside = [(name, one.trial) for name in dict.fromkeys(names)]
    return TrialSlot(
        trial=one.trial,
        tool=one.tool,
        name=request.name,
        press=one.press,
        begins=days.when(one.begins_h),
        first_shot=days.when(one.first_shot_h),
        last_shot=days.when(one.last_shot_h),
        ends=days.when(one.ends_h),
        followed_by=one.after if one.after in shop.requests else "",
        stops=_job(shop, one.stops),
        comes_after=_job(shop, one.before),
        colour=_colour(shop, one, option),
        stands_h=one.stands_h,
        lost=one.lost,
        used=one.used,
        late_h=one.late_h,
        late_cost=one.late_cost,
        cost=one.cost,
        is_fixed=one.is_fixed,
        elsewhere=(
            *(
                PressElsewhere(press=other.press, more=other.more, because="; ".join(other.because))
                for other in one.elsewhere
            ),
            *(
                PressElsewhere(press=said.split(": ")[0].split(" is not")[0], more=None, because=said)
                for said in shop.not_offered.get(one.trial, ())
            ),
        ),
        never=_all(changes.never.get(pair, ()) for pair in beside),
        purges=tuple(_purges(changes, one)),
        cautions=_all(changes.cautions.get(pair, ()) for pair in beside),
    )


def _all(found: Iterable[tuple[Caution, ...]]) -> tuple[Caution, ...]:
    return tuple(dict.fromkeys(caution for cautions in found for caution in cautions))


def _colour(shop: ShopRead, one: PlacedTrial, option: ColourOption | None) -> str:
    """What it is shot in, and what the press goes back to; on a free press with what ran there last."""
    said = colour_in_words(option, shop.requests[one.trial])
    after = shop.jobs.get(one.after)
    if one.stops and after is not None and option is not None:
        plastic = plastic_of_job(after)
        is_back = (option.plastic.name, option.plastic.resin) == (plastic.name, plastic.resin)
        said += "" if is_back else f"; then back to {plastic.name}"
    last = shop.changes[one.press].last
    return f"{said}; the {product_of(last)} ran last there" if not one.before and last is not None else said


def _purges(changes: PressChanges, one: PlacedTrial) -> Iterator[FullPurge]:
    """The full purges of a slot; that between two trials is told with the second."""
    for when, pair in (("before", (one.before, one.trial)), ("after", (one.trial, one.after))):
        found = changes.purges.get(pair)
        if found is not None and not (when == "after" and any(one.after == t.name for t in changes.trials)):
            yield FullPurge(when=when, old=found.old, new=found.new, hours=found.hours, cost=found.cost)


def _job(shop: ShopRead, name: str) -> str:
    """A job in words; a trial by its name."""
    job = shop.jobs.get(name)
    return product_of(job) if job is not None else name


def product_of(job: Job) -> str:
    """Yellow sand scoop (J-338); job J-338 in yellow, where nobody said what it makes."""
    made = job.product or job.what
    if not made:
        return f"job {job.code} in {job.colour}" if job.colour else f"job {job.code}"
    return f"{' '.join(filter(None, (job.colour, made)))} ({job.code})"


def without_place(shop: ShopRead, plan: SlotPlan) -> Iterator[TrialWithout]:
    """Each trial without a place; one that was fixed before the plan begins runs or has run."""
    for request in shop.past:
        yield TrialWithout(
            trial=f"{request.tool.code} {request.name}",
            tool=request.tool.code,
            name=request.name,
            because=("its fixed slot lies before the first day of the plan",),
            remedies=("read its findings if it has run, release it if it has not",),
        )
    for one in plan.unplaced:
        request = shop.requests[one.trial]
        said = shop.not_offered.get(one.trial, [])
        because = (*one.because, *said) if not shop_offers(plan, one.trial) else one.because
        yield TrialWithout(
            trial=one.trial, tool=one.tool, name=request.name, because=because, remedies=one.remedies
        )


def shop_offers(plan: SlotPlan, trial: str) -> bool:
    """Whether any press is offered to a trial."""
    return any(one.trial == trial and one.presses for one in plan.given.trials)


def presses_told(shop: ShopRead) -> Iterator[PressHours]:
    """Each press with the stretches in which it is worked."""
    for press in shop.given.presses:
        stretches = tuple((shop.days.when(one.begins_h), shop.days.when(one.ends_h)) for one in press.open)
        yield PressHours(press=press.press, open=stretches)


def jobs_told(shop: ShopRead, plan: SlotPlan) -> Iterator[JobOnPress]:
    """Each job as the plan leaves it."""
    for one in plan.jobs:
        job = shop.jobs[one.job]
        yield JobOnPress(
            job=job.code,
            press=one.press,
            says=job_in_words(job),
            colour=job.colour,
            on_screen=_on_screen(job),
            begins=shop.days.when(one.begins_h),
            ends=shop.days.when(one.ends_h) if one.ends_h is not None else None,
            stands_h=one.stands_h,
            later_h=one.later_h,
            begins_later_h=max(one.begins_h - one.told_begins_h, 0.0),
            may_stop=job.may_stop,
        )


def _on_screen(job: Job) -> str:
    if job.lightness is None or job.a is None or job.b is None:
        return ""
    return on_screen(job.lightness, job.a, job.b, light_of(job))


def slip_told(found: SlipFound, days: PlanDays, currency: str) -> SlipSeen:
    """What moves when a trial slips."""
    now = found.now.of(found.trial)
    moves = tuple(
        TrialMoved(
            trial=one.trial,
            was_press=one.was.press if one.was else "",
            was=days.when(one.was.begins_h) if one.was else None,
            now_press=one.now.press if one.now else "",
            now=days.when(one.now.begins_h) if one.now else None,
        )
        for one in found.moves
    )
    seen = SlipSeen(
        trial=found.trial,
        by_h=found.by_h,
        headline="",
        now_press=now.press if now else "",
        now=days.when(now.begins_h) if now else None,
        moves=moves,
        more=found.more,
        is_proved=found.was.is_proved and found.now.is_proved,
    )
    return slip_headline(seen, currency)

"""The page of the plan: which trial goes on which press and when, what to fix, what moves if one slips."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe

from offtool.core.values import Caution
from offtool.reports.slots_drawing import draw_slots
from offtool.steps.findings import Action, Fact
from offtool.steps.sentences import sentence
from offtool.steps.shop_times import ShopTimes, TimeSaid
from offtool.steps.slots_found import JobOnPress, PressElsewhere, SlotsFound, TrialMoved, TrialSlot
from offtool.steps.slots_sentences import (
    ASK,
    FIX,
    JOBS,
    PRESS,
    TIMES,
    hours_in_words,
    money_in_words,
    short_when,
)
from offtool.web.forms.slots import FIX as DO_FIX
from offtool.web.forms.slots import RELEASE, SlotForm, slots_typed
from offtool.web.pages.frame import Crumb, Frame
from offtool.web.pages.trial import ActionRow


@dataclass(frozen=True, slots=True, kw_only=True)
class SlotRow:
    """One trial in the plan, with the form that fixes or releases it."""

    trial: str
    href: str
    press: str
    begins: str
    first_shot: str
    last_shot: str
    ends: str
    stops: str
    colour: str
    cost: str
    cost_says: str
    elsewhere: tuple[str, ...]
    is_fixed: bool
    done: str
    form: Any


@dataclass(frozen=True, slots=True, kw_only=True)
class WithoutRow:
    """One trial without a place."""

    trial: str
    href: str
    because: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class JobRow:
    """One job as the plan leaves it."""

    press: str
    says: str
    ends: str
    stands: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SlotsPage:
    """The plan of all trials that wait."""

    frame: Frame
    headline: str
    actions: tuple[ActionRow, ...]
    facts: tuple[Fact, ...]
    never: tuple[Caution, ...]
    """Before all else."""
    cautions: tuple[Caution, ...]
    drawing: SafeString | None
    rows: tuple[SlotRow, ...]
    without: tuple[WithoutRow, ...]
    jobs: tuple[JobRow, ...]
    fix_all: Any
    days_form: Any
    slip_says: str
    slip_moves: tuple[str, ...]
    refusal: str
    times_href: str
    jobs_href: str
    presses_href: str
    method: str


def slots_page(found: SlotsFound, days_form: Any, *, made_by: str = "", refusal: str = "") -> SlotsPage:
    """The page of a plan; `refusal` says why a slot could not be fixed."""
    open_ = [one for one in found.placed if not one.is_fixed]
    return SlotsPage(
        frame=plan_frame(found.programme, found.programme_title, found.invented, as_json="?format=json"),
        headline=found.headline,
        actions=tuple(_action(one, found) for one in found.actions),
        facts=found.rests_on,
        never=found.never,
        cautions=tuple(one for one in found.cautions if one not in found.never),
        drawing=mark_safe(draw_slots(found)) if found.presses else None,  # noqa: S308 our own drawing
        rows=tuple(_row(one, found, made_by) for one in found.placed),
        without=tuple(
            WithoutRow(
                trial=one.trial,
                href=reverse("plan_trial", args=[found.programme, one.tool, one.name]),
                because=tuple(map(sentence, (*one.because, *one.remedies))),
            )
            for one in found.unplaced
        ),
        jobs=tuple(map(_job, found.jobs)),
        fix_all=_form(DO_FIX, open_, "all", made_by) if len(open_) > 1 else None,
        days_form=days_form,
        slip_says=found.slip.headline if found.slip else "",
        slip_moves=tuple(map(_move, found.slip.moves)) if found.slip else (),
        refusal=refusal,
        times_href=reverse("slot_times", args=[found.programme]),
        jobs_href=reverse("read_jobs", args=[found.programme]),
        presses_href=reverse("presses", args=[found.programme]),
        method=found.method,
    )


def plan_frame(programme: str, title: str, invented: bool, *, here: str = "", as_json: str = "") -> Frame:
    """The frame of the plan, or of a page that hangs on it and is called `here`."""
    crumbs = [Crumb(text=title, href=reverse("programme", args=[programme]))]
    crumbs.append(Crumb(text="Plan", href=reverse("slots", args=[programme]) if here else ""))
    if here:
        crumbs.append(Crumb(text=here))
    named = f"Plan, {title}"
    return Frame(
        title=f"{here}: {named}" if here else named,
        crumbs=tuple(crumbs),
        invented=invented,
        as_json=as_json,
    )


def _action(one: Action, found: SlotsFound) -> ActionRow:
    links = {
        FIX: ("fix it", "#fix"),
        ASK: ("the tools", reverse("programme", args=[found.programme])),
        TIMES: ("times", reverse("slot_times", args=[found.programme])),
        JOBS: ("jobs", reverse("ground", args=[found.programme])),
        PRESS: ("presses", reverse("presses", args=[found.programme])),
    }
    link, href = links.get(one.leads_to, ("", ""))
    return ActionRow(do=one.do, because=one.because, href=href, link=link)


def _row(one: TrialSlot, found: SlotsFound, made_by: str) -> SlotRow:
    money = found.currency
    parts = [
        (one.lost, "lost"),
        (one.used, "purged"),
        (one.late_cost, f"for {one.late_h / 24:.1f} days late"),
    ]
    told = ", ".join(f"{money_in_words(amount, money)} {what}" for amount, what in parts if amount > 0)
    stands = (
        f"{sentence(one.stops)[:-1]} stands {hours_in_words(one.stands_h)}" if one.stops else "free press"
    )
    return SlotRow(
        trial=one.trial,
        href=reverse("plan_trial", args=[found.programme, one.tool, one.name]),
        press=one.press,
        begins=short_when(one.begins),
        first_shot=short_when(one.first_shot),
        last_shot=short_when(one.last_shot),
        ends=f"{one.followed_by} follows" if one.followed_by else short_when(one.ends),
        stops=stands,
        colour=one.colour,
        cost=money_in_words(one.cost, money),
        cost_says=told,
        elsewhere=tuple(_elsewhere(other, money) for other in one.elsewhere),
        is_fixed=one.is_fixed,
        done="Leave it open again" if one.is_fixed else "Fix it there",
        form=_form(RELEASE if one.is_fixed else DO_FIX, [one], one.trial, made_by),
    )


def _form(do: str, slots: list[TrialSlot], name: str, made_by: str) -> SlotForm:
    initial = {"do": do, "slots": slots_typed(slots), "made_by": made_by}
    return SlotForm(initial=initial, auto_id=f"slot_{'_'.join(name.split())}_%s")


def _elsewhere(other: PressElsewhere, money: str) -> str:
    if other.more is None:
        return sentence(
            other.because if other.because.startswith(other.press) else f"{other.press}: {other.because}"
        )
    if other.more < 0.5:
        return f"{other.press}: costs the same."
    return f"{other.press}: costs {money_in_words(other.more, money)} more."


def _job(one: JobOnPress) -> JobRow:
    later = f", {hours_in_words(one.later_h)} later than said" if one.later_h > 0 else ""
    ends = f"{short_when(one.ends)}{later}" if one.ends is not None else "past the plan, or not said"
    begins = f"{short_when(one.begins)}, {hours_in_words(one.begins_later_h)} later than said"
    stands = hours_in_words(one.stands_h) if one.stands_h > 0 else "–"
    says = f"{one.says}; begins {begins}" if one.begins_later_h > 0 else one.says
    return JobRow(press=one.press, says=says, ends=ends, stands=stands)


def _move(one: TrialMoved) -> str:
    was = f"{short_when(one.was)} on {one.was_press}" if one.was else "no place"
    now = f"{short_when(one.now)} on {one.now_press}" if one.now else "no place"
    return f"{one.trial}: from {was} to {now}."


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeRow:
    """A time that was said, with what takes it back."""

    what: str
    begins: str
    ends: str
    key: int
    of: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SlotTimesPage:
    """When engineers are there and when presses stand."""

    frame: Frame
    headline: str
    taken: str
    engineers: tuple[TimeRow, ...]
    off: tuple[TimeRow, ...]
    engineer_form: Any
    off_form: Any
    back_href: str


def slot_times_page(times: ShopTimes, engineer_form: Any, off_form: Any) -> SlotTimesPage:
    """The page of times."""
    return SlotTimesPage(
        frame=plan_frame(times.programme, times.programme_title, times.invented, here="Times"),
        headline=times.headline,
        taken=sentence(times.taken) if times.taken else "",
        engineers=tuple(_times(times.engineers, "engineer")),
        off=tuple(_times(times.off, "press")),
        engineer_form=engineer_form,
        off_form=off_form,
        back_href=reverse("slots", args=[times.programme]),
    )


def _times(times: tuple[TimeSaid, ...], of: str) -> Iterator[TimeRow]:
    for one in times:
        what = ": ".join(filter(None, (one.press, one.who))) or "an engineer"
        yield TimeRow(what=what, begins=short_when(one.begins), ends=short_when(one.ends), key=one.key, of=of)

"""The sentences of a plan of trials: the verdict, what to do, what it rests on, what moves."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import datetime

from offtool.core.planning.colour_change import ColourOption
from offtool.core.planning.colour_change.decision import ColourWay
from offtool.core.planning.colour_change.meeting import is_of_resin_unsaid
from offtool.records.models import TrialRequest
from offtool.steps.findings import Action, Fact
from offtool.steps.sentences import count, per_cent
from offtool.steps.slots_found import SlipSeen, SlotsFound, TrialSlot, TrialWithout

FIX, ASK, TIMES, JOBS, PRESS = "fix", "ask", "times", "jobs", "press"
"""Where an action leads."""
NUMBERS = ("No", "One", "Two", "Three", "Four", "Five", "Six", "Seven", "Eight", "Nine", "Ten")


def when_in_words(when: datetime) -> str:
    """Tuesday 24 March, 8:30."""
    return f"{when:%A} {when.day} {when:%B}, {when.hour}:{when:%M}"


def short_when(when: datetime) -> str:
    """Tue 24 Mar 8:30."""
    return f"{when:%a} {when.day} {when:%b} {when.hour}:{when:%M}"


def hours_in_words(hours: float) -> str:
    """45 min; 5 h; 5.5 h."""
    return f"{round(hours * 60)} min" if hours < 1 else f"{hours:.1f} h".replace(".0 h", " h")


def money_in_words(amount: float, currency: str) -> str:
    """1,240 USD; in the currency of the programme, where it has one."""
    shown = f"{amount:,.0f}"
    return f"{'0' if shown == '-0' else shown} {currency}".rstrip()


def headline(found: SlotsFound) -> str:
    """How many have a place, and the first of them."""
    if not found.placed and not found.unplaced:
        return "No trial waits."
    if not found.placed:
        return _none_placed(found.unplaced)
    one, placed, all_ = found.placed[0], len(found.placed), len(found.placed) + len(found.unplaced)
    first = f"{one.trial}, {when_in_words(one.begins)} on {one.press}"
    stands = f"; the {one.stops} stands {hours_in_words(one.stands_h)}" if one.stops else ""
    if all_ == 1:
        return f"{first}{stands}."
    if placed == all_:
        many = "Both trials have" if all_ == 2 else f"All {_number(all_)} trials have"
        return f"{many} a place; the first is {first}{stands}."
    has = "has" if placed == 1 else "have"
    some = f"{_number(placed).capitalize()} of {_number(all_)} trials {has}"
    return f"{some} a place; the first is {first}{stands}."


def _none_placed(unplaced: Sequence[TrialWithout]) -> str:
    one = unplaced[0]
    if len(unplaced) == 1:
        return f"{one.trial} has no place: {one.because[0]}."
    return f"{_how_many(len(unplaced))} has a place; {one.trial}: {one.because[0]}."


def _how_many(number: int) -> str:
    return f"{'Neither' if number == 2 else 'None'} of the {_number(number)} trials that wait"


def _number(number: int) -> str:
    return NUMBERS[number].lower() if number < len(NUMBERS) else str(number)


def actions(found: SlotsFound) -> Iterator[Action]:
    """Fix what stands, in order of time; then what would place the others."""
    if not found.placed and not found.unplaced:
        yield Action(do="Ask for a trial.", because="Then it is given a press and a time.", leads_to=ASK)
    for one in found.placed:
        if one.purges:
            yield Action(do=f"{one.trial}: ask for another press or other days first.",
                         because=_purged(one, found), leads_to=ASK)  # fmt: skip
    for one in found.placed:
        yield from _about_resin(one)
    for one in found.placed:
        if not one.is_fixed:
            yield Action(do=f"Agree {_slot(one)}, then fix it.", because=_because(one, found), leads_to=FIX)
    for trial in found.unplaced:
        for because, remedy in zip(trial.because, trial.remedies, strict=False):
            do = f"{trial.trial}: {remedy}."
            yield Action(do=do, because=f"{because[:1].upper()}{because[1:]}.", leads_to=_leads(because))


def _about_resin(one: TrialSlot) -> Iterator[Action]:
    """A resin that nobody said, or that is not known: asked before any slot is agreed."""
    unsaid = next((caution.text for caution in one.cautions if is_of_resin_unsaid(caution)), "")
    if unsaid:
        do = f"{one.trial}: find out the resin first; nothing goes in before it is known."
        yield Action(do=do, because=f"{unsaid[:1].upper()}{unsaid[1:]}", leads_to=ASK)


def _purged(one: TrialSlot, found: SlotsFound) -> str:
    """On 80 t it needs a full purge: from PVC-P to POM before it, 3 h and 1 USD."""
    purges = [
        f"from {each.old} to {each.new} {each.when} it, {hours_in_words(each.hours)} and "
        + (money_in_words(each.cost, found.currency) if each.cost is not None else "resin without a price")
        for each in one.purges
    ]
    return f"On {one.press} it needs a full purge: {'; '.join(purges)}. It is counted in the slot."


def _leads(because: str) -> str:
    if "engineer" in because:
        return TIMES
    return JOBS if "stopped" in because else ASK


def _slot(one: TrialSlot) -> str:
    return f"{one.trial} on {one.press} for {when_in_words(one.begins)}"


def _because(one: TrialSlot, found: SlotsFound) -> str:
    cost = money_in_words(one.cost, found.currency)
    if not one.stops:
        return f"The press is free then; the changes use {cost}."
    late = f", {one.late_h / 24:.1f} days late" if one.late_h > 0 else ""
    return f"The {one.stops} stands {hours_in_words(one.stands_h)}; all of it costs {cost}{late}."


def colour_in_words(option: ColourOption | None, request: TrialRequest) -> str:
    """What a trial is shot in."""
    if option is None:
        known = request.colour or "the product's colour"
        return f"{known}; nobody knows the barrel"
    if option.way is ColourWay.AS_IT_IS:
        unsaid = "" if option.plastic.resin.strip() else ", once its resin is known to be that of the parts"
        return f"{option.plastic.name}, as it is on the press{unsaid}"
    if option.is_forbidden:
        named = request.colour if option.way is ColourWay.PRODUCT else option.plastic.name
        return f"{named or 'the colour of the product'}, only after a full purge"
    if option.way is ColourWay.PRODUCT:
        return f"{request.colour or 'the colour of the product'}, purged"
    return f"{option.plastic.name}, purged to light"


def facts(found: SlotsFound, more: Sequence[tuple[str, str]]) -> Iterator[Fact]:
    """What the plan rests on."""
    last = found.from_day.toordinal() + found.days - 1
    yield Fact(
        about="Days", says=f"{found.days} from {found.from_day} to {type(found.from_day).fromordinal(last)}"
    )
    money = found.currency
    if found.placed:
        parts = [
            (found.lost, "contribution lost"),
            (found.used, "resin purged"),
            (found.late_cost, "lateness"),
        ]
        told = ", ".join(f"{money_in_words(amount, money)} {what}" for amount, what in parts if amount > 0)
        yield Fact(about="Cost", says=f"{money_in_words(found.cost, money)}: {told or 'nothing is lost'}")
        yield Fact(about="How good", says=how_good(found))
        yield Fact(about="Hurried plan", says=_hurried(found))
    for job in found.jobs:
        if job.begins_later_h > 0:
            later = f"{job.job} on {job.press} begins {hours_in_words(job.begins_later_h)} later than said"
            yield Fact(about="Pushed back", says=f"{later}; what that costs is not in the money")
    if not money and (found.cost > 0 or found.hurried_cost > 0):
        said = f"no currency is said: offtool prices {found.programme} --currency EUR"
        yield Fact(about="Money", says=said)
    for about, says in more:
        yield Fact(about=about, says=says)
    for one in found.missing:
        yield Fact(about="Not said", says=one)


def how_good(found: SlotsFound) -> str:
    """How near to the best the plan is."""
    if found.is_proved:
        return "no plan is better: it is proved"
    if found.bound < 0:
        return "not proved: search longer to know whether more trials can be placed, or cheaper"
    least = money_in_words(found.bound, found.currency)
    most = per_cent(found.gap, 1)
    return f"no plan costs less than {least}: at most {most} could still be saved; search longer"


def _hurried(found: SlotsFound) -> str:
    cost = money_in_words(found.hurried_cost, found.currency)
    without = f", {count(found.hurried_unplaced, 'trial')} without a place" if found.hurried_unplaced else ""
    return f"each trial at the cheapest place left, by due day: {cost}{without}"


def slip_headline(seen: SlipSeen, currency: str) -> SlipSeen:
    """The sentence of a slip."""
    by = f"{seen.by_h / 24:g} days" if seen.by_h >= 48 else hours_in_words(seen.by_h)
    to = f"goes to {when_in_words(seen.now)} on {seen.now_press}" if seen.now else "has no place any more"
    others = "no other trial moves"
    if seen.moves:
        others = (
            f"{', '.join(one.trial for one in seen.moves)} {'moves' if len(seen.moves) == 1 else 'move'} too"
        )
    more = "costs no more" if abs(seen.more) < 0.5 else f"costs {money_in_words(seen.more, currency)} more"
    if seen.more <= -0.5:
        more = f"costs {money_in_words(-seen.more, currency)} less"
    return replace(seen, headline=f"If {seen.trial} slips by {by}, it {to}; {others}, and the plan {more}.")

"""The sentences of the plan of a trial: its verdict, what to do before it, what it rests on."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from offtool.core.planning.shots import TimeOn, TrialShots, set_up_line
from offtool.core.values import Verdict
from offtool.handbook.terms import ColourWish
from offtool.steps.findings import Action, Fact
from offtool.steps.plan_evidence import Settles, ToolBefore, shows_sizes
from offtool.steps.plan_found import PressPlanned, TrialPlanned
from offtool.steps.sentences import count, listed

MOST_MISSING = 3
"""Missing numbers that are named among the things to do; all of them stand below."""


def headline(found: TrialPlanned) -> str:
    """M3 T4 goes on 80 t, no. 9 in the orange that runs there: 96 shots, 1 h 25 min, 2.1 kg; …"""
    name = f"{found.tool} {found.trial}"
    if found.has_run:
        return f"{name} has run: this was its plan."
    press = found.press
    if press is None:
        return f"{name} has no press: none is written down yet; {_amounts(found)}."
    if press.verdict is Verdict.FAILS:
        where = f"is fixed on {press.press}, which" if press.fixed else f"fits no press: {press.press}"
        return f"{name} {where} does not hold it: {press.says}."
    if found.colour is not None and found.colour.never:
        meet = f"{found.colour.never_pair} must never meet without a full purge"
        counted = found.colour.changes and found.colour.minutes_there[0] > 0
        barred = f"; {press.job_code} must not be stopped" if press.is_barred else ""
        amounts = f"{_amounts(found)}, {'with' if counted else 'without'} that purge"
        return f"{name} must not follow what runs on {press.press}: {meet}{barred}; {amounts}."
    if found.unknown_resin:
        barred = f"; {press.job_code} must not be stopped" if press.is_barred else ""
        return f"{name} must not go on {press.press} yet: {found.unknown_resin}{barred}; {_amounts(found)}."
    if press.is_barred:
        on = f" on {_day(press.day)}" if press.day is not None else ""
        return f"{name} cannot run on {press.press}{on}: {press.job_code} must not be stopped."
    if press.lacks:
        are = f"{count(press.lacks, 'number')} {'is' if press.lacks == 1 else 'are'} not written down"
        return f"{name} cannot be placed yet: for {press.press} {are}; {_amounts(found)}{_not_shown(press)}."
    goes = "goes on" if press.verdict is Verdict.HOLDS else "may go on"
    needs = f"{_needs(found)}{_not_shown(press)}"
    return f"{name} {goes} {press.press}{_in_colour(found)}: {_amounts(found)}{needs}."


def _not_shown(press: PressPlanned) -> str:
    """The checks that its numbers leave open."""
    names = [one.question for one in press.open]
    return f"; not shown yet: {listed(names)}" if names else ""


def _in_colour(found: TrialPlanned) -> str:
    colour = found.colour
    if colour is None:
        return ""
    if not colour.changes:
        return f" in the {colour.colour} that runs there" if colour.colour else ""
    return f", purged to {colour.colour}" if colour.colour else ", after a purge"


def _amounts(found: TrialPlanned) -> str:
    """54 shots in 43 min, 5 h 51 min of the press, 3.5 kg: most of the time is not spent on shots."""
    shots, time = found.shots, found.time
    run = f" in {_duration(shots.minutes)}" if shots is not None and time is not None else ""
    said = [f"{shots.shots:,} shots{run}" if shots is not None else ""]
    said += [f"{_duration(time.minutes)} of the press" if time is not None else ""]
    said += [f"{found.material.kg:.2g} kg" if found.material is not None else ""]
    return ", ".join(filter(None, said)) or "nothing can be said of it yet"


def _needs(found: TrialPlanned) -> str:
    colour = found.colour
    if colour is None:
        return ""
    if colour.wrong_for:
        return f"; {listed(colour.wrong_for)} cannot be judged in it"
    if found.asked.wish == ColourWish.ANY and not colour.changes:
        return "; nothing asked of it needs the right colour"
    return ""


def _duration(minutes: float) -> str:
    hours, rest = divmod(round(minutes), 60)
    return " ".join(filter(None, (f"{hours} h" if hours else "", f"{rest} min" if rest or not hours else "")))


def actions(found: TrialPlanned, before: ToolBefore) -> Iterator[Action]:
    """What to do, in the order in which it is done."""
    if found.has_run:
        yield Action(do="See what it showed.", because="Readings or looks are in.", leads_to="trial")
        return
    yield from _about_job(found, may_stop=False)
    if found.colour is not None and found.colour.never:
        yield Action(do="Purge the barrel empty first.", because=found.colour.never, leads_to="colour")
    if found.unknown_resin:
        yield Action(
            do="Find out the resin first: nothing goes in before it is known.",
            because=f"{_capital(found.unknown_resin)}; POM and PVC must never meet in a barrel.",
            leads_to="ask",
        )
    yield from _about_days(found)
    yield from _about_hours(found)
    yield from _about_steel(before, found.asked.purposes)
    yield from _about_press(found)
    yield from _about_job(found, may_stop=None)
    for one in found.missing[:MOST_MISSING]:
        because = f"{_capital(one.spoils)}; {one.who_knows}."
        yield Action(do=f"Write down {one.what}.", because=because, leads_to="missing")
    if found.colour is not None and found.colour.wrong_for:
        yield Action(
            do="Purge, or take off the list what cannot be judged.",
            because=f"{_capital(listed(found.colour.wrong_for))} cannot be judged in {found.colour.colour}.",
            leads_to="colour",
        )
    if found.press is None or not found.press.is_barred:
        yield Action(
            do="Print the request and the labels, and have the day agreed.",
            because="The shop decides when the job may stand; people sign, not the program.",
            leads_to="request",
        )


def _about_days(found: TrialPlanned) -> Iterator[Action]:
    """A day that has gone: the plan holds what runs on its day, not what ran when it was asked for."""
    due = found.asked.due
    if due is not None and due < found.on:
        yield Action(
            do=f"Give it new days: it was due by {_day(due)}.",
            because=f"Presses and jobs are looked at as of {_day(found.on)}.",
            leads_to="ask",
        )


def _about_hours(found: TrialPlanned) -> Iterator[Action]:
    """Hours that were asked for and do not suffice for the shots."""
    shots, hours = found.shots, found.asked.hours
    if shots is None or found.time is None or hours is None:
        return
    hung = sum(one.minutes for one in found.time.lines if one.what is TimeOn.SET_UP)
    left = max(hours * 60 - hung - set_up_line(None).minutes, 0.0)
    if left < shots.minutes - 0.5:
        yield Action(
            do="Ask for more hours, or for less.",
            because=f"{shots.shots:,} shots take {_duration(shots.minutes)}; of {hours:g} h the tool changes "
            f"leave {_duration(left)}.",
            leads_to="ask",
        )


def _about_job(found: TrialPlanned, *, may_stop: bool | None) -> Iterator[Action]:
    """A job that must not be stopped, or of which nobody has said it."""
    press = found.press
    if press is None or not press.job_code or press.job_may_stop is not may_stop:
        return
    if may_stop is False:
        yield Action(
            do=f"Take another day, or another press: {press.job_code} must not be stopped.",
            because="So it is written down; only the shop can say otherwise.",
            leads_to="slots",
        )
    else:
        yield Action(
            do=f"Ask whether {press.job_code} may be stopped.",
            because="Nobody has said it, and the trial takes its press.",
            leads_to="slots",
        )


def _about_steel(before: ToolBefore, purposes: Sequence[str]) -> Iterator[Action]:
    """Cuts that wait; sizes that fail on the same steel, where the trial is to show sizes."""
    waiting = before.waiting_cuts()
    if waiting:
        are = "is" if waiting == 1 else "are"
        yield Action(
            do=f"Wait for the steel: {count(waiting, 'cut')} {are} decided and not made.",
            because="A trial on the old steel confirms none of them.",
            leads_to="correction",
        )
    elif before.last is not None and not before.is_cut_since and shows_sizes(purposes):
        trial = before.last.trial.name
        failing = sum(one.finding.verdict is Verdict.FAILS for one in before.last.sizes)
        if failing:
            yield Action(
                do=f"Decide on the correction first: the steel is as at {trial}.",
                because=f"{count(failing, 'size')} did not hold there and will not hold on the same steel.",
                leads_to="correction",
            )


def _about_press(found: TrialPlanned) -> Iterator[Action]:
    press = found.press
    for one in press.open if press is not None and press.verdict is not Verdict.FAILS else ():
        yield Action(
            do=f"{_capital(one.do)}.", because=f"{_capital(one.question)}: {one.says}.", leads_to="fit"
        )
    if press is None:
        yield Action(do="Write down a press.", because="No press is written down yet.", leads_to="new press")
    elif press.verdict is Verdict.FAILS:
        yield Action(do="Find another press.", because=f"{_capital(press.says)}.", leads_to="fit")
    elif not press.fixed and not press.is_barred:
        yield Action(
            do="Fix its slot: press and hour.",
            because=f"{press.press} is taken here because {press.why}. The plan of all trials weighs them "
            "together and may put it elsewhere: once a slot is fixed, this plan is made for it.",
            leads_to="slots",
        )


def facts(
    found: TrialPlanned, before: ToolBefore, settles: Settles | None, told: Sequence[Fact]
) -> Iterator[Fact]:
    """What it rests on; `told` are the facts of press, cycle, weight and colour."""
    yield Fact(about="Asked for", says=_asked(found))
    steel = f"state {found.state}" if found.state else "no state of the steel is recorded"
    last = before.last
    if last is not None:
        since = "cut since" if before.is_cut_since else "the same as at"
        steel = f"{steel}, {since} {last.trial.name}"
    yield Fact(about="Steel", says=steel)
    yield from told
    if found.shots is not None:
        yield Fact(about="Settling", says=_settling(found.shots, settles))


def _settling(shots: TrialShots, settles: Settles | None) -> str:
    if settles is None:
        return shots.settle_says
    after = count(settles.after, "shot")
    taken = f"; {shots.settle} are thrown away, for it hangs cold" if shots.settle > settles.after else ""
    return f"{listed(settles.trials)} had settled after {after} at the latest{taken}; weigh to be sure"


def _asked(found: TrialPlanned) -> str:
    asked = found.asked
    said = [listed(asked.purposes) or "nothing is said", asked.wish]
    said += [f"not before {_day(asked.earliest)}" if asked.earliest else ""]
    said += [f"by {_day(asked.due)}" if asked.due else ""]
    said += [f"{asked.hours:g} h of the press with both tool changes" if asked.hours is not None else ""]
    said += [f"asked for by {asked.asked_by}" if asked.asked_by else ""]
    return ", ".join(filter(None, said))


def _day(when: date) -> str:
    return f"{when.day} {when:%B %Y}"


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]

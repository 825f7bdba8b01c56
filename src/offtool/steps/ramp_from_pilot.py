"""When a quantity is there, if production goes on from where a pilot ended."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from math import inf

from offtool import __version__
from offtool.core.pilot.ramp import Ramp, RampDates, ramp_dates, ramp_up
from offtool.core.values import Caution, ImpossibleInput
from offtool.handbook.defects import PRACTICE
from offtool.records.queries import find_programme
from offtool.records.queries.finding import NotInRecord
from offtool.steps.findings import Action
from offtool.steps.judge_pilot import ON_THE_LINE, judged
from offtool.steps.pilot_counted import PilotCounted
from offtool.steps.pilot_found import PilotFound
from offtool.steps.pilot_in_record import PilotInRecord, newest_first, pilot_named
from offtool.steps.pilot_sentences import CHANGE, HOURS, day_in_words
from offtool.steps.ramp_found import RampAsked, RampFound, RampTaken
from offtool.steps.ramp_ground import ENOUGH_HOURS, Learned, Missing, learned, taken, working_days

FEW_HOURS = Caution(
    "few hours were counted: where they happen to lie close to one curve the band comes out too narrow",
    PRACTICE,
)
HANDS_ONLY = Caution(
    "learning makes hands quicker, not machines: where a booth, a welder or a cure sets the pace, the line "
    "stays at what that lets through",
    PRACTICE,
)
YIELD_IN_BOTH = Caution(
    "the learning is fitted to good pieces: where the yield grew in those hours, that is in the learning "
    "too, and the ramp comes out a little too early"
)
METHOD = f"offtool {__version__}"
LOOKED_AHEAD = (60, 250, 500)
"""Working days: about three months, a year, two years; further where the quantity is not there yet."""


def newest_pilot(programme: str) -> str:
    """The name of the newest pilot that ran. Raises NotInRecord where there is none."""
    ran = [one for one in newest_first(find_programme(programme)) if one.ran_on is not None]
    if not ran:
        raise NotInRecord(
            f"no pilot of {programme} has run",
            remedy=f"write one down, offtool pilot {programme} P1 --define --ran-on YYYY-MM-DD, and read its "
            "sheets",
        )
    return ran[0].name


def ramp_from_pilot(programme: str, pilot: str, asked: RampAsked, *, today: date) -> RampFound:
    """The days until a quantity is made, with their band. Raises NotInRecord, ImpossibleInput."""
    _refuse(asked)
    kept = pilot_named(find_programme(programme), pilot)
    found, counted = judged(kept, with_audits=False), PilotCounted(PilotInRecord(kept))
    way = learned(found, kept.line)
    try:
        numbers = taken(found, kept.line, counted, asked, way, today=today)
    except Missing as error:
        return _without(found, asked, way, error.what)
    ramp, days = _ramp(numbers)
    dates = ramp_dates(ramp, days)
    shown = replace(
        _without(found, asked, way, ()),
        taken=numbers,
        ramp=ramp,
        dates=dates,
        working_days=days,
        cautions=tuple(dict.fromkeys((ON_THE_LINE, HANDS_ONLY, *dates.cautions, *_of_learning(way)))),
    )
    return replace(shown, headline=_headline(shown, numbers), actions=tuple(_actions(shown, found)))


def _refuse(asked: RampAsked) -> None:
    for name, value, most in (
        ("quantity", asked.quantity, 10**9),
        ("hours_per_day", asked.hours_per_day, 24),
        ("planned_per_h", asked.planned_per_h, 10**6),
        ("planned_yield", asked.planned_yield, 1),
        ("days_to_half", asked.days_to_half, 1000),
    ):
        if value is not None and not 0 < value <= most:
            remedy = "95 % is 0.95" if name == "planned_yield" else "leave it blank for what the line says"
            raise ImpossibleInput(name, value, "", f"must be above 0 and at most {most:g}", remedy)


def _without(found: PilotFound, asked: RampAsked, way: Learned, missing: tuple[str, ...]) -> RampFound:
    """What is known before the ramp is worked out; with what is missing it is the whole answer."""
    return RampFound(
        programme=found.programme,
        programme_title=found.programme_title,
        invented=found.invented,
        line=found.line,
        pilot=found.pilot,
        headline=f"No ramp yet: say {_listed(missing)}." if missing else "",
        actions=tuple(_say_first(missing)),
        missing=missing,
        asked=asked,
        taken=None,
        learning=way.found,
        why_no_learning=way.why_not,
        ramp=None,
        dates=None,
        working_days=(),
        method=METHOD,
    )


def _say_first(missing: tuple[str, ...]) -> Iterator[Action]:
    for one in missing:
        because = "Say it with the line, or beside this page."
        yield Action(do=f"Say {one}.", because=because, leads_to=CHANGE)


def _listed(missing: tuple[str, ...]) -> str:
    return " and ".join(filter(None, (", ".join(missing[:-1]), missing[-1])))


def _ramp(numbers: RampTaken) -> tuple[Ramp, tuple[date, ...]]:
    """The ramp over as many days as it takes, at most two years.

    Rates here count good pieces; the ramp counts all and takes the bad ones off again by the yield.
    """
    planned = numbers.planned_per_h / numbers.planned_yield
    low, high = (min(one / numbers.yield_seen, planned) for one in (numbers.start_low, numbers.start_high))
    for days in LOOKED_AHEAD:
        ramp = ramp_up(
            numbers.quantity,
            start_per_h_low=low,
            start_per_h_high=high,
            planned_per_h=planned,
            learning_low=numbers.learning_low,
            learning_high=numbers.learning_high,
            made_before=numbers.made_before,
            hours_per_day=numbers.hours_per_day,
            start_yield_low=numbers.yield_low,
            start_yield_high=numbers.yield_high,
            planned_yield=numbers.planned_yield,
            days_to_half=numbers.days_to_half,
            days=days,
        )
        if ramp.latest_day < inf:
            break
    return ramp, tuple(working_days(numbers.starts_on, days))


def _headline(found: RampFound, numbers: RampTaken) -> str:
    dates = found.dates
    if dates is None:
        return ""
    wanted, starts = f"{numbers.quantity:,} good pieces", day_in_words(dates.starts)
    if dates.middle is None:
        return f"{wanted} are not there within {len(found.working_days)} working days from {starts}."
    between = f"between {_day(dates.earliest)} and {_day(dates.latest)}"
    if dates.earliest == dates.latest:
        between = "with the whole band on that day"
    return f"{wanted} are there on {day_in_words(dates.middle)}, {between}, if the line starts on {starts}."


def _day(day: date | None) -> str:
    return day_in_words(day) if day is not None else "a day beyond those looked at"


def _of_learning(way: Learned) -> tuple[Caution, ...]:
    """What must be said of the learning, where it is that of the pilot."""
    if way.found is None or way.why_not:
        return ()
    few = (FEW_HOURS,) if way.found.hours < ENOUGH_HOURS else ()
    return (*way.found.cautions, *few, YIELD_IN_BOTH)


def _actions(found: RampFound, pilot: PilotFound) -> Iterator[Action]:
    """What brings the date forward, or makes it surer."""
    dates, ramp = found.dates, found.ramp
    if dates is None or ramp is None or found.taken is None:
        return
    if pilot.limited_by and found.taken.start_high < found.taken.planned_per_h:
        yield Action(
            do=f"Mend {pilot.limited_by} before the line starts.",
            because=f"It limits {pilot.pilot}; learning alone brings the planned rate {_when(dates)}.",
            leads_to="pilot",
        )
    if found.why_no_learning:
        yield Action(
            do="Run a pilot of a whole shift, counted hour by hour.",
            because=f"The band rests on a usual learning rate: {found.why_no_learning}.",
            leads_to=HOURS,
        )


def _when(dates: RampDates) -> str:
    return (
        f"on {day_in_words(dates.plateau)}" if dates.plateau is not None else "on no day that was looked at"
    )

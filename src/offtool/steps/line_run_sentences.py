"""The sentences of a run: what the line makes against the plan, what limits it, what to do, and why."""

from __future__ import annotations

from collections.abc import Iterator

from offtool.core.pilot.simulation import CountedUse, Estimated, LineSimulated
from offtool.core.values import Interval, Verdict
from offtool.steps.findings import Action, Fact
from offtool.steps.line_in_record import names_in_words
from offtool.steps.line_run_built import LineBuilt
from offtool.steps.line_run_found import LineRunFound, MoreOfIt
from offtool.steps.sentences import count, per_cent, sentence

LONGER, LINE, MORE, PILOT = "longer", "line", "more", "pilot"
"""Where an action leads."""
MOST_LIMITS = 3
MOST_MORE = 4


def pieces(value: float) -> str:
    """Pieces an hour, to three digits: 118, 87.4, 9.23."""
    return f"{value:.0f}" if abs(value) >= 100 else f"{value:.3g}"


def pieces_between(interval: Interval | None) -> str:
    """(116 to 120), or nothing; no line makes fewer than none."""
    return f"({pieces(max(interval.low, 0.0))} to {pieces(interval.high)})" if interval is not None else ""


def rate_in_words(rate: Estimated) -> str:
    """118 (116 to 120)."""
    return f"{pieces(rate.value)} {pieces_between(rate.interval)}".rstrip()


def headline(found: LineRunFound) -> str:
    """The rate against the plan, and what limits it."""
    done = found.simulated
    if not done.per_h.value > 0:
        return f"No good piece comes off the line in {done.hours:g} h."
    rate, planned = f"The line makes {rate_in_words(done.per_h)} good pieces an hour", found.planned_per_h
    if planned is None or found.verdict is None:
        said = rate
    elif found.verdict is Verdict.HOLDS:
        said = f"{rate} and reaches the {planned:g} planned"
    elif found.verdict is Verdict.FAILS:
        said = f"{rate}, not the {planned:g} planned"
    else:
        said = f"{rate}; whether it reaches the {planned:g} planned is not shown"
    return f"{said}: {limit_in_words(found)}."


def limit_in_words(found: LineRunFound) -> str:
    """What limits it: a station, some, or none more than the others."""
    names = found.simulated.limited_by
    if len(names) > MOST_LIMITS:
        return "no one station limits it"
    is_many = len(names) > 1 or any(one.name in names and one.is_many for one in found.simulated.counted)
    the = "the " if any(one.name in names for one in found.simulated.counted) else ""
    return f"{the}{names_in_words(names)} {'limit' if is_many else 'limits'} it"


def is_limit(name: str, done: LineSimulated) -> bool:
    """Whether it is named as what limits the line: of many that are as busy, none is."""
    return name in done.limited_by and len(done.limited_by) <= MOST_LIMITS


def actions(found: LineRunFound, built: LineBuilt) -> Iterator[Action]:
    """In order of effect: what is added, where to look, what to write down."""
    if found.more:
        yield from _additions(found)
    yield from _at_the_limit(found)
    if not found.more and found.simulated.per_h.value > 0:
        yield Action(
            do="Try one more of each thing.",
            because="Longer runs say which person, place or fixture gives more, and which gives nothing.",
            leads_to=LONGER,
        )
    yield from _to_write_down(found)


def _additions(found: LineRunFound) -> Iterator[Action]:
    paying = [one for one in found.more if one.shown is Verdict.HOLDS]
    for one in paying[:MOST_MORE]:
        yield Action(do=sentence(f"add {one.words}"), because=gain_in_words(one, found), leads_to=MORE)
    if not paying:
        yield Action(
            do="Add nothing yet.",
            because="Of all that was tried alone, nothing is shown to give more.",
            leads_to=MORE,
        )
    open_ = [one for one in found.more if one.shown is Verdict.NOT_SHOWN and not one.is_nothing]
    if open_ and not paying:
        yield Action(
            do="Run it more often.",
            because=f"{count(len(open_), 'addition')} may still give more: the runs cannot tell yet.",
            leads_to=LONGER,
        )


def gain_in_words(one: MoreOfIt, found: LineRunFound) -> str:
    """What it gives, and whether that reaches the plan."""
    gives = f"It gives {pieces(one.gain_per_h.value)} an hour more {pieces_between(one.gain_per_h.interval)}"
    planned = found.planned_per_h
    if planned is None or found.verdict is Verdict.HOLDS:
        return f"{gives}."
    if one.reaches_plan is Verdict.HOLDS:
        return f"{gives}: the line then reaches the {planned:g} planned."
    return f"{gives}; alone it makes {rate_in_words(one.per_h)} of the {planned:g} planned."


def _at_the_limit(found: LineRunFound) -> Iterator[Action]:
    names = found.simulated.limited_by
    if found.verdict is Verdict.HOLDS or len(names) > MOST_LIMITS or not found.simulated.per_h.value > 0:
        return
    for station in found.stations:
        if station.limits:
            yield Action(
                do=sentence(f"shorten what is done at {station.name}, or share it"),
                because=f"It is at work or stopped {per_cent(station.shares.needed.value, 0)} of its hours.",
                leads_to=LINE,
            )
    for counted in found.simulated.counted:
        if counted.name in names:
            yield Action(
                do=_more_of(counted),
                because=f"{per_cent(counted.used.value, 0)} of the {counted.count} are in use in the mean, "
                "and everybody waits for them.",
                leads_to=LINE,
            )
    for press in found.presses:
        if press.limits:
            yield Action(
                do=sentence(f"have parts of {press.name} ready before the line starts"),
                because=f"The line takes {per_cent(press.shares.needed.value, 0)} of its parts as they come.",
                leads_to=LINE,
            )


def _more_of(counted: CountedUse) -> str:
    if counted.is_many:
        return f"Have more fixtures at {counted.station}, or get them back sooner."
    return f"Give the {counted.name} more places, or cure for less time."


def _to_write_down(found: LineRunFound) -> Iterator[Action]:
    about = {one.about for one in found.unsaid}
    if "stoppages" in about:
        yield Action(
            do="Write down how often stations stop, and how long.",
            because="Without stoppages the rate is too good.",
            leads_to=LINE,
        )
    if about & {"times", "spread of times"} and found.pilots and not found.pilot:
        yield Action(
            do=f"Run it with the times of pilot {found.pilots[-1]}.",
            because="Cycles that were timed at the line say more than estimates.",
            leads_to=PILOT,
        )
    elif about & {"times", "spread of times"}:
        yield Action(
            do="Time ten cycles of each task that is estimated.",
            because="A time and a spread that were measured say more than estimates.",
            leads_to=LINE,
        )


def facts(found: LineRunFound, built: LineBuilt) -> Iterator[Fact]:
    """What the answer rests on."""
    done = found.simulated
    yield Fact(about="line", says=f"{found.line}, {built.worked.why}")
    yield Fact(about="people", says=_people(found, built))
    yield Fact(about="runs", says=runs_in_words(done))
    yield Fact(about="warm-up", says=_warm_up(done))
    if done.one_run_per_h is not None:
        yield Fact(
            about="one shift alone",
            says=f"{pieces(done.one_run_per_h.low)} to {pieces(done.one_run_per_h.high)} an hour: what a "
            "pilot of that length may show",
        )
    if done.time_inside_s is not None:
        since = ", from the moulding of its oldest part" if done.line.presses else ""
        yield Fact(about="time in the line", says=f"{done.time_inside_s.value / 60:.3g} min a piece{since}")
    yield Fact(about="pieces in the line", says=f"{done.inside.value:.3g} in the mean, parts included")
    if done.scrap_share is not None and done.scrap_share.value > 0:
        yield Fact(about="scrap", says=f"{per_cent(done.scrap_share.value)} of what leaves")
    yield Fact(about="times", says=_times(found))
    learning = [one.name for one in built.stations if one.given.learning is not None]
    if learning:
        yield Fact(
            about="learning",
            says=f"{names_in_words(learning)}: the time written down is that of the first piece",
        )
    yield Fact(about="numbers drawn", says=f"seed {done.seed}: the same settings give the same answer")


def _people(found: LineRunFound, built: LineBuilt) -> str:
    """12 at the stations, 13 at hand: 1 is free."""
    placed, at_hand = sum(one.people for one in found.stations), built.people_at_hand
    if at_hand is None:
        return f"{placed} at the stations; how many are at hand is not written down"
    said = f"{placed} at the stations, {at_hand} at hand"
    if placed == at_hand:
        return said
    few = placed - at_hand
    return f"{said}: {few} {'is' if few == 1 else 'are'} missing" if few > 0 else f"{said}: {-few} free"


def runs_in_words(done: LineSimulated) -> str:
    """20 of 8 h each, 95 % intervals."""
    of = f"{done.runs} of {done.runs_asked}" if done.stopped else f"{done.runs}"
    return f"{of} of {done.hours:g} h, each from an empty line; intervals {per_cent(done.confidence, 0)}"


def _warm_up(done: LineSimulated) -> str:
    if not done.settled:
        return f"the first {done.warm_up_h:.2g} h are left out; the line had not settled by then"
    if not done.warm_up_h:
        return "nothing had to be left out"
    return f"the first {60 * done.warm_up_h:.0f} min are left out, while it fills"


def _times(found: LineRunFound) -> str:
    if found.pilot:
        return f"cycles of pilot {found.pilot} where there are enough, else those of the tasks"
    return "those of the tasks"

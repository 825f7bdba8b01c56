"""What is said of a simulated line: the verdict in one sentence, and what its reader must know."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import ceil

from offtool.core.pilot.simulation.estimates import Estimated
from offtool.core.pilot.simulation.given import Line, RandomTime, TimeShape
from offtool.core.pilot.simulation.reading import Readings
from offtool.core.pilot.simulation.results import CountedUse, Gain, PlaceShares
from offtool.core.values import Caution, Verdict
from offtool.handbook.defects import PRACTICE

FEW_READINGS = 10
"""Cycles to take with a watch at a station before its spread is believed; common practice."""
FEW_RUNS = 10
MOST_NAMED = 3

OF_THE_TIMES_GIVEN = Caution(
    "it is as good as the times, stoppages and shares that went in: compare it with the pieces that the "
    "pilot itself counts",
    PRACTICE,
)
AT_THE_LINE = Caution(
    "no rate is a reason to reach past a guard, into a press or under a horn, or to skip a break: local "
    "rules and trained people decide how the line is worked",
    PRACTICE,
)


def line_words(
    per_h: Estimated,
    busiest: Sequence[PlaceShares],
    short: Sequence[CountedUse],
    plan: Verdict | None,
    line: Line,
) -> str:
    """The verdict in one sentence."""
    if not per_h.value > 0:
        return "no good piece comes off the line in that time"
    said = f"{per_h.value:.4g} good pieces an hour{_between(per_h)}"
    if plan is not None:
        said += f", {_PLAN[plan]} the planned {line.planned_per_h:g}"
    return f"{said}; {_short(short) if short else _limit(busiest)}"


def _short(short: Sequence[CountedUse]) -> str:
    names = " and ".join(one.name for one in short)
    return f"it waits for the {names}, in use {100 * short[0].used.value:.0f} % of the time"


def _limit(busiest: Sequence[PlaceShares]) -> str:
    first = busiest[0]
    share = f"at work or stopped {100 * first.needed.value:.0f} % of its hours"
    if len(busiest) == 1:
        return f"{first.name} limits it, {share}"
    if len(busiest) > MOST_NAMED:
        others = f"{len(busiest) - 1} others are hardly less busy"
        return f"no one station limits it: {first.name} is {share}, {others}"
    others = " and ".join(one.name for one in busiest[1:])
    return f"{first.name} limits it, {share}, hardly more than {others}"


_PLAN = {
    Verdict.HOLDS: "which reaches",
    Verdict.FAILS: "which does not reach",
    Verdict.NOT_SHOWN: "which does not show",
}


def _between(found: Estimated) -> str:
    if found.interval is None:
        return ""
    ends = f"{found.interval.low:.4g} to {found.interval.high:.4g}"
    return f" ({ends} at {100 * found.interval.confidence:g} %)"


def plan_verdict(per_h: Estimated, planned_per_h: float | None) -> Verdict | None:
    """Whether the planned rate is reached, by the whole interval."""
    if planned_per_h is None:
        return None
    if per_h.interval is None:
        return Verdict.NOT_SHOWN
    if per_h.interval.low >= planned_per_h:
        return Verdict.HOLDS
    return Verdict.FAILS if per_h.interval.high < planned_per_h else Verdict.NOT_SHOWN


def line_cautions(line: Line, found: Readings) -> Iterator[Caution]:
    """What must be known before acting on it."""
    runs, runs_asked = len(found.traces), found.asked.runs
    if runs < runs_asked:
        yield Caution(f"{runs} of {runs_asked} runs are done: the intervals are wider than was asked for")
    if runs == 1:
        yield Caution(
            "one run alone: its interval is that of batches, which depend on each other where queues are "
            "long; only the rate has one",
            PRACTICE,
        )
    elif runs < FEW_RUNS:
        yield Caution(f"{runs} runs: the intervals are wide, and lean on rates that scatter like a normal")
    yield from _about_warm_up(line, found)
    yield from _about_times(line)
    yield from _about_racks(line)
    yield OF_THE_TIMES_GIVEN
    yield AT_THE_LINE


def _about_warm_up(line: Line, found: Readings) -> Iterator[Caution]:
    learning = [one.name for one in line.stations if one.learning is not None]
    if learning:
        yield Caution(f"{', '.join(learning)}: still learning, so that no hour is like the next")
    if not found.settled:
        yield Caution(
            "the line has not settled by the middle of the run: its rate is that of the second half; "
            f"{_what_still_changes(line)}"
        )


def _what_still_changes(line: Line) -> str:
    """Without an end where there is room for all; else until what is large enough has filled."""
    endless = [one.name for one in line.stations if any(intake.places is None for intake in one.takes)]
    if not endless:
        return "boxes and racks may still have been filling: a longer run says more"
    return (
        f"the queue before {', '.join(endless)} has no limit and may still grow: give the places that there "
        "are, or run it longer"
    )


def _about_times(line: Line) -> Iterator[Caution]:
    few = {who: len(time.readings_s) for who, time in _times(line) if 0 < len(time.readings_s) < FEW_READINGS}
    if few:
        shown = ", ".join(f"{who} ({count})" for who, count in few.items())
        yield Caution(
            f"fewer than {FEW_READINGS} times were taken at {shown}: rare long ones are missing", PRACTICE
        )
    constant = [who for who, time in _times(line) if time.shape is TimeShape.CONSTANT]
    if len(constant) > 1 and len(constant) == len(line.stations) + len(line.presses):
        yield Caution("every time is constant: a line of people waits more than that", PRACTICE)


def _times(line: Line) -> Iterator[tuple[str, RandomTime]]:
    yield from ((one.name, one.time) for one in line.stations)
    yield from ((one.name, one.cycle) for one in line.presses)


def _about_racks(line: Line) -> Iterator[Caution]:
    """A rack that does not carry the plan, or holds up its own station. By Little: pieces = rate × time."""
    for one in line.stations:
        for intake in one.takes:
            if intake.cure_s and intake.places is not None:
                rack, station = 3600 * intake.places / intake.cure_s, 3600 * one.people / one.time.middle_s
                planned = line.planned_per_h
                if planned is not None and rack < planned:
                    yield Caution(
                        f"the rack before {one.name} cures {rack:.3g} pieces an hour at most: for the "
                        f"planned {planned:g} it needs {ceil(planned * intake.cure_s / 3600)} places, not "
                        f"{intake.places}, or a shorter cure"
                    )
                elif rack < station:
                    yield Caution(
                        f"the rack before {one.name} cures {rack:.3g} pieces an hour at most, fewer "
                        f"than {one.name} could work: it limits the line where nothing else does"
                    )


def gains_words(gains: Sequence[Gain]) -> str:
    """The best addition in one sentence."""
    if not gains:
        return "nothing was compared"
    best, interval = gains[0], gains[0].gain_per_h.interval
    if best.shown is not Verdict.HOLDS or interval is None:
        return "no addition is shown to give more pieces"
    return (
        f"{best.addition.words} gives {best.gain_per_h.value:.3g} pieces an hour more "
        f"({interval.low:.3g} to {interval.high:.3g})"
    )


def gain_cautions(compared: int, confidence: float) -> Iterator[Caution]:
    """What must be known of additions compared at once."""
    if compared > 1:
        yield Caution(
            f"{compared} additions were compared: the intervals hold for all of them together at "
            f"{100 * confidence:g} %, yet the largest gain is flattered by having been picked"
        )
    yield Caution("each addition was tried alone: two together give neither the sum nor always more")

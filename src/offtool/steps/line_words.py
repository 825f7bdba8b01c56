"""The words in which the numbers of a line are said: rates, times, people, moves."""

from __future__ import annotations

from collections.abc import Iterator
from math import floor, isfinite

from offtool.core.pilot.balance import LineBalance, LineGiven, TimedRate
from offtool.steps.line_found import LineFound
from offtool.steps.line_known import LineKnown
from offtool.steps.sentences import count, per_cent

UNITS = {"s": "seconds", "min": "minutes"}
"""In what the times of a table are given."""
SMALL = 10.0
"""Below so many an hour a rate is told with a decimal."""
NEARLY_ALL = 0.99
"""From this share on it is told in words."""


def an_hour(rate: float) -> str:
    """152 an hour; never more than is made."""
    shown = rate * (1 + 1e-9)
    return f"{floor(shown):,} an hour" if rate >= SMALL else f"{floor(10 * shown) / 10:g} an hour"


def asked_an_hour(rate: float) -> str:
    """150 an hour, 153.1 an hour: what is asked for, as it was said."""
    return f"{rate:,.1f}".removesuffix(".0") + " an hour"


def seconds(time_s: float) -> str:
    """23.7 s; 105 s; 4 min 10 s from ten minutes on is told in minutes."""
    return (
        f"{time_s / 60:.0f} min"
        if time_s >= 600
        else f"{time_s:.3g} s"
        if time_s < 100
        else f"{time_s:.0f} s"
    )


def people_in_words(number: int) -> str:
    """1 person, 9 people."""
    return count(number, "person", "people")


def line_in_words(found: LineBalance) -> str:
    """7 stations and 9 people."""
    used = sum(bool(one.tasks) for one in found.stations)
    said = count(len(found.stations), "station")
    empty = f", {len(found.stations) - used} of them empty," if used < len(found.stations) else ""
    return f"{said}{empty} and {people_in_words(found.people)}"


def span_in_words(timed: TimedRate | None) -> str:
    """146 to 158 an hour by how often its tasks were timed; empty where that is not known."""
    if timed is None or timed.interval is None:
        return ""
    low, high = timed.interval.low, timed.interval.high
    end = f"to {high:,.0f}" if isfinite(high) else "or more"
    return f"{low:,.0f} {end} an hour, {per_cent(timed.confidence, 0)} sure"


def proof_in_words(found: LineBalance) -> str:
    """proved: fewer stations cannot; or how far a better line could be."""
    if found.goal == "fewest stations":
        if found.is_proved:
            return "proved: fewer stations cannot"
        return f"not proved: {found.bound:.0f} stations might do"
    if found.is_proved:
        return "proved: so many stations make no more"
    return f"not proved: up to {3600 / found.bound:.0f} an hour might be made"


def share_over_in_words(over: float | None) -> str:
    """How often a station is over the cycle."""
    if over is None:
        return "not known: not every task has a spread"
    if over >= NEARLY_ALL:
        return "in nearly every piece"
    return "hardly ever" if over < 0.001 else f"in about {100 * over:.2g} % of pieces"


def plan_in_words(known: LineKnown, needed: float | None) -> str:
    """150 an hour; 150 good an hour, so 153.1 an hour enter."""
    if known.planned_per_h is None or needed is None:
        return ""
    planned = asked_an_hour(known.planned_per_h)
    if needed == known.planned_per_h:
        return planned
    share = per_cent(known.planned_final_yield or 1.0, 1).replace(".0 %", " %")
    enter = asked_an_hour(needed).removesuffix(" an hour")
    planned = planned.removesuffix(" an hour")
    return f"{planned} good an hour, so that {enter} must enter: {share} are good in the end"


def manning_in_words(given: LineGiven, stations: int, people: int) -> str:
    """6 people, one at each of 6 stations; 6 people at 5 stations, as the line mans them."""
    if stations == people:
        return f"{people_in_words(people)}, one at each station"
    there = sum(given.people_at(k) for k in range(1, stations + 1))
    left = f"; {people_in_words(people - there)} are left over" if there < people else ""
    return f"{people_in_words(people)} fill {count(stations, 'station')}, each manned as the line says{left}"


def moves_in_words(found: LineFound) -> Iterator[str]:
    """What the proposal does elsewhere, and where it has other people."""
    for task in found.moved:
        was = f"from station {task.was} " if task.was is not None else ""
        yield f"{task.task}: {was}to station {task.now}"
    for one in found.manned:
        yield f"station {one.station}: {people_in_words(one.now)}, not {one.was}"

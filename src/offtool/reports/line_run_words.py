"""A simulated line in words, once for its page and its command."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum

from offtool.core.pilot.simulation import Estimated, PlaceShares
from offtool.core.values import Verdict
from offtool.reports.words import percent, signed
from offtool.steps.line_run_found import LineRunFound, MoreOfIt, PressRun, StationRun, WaitsBefore
from offtool.steps.line_run_sentences import pieces, pieces_between


class Doing(StrEnum):
    """What a station or press does with its time."""

    BUSY = "works"
    STARVED = "waits for pieces"
    BLOCKED = "waits for room"
    DOWN = "stands stopped"
    AWAY = "is away"
    IN_USE = "in use"
    FREE = "free"
    """The last two of racks and fixtures; the next two of the parts of a press."""
    TAKEN = "parts taken by the line"
    ASIDE = "parts laid aside"


def shares_of(place: PlaceShares) -> dict[Doing, float]:
    """Shares of its time, in the order in which they are drawn."""
    each = (place.busy, place.down, place.starved, place.blocked, place.away)
    what = (Doing.BUSY, Doing.DOWN, Doing.STARVED, Doing.BLOCKED, Doing.AWAY)
    return {one: estimated.value for one, estimated in zip(what, each, strict=True)}


def parts_of(press: PressRun) -> dict[Doing, float]:
    """What becomes of the parts of a press, of the part that is scarcest."""
    taken = min(press.shares.needed.value, 1.0)
    return {Doing.TAKEN: taken, Doing.ASIDE: 1 - taken}


def waits_before(station: StationRun) -> list[WaitsBefore]:
    """What lies before a station; of moulded parts, the one that is scarcest."""
    parts = [one for one in station.before if one.is_part]
    scarcest = min(parts, key=lambda one: one.level.mean.value, default=None)
    return [one for one in station.before if not one.is_part or one is scarcest]


def shares_in_words(shares: Mapping[Doing, float]) -> str:
    """works 78 %, waits for room 20 %."""
    said = [f"{what} {percent(share, 0)}" for what, share in shares.items() if share >= 0.005]
    return ", ".join(said)


def gain_in_words(one: MoreOfIt) -> str:
    """+5.5 (5.4 to 5.6); 0 where nothing is gained."""
    gain = one.gain_per_h
    if one.is_nothing:
        return "0"
    decimals = 0 if abs(gain.value) >= 100 else 1 if abs(gain.value) >= 1 else 2
    between = ""
    if gain.interval is not None:
        between = f" ({signed(gain.interval.low, decimals)} to {signed(gain.interval.high, decimals)})"
    return f"{signed(gain.value, decimals)}{between}"


def shown_in_words(one: MoreOfIt) -> str:
    """Whether it pays in pieces."""
    if one.is_nothing:
        return "gives nothing"
    return {
        Verdict.HOLDS: "gives more",
        Verdict.FAILS: "gives less",
        Verdict.NOT_SHOWN: "not shown",
    }[one.shown]


def reaches_in_words(one: MoreOfIt, found: LineRunFound) -> str:
    """The rate with it alone, against the plan where that is not reached already."""
    rate = f"{pieces(one.per_h.value)} {pieces_between(one.per_h.interval)}".rstrip()
    if one.reaches_plan is Verdict.HOLDS and found.verdict is not Verdict.HOLDS:
        return f"{rate}, reaches the plan"
    return rate


def time_in_words(station: StationRun) -> str:
    """48.2 s, spread 8.1 s; 24 s where there is no spread."""
    spread = f", spread {station.spread_s:.3g} s" if station.spread_s else ""
    return f"{station.time_s:.3g} s{spread}"


def people_in_words(station: StationRun) -> str:
    """2 people; two facing each other."""
    if station.two_sided:
        return "two facing each other"
    return "1 person" if station.people == 1 else f"{station.people} people"


HELD = "the hands of who waits there"
"""Where a piece more is than there are places: whoever waits for something else has it ready."""


def before_in_words(one: WaitsBefore) -> str:
    """3 of 4 places in the mean, 4 at most; a cure is named."""
    level = one.level.mean.value
    mean = f"{level:.0f}" if level >= 10 else f"{level:.2g}"
    room = (
        "room for all" if one.places is None else f"{one.places} {'place' if one.places == 1 else 'places'}"
    )
    assumed = ", assumed" if one.assumed and one.places is not None else ""
    cure = f", cure {one.cure_s / 60:g} min" if one.cure_s else ""
    item = f"{one.item}, the scarcest part" if one.is_part else one.item
    held = f" and {HELD}" if one.places is not None and one.level.most > one.places else ""
    return f"{item}: {mean} in the mean, {one.level.most} at most; {room}{assumed}{held}{cure}"


def estimated_percent(one: Estimated) -> str:
    """97 % (96 to 98 %)."""
    said = percent(one.value, 0)
    if one.interval is None:
        return said
    low, high = max(one.interval.low, 0.0), min(one.interval.high, 1.0)  # Student's knows no ends
    return f"{said} ({100 * low:.0f} to {percent(high, 0)})"

"""What one more person, place or fixture gives: the core's answer in the words of the line."""

from __future__ import annotations

from offtool.core.pilot.simulation import Addition, Gain, Line, More, WhatMoreGives, all_additions
from offtool.core.pilot.simulation.told import plan_verdict
from offtool.steps.line_run_built import LineBuilt, StationBuilt, pairs_or_people
from offtool.steps.line_run_found import MoreOfIt
from offtool.steps.sentences import listed


def additions_to(line: Line) -> tuple[Addition, ...]:
    """One more of everything that is counted, but for the boxes of moulded parts: those are laid out anew."""
    moulded = {part for press in line.presses for part in press.parts}
    return tuple(one for one in all_additions(line) if one.item not in moulded)


def more_of_it(compared: WhatMoreGives, built: LineBuilt) -> tuple[MoreOfIt, ...]:
    """Each addition with its gain, the largest first."""
    return tuple(_more(gain, built) for gain in compared.gains)


def _more(gain: Gain, built: LineBuilt) -> MoreOfIt:
    addition = gain.addition
    station = next(one for one in built.stations if one.name == addition.station)
    interval = gain.gain_per_h.interval
    return MoreOfIt(
        words=addition_in_words(addition, station),
        more=More.FIXTURE if waits_for_fixture(addition, station) else addition.more,
        station=station.name,
        gain_per_h=gain.gain_per_h,
        per_h=gain.per_h,
        shown=gain.shown,
        is_nothing=interval is not None and interval.low == interval.high == 0,
        reaches_plan=plan_verdict(gain.per_h, built.line.planned_per_h),
        is_of_assumed=addition.more is More.PLACE and places_are_assumed(station),
    )


def addition_in_words(addition: Addition, station: StationBuilt) -> str:
    """One more place between weld and paint; one more person at paint, who needs another spray booth."""
    if addition.more is More.PLACE:
        if any(one.cure_s for one in station.given.takes if one.item == addition.item):
            return f"one more place on the rack from {addition.item} to {station.name}"
        return f"one more place between {addition.item} and {station.name}"
    if addition.more is More.FIXTURE or waits_for_fixture(addition, station):
        return f"one more fixture at {station.name}"
    who = "pair of people" if station.work.two_sided else "person"
    needs = needed_by_one_more(station)
    with_it = (
        f", who {'need' if station.work.two_sided else 'needs'} another {listed(needs)}" if needs else ""
    )
    return f"one more {who} at {station.name}{with_it}"


def waits_for_fixture(addition: Addition, station: StationBuilt) -> bool:
    """There are people for it already, and a fixture is what the next piece waits for."""
    nests = station.nests
    return addition.more is More.PERSON and nests is not None and nests < pairs_or_people(station.work)


def needed_by_one_more(station: StationBuilt) -> list[str]:
    """What nobody works without there: its equipment, and the nest in which a piece stays."""
    return [*station.work.equipment, *(["fixture"] if station.nests is not None else [])]


def places_are_assumed(station: StationBuilt) -> bool:
    """Nobody wrote down how many pieces may wait before it."""
    said = station.said
    return said is None or said.places is None

"""What nobody wrote down of a line that is run, what was taken instead, and what that does to the answer."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from offtool.records.models import Line as KeptLine
from offtool.steps.line_in_record import names_in_words
from offtool.steps.line_run_built import PARTS_READY_H, LineBuilt, StationBuilt
from offtool.steps.line_run_found import Unsaid
from offtool.steps.line_run_times import HAND_WORK_SCATTERS
from offtool.steps.sentences import count, per_cent

HOURS = 8.0
"""A shift where nobody said how long; common practice, no source."""


def unsaid_of(kept: KeptLine, built: LineBuilt) -> tuple[Unsaid, ...]:
    """All of it, what moves the rate most first."""
    return tuple(
        one
        for about in (_stoppages, _places, _racks, _spreads, _estimates, _fails, _supply, _hours, _breaks)
        for one in about(kept, built)
    )


def _of(stations: Sequence[StationBuilt], all_: Sequence[StationBuilt]) -> str:
    """At which of them: by name where they are few."""
    if len(stations) == len(all_):
        return f"any of {count(len(all_), 'station')}" if len(all_) > 1 else stations[0].name
    if len(stations) <= 3:
        return names_in_words([one.name for one in stations])
    return f"{len(stations)} of {count(len(all_), 'station')}"


def _stoppages(kept: KeptLine, built: LineBuilt) -> Iterator[Unsaid]:
    without = [one for one in built.stations if one.given.stoppage is None]
    if without:
        where = _of(without, built.stations)
        yield Unsaid(
            about="stoppages",
            says=f"none are written down for {where}: the rate is what an undisturbed line makes there",
        )
    presses = [str(one.tool.code) for one in built.presses if one.works_s is None]
    if presses:
        yield Unsaid(
            about="stoppages of presses",
            says=f"none are written down for tool {names_in_words(presses)}: it is run without any",
        )


def _places(kept: KeptLine, built: LineBuilt) -> Iterator[Unsaid]:
    without = [
        one
        for one in built.stations
        if one.takes_from and (one.said is None or (one.said.places is None and not one.said.cure_s))
    ]
    if without:
        yield Unsaid(
            about="places",
            says=f"how many pieces may wait is not written down before {_of(without, built.stations)}: one a "
            "person is taken (common practice, no source)",
        )


def _racks(kept: KeptLine, built: LineBuilt) -> Iterator[Unsaid]:
    for one in built.stations:
        said = one.said
        if said is None or not said.cure_s:
            continue
        if not one.takes_from:
            yield Unsaid(
                about="cure", says=f"nothing comes before {one.name}, so its cure has no part in the runs"
            )
        elif not said.places:
            yield Unsaid(
                about="rack",
                says=f"how many pieces the rack before {one.name} holds is not written down: it holds all",
            )


def _spreads(kept: KeptLine, built: LineBuilt) -> Iterator[Unsaid]:
    assumed = [name for one in built.stations for name in one.time.assumed]
    if assumed:
        yield Unsaid(
            about="spread of times",
            says=f"not known of {names_in_words(assumed)}: {per_cent(HAND_WORK_SCATTERS, 0)} of the time is "
            "taken, as hand work scatters (common practice, no source)",
        )


def _estimates(kept: KeptLine, built: LineBuilt) -> Iterator[Unsaid]:
    guessed = [name for one in built.stations if not one.time.from_pilot for name in one.work.estimated]
    if guessed:
        yield Unsaid(about="times", says=f"estimated, not timed: {names_in_words(guessed)}")


def _fails(kept: KeptLine, built: LineBuilt) -> Iterator[Unsaid]:
    without = [one for one in built.stations if one.said is None or one.said.fails is None]
    if without:
        where = _of(without, built.stations)
        yield Unsaid(
            about="pieces that fail",
            says=f"no share is written down for {where}: every piece is taken as good there",
        )
    blank = [
        one.name
        for one in built.stations
        if one.said is not None and one.said.rework_to is not None and one.said.rounds is None
    ]
    if blank:
        yield Unsaid(
            about="rework",
            says=f"how often {names_in_words(blank)} may send a piece back is not written down: once",
        )


def _supply(kept: KeptLine, built: LineBuilt) -> Iterator[Unsaid]:
    if not built.presses:
        yield Unsaid(
            about="moulding", says="no press is written down that feeds the line: parts are always at hand"
        )
    else:
        yield Unsaid(
            about="moulding",
            says="parts that no press of the line makes are always at hand; a piece takes one of each part; "
            f"at the line lie those of {60 * PARTS_READY_H:g} min, and the press runs on (common practice, "
            "no source)",
        )
    if built.left_out:
        yield Unsaid(about="parts left out", says=names_in_words(built.left_out))
    if built.loose:
        yield Unsaid(
            about="order",
            says=f"no later task builds on {names_in_words(built.loose)}: it hands on to the next station",
        )


def _hours(kept: KeptLine, built: LineBuilt) -> Iterator[Unsaid]:
    if kept.hours_per_day is None:
        yield Unsaid(about="hours a day", says=f"not written down: a shift of {HOURS:g} h is usual")


def _breaks(kept: KeptLine, built: LineBuilt) -> Iterator[Unsaid]:
    if not kept.breaks.exists():
        yield Unsaid(about="breaks", says="none are written down: people work all the time")
    elif kept.breaks.filter(station=None, people__gt=0).exists():
        yield Unsaid(
            about="breaks",
            says="who stays in a break of the whole line is not written down: all are away",
        )

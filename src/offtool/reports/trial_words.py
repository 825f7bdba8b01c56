"""How a planned trial is worded where its steps leave it to the face: minutes, shots, colours, bags."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import datetime

from offtool.core.planning.shots import PurposeShots, ShotGroup, TrialMaterial, TrialShots, TrialTime
from offtool.reports.words import day
from offtool.steps.plan_found import BagPlanned, Missing, RunStep, TrialPlanned


def duration(minutes: float) -> str:
    """33 min; 1 h 25 min; 3 h."""
    whole = round(minutes)
    hours, rest = divmod(whole, 60)
    said = (f"{hours:,} h" if hours else "", f"{rest} min" if rest or not hours else "")
    return " ".join(filter(None, said))


def duration_span(least: float, most: float) -> str:
    """22 to 48 min; 1 h to 2 h 10 min; 45 min where both ends are alike."""
    ends = duration(least), duration(most)
    if ends[0] == ends[1]:
        return ends[0]
    if most < 60:
        return f"{ends[0].removesuffix(' min')} to {ends[1]}"
    return f"{ends[0]} to {ends[1]}"


def time_in_words(time: TrialTime) -> str:
    """1 h 25 min (1 h 5 min to 2 h)."""
    span = duration_span(time.least, time.most)
    said = duration(time.minutes)
    return said if span == said else f"{said} ({span})"


def shots_in_words(shots: TrialShots) -> str:
    """96 shots (70 to 130); where the span is wide, what makes it so."""
    if shots.least == shots.most:
        return f"{shots.shots:,} shots"
    why = ""
    if shots.most > WIDE * shots.least and shots.settle_most > WIDE * shots.settle_least:
        why = f": {shots.settle_least:,} to {shots.settle_most:,} until it has settled, weigh them"
    return f"{shots.shots:,} shots ({shots.least:,} to {shots.most:,}{why})"


def weight_in_words(found: TrialMaterial) -> str:
    """2.1 kg, 0.3 kg of it purged."""
    purged = f", {found.purge_kg:.2g} kg of it purged" if found.purge_kg else ""
    return f"{found.kg:.2g} kg{purged}" if found.kg < 100 else f"{found.kg:,.0f} kg{purged}"


def group_in_words(one: ShotGroup) -> str:
    """37 to 41."""
    return run_of_shots(one.first, one.last)


def run_of_shots(first: int, last: int) -> str:
    """Shots 37 to 41; shot 9."""
    return f"{first:,} to {last:,}" if last > first else f"{first:,}"


def purpose_in_words(one: PurposeShots) -> str:
    """5 of each cavity, 20 parts measured."""
    measured = f", {one.measured:,} parts measured" if one.measured else ""
    counted = "whole shots" if one.counted == "whole shots" else one.counted
    return f"{one.pieces:,} {counted}{measured}"


def step_in_words(one: RunStep) -> str:
    """Shots 37 to 41: keep them."""
    if one.first is None or one.last is None:
        return one.do
    shot = "Shot" if one.first == one.last else "Shots"
    return f"{shot} {run_of_shots(one.first, one.last)}: {one.do[:1].lower()}{one.do[1:]}"


def bag_in_words(one: BagPlanned) -> str:
    """HO-04, cavity 2, sizes and assembly, shots 37 to 41: 5."""
    where = f"cavity {one.cavity}" if one.cavity else "whole, with the runner"
    part = f"{one.part}, " if one.part else ""
    return f"{part}{where}, {one.purpose}, shots {run_of_shots(one.first, one.last)}: {one.pieces:,}"


def unbroken(words: str) -> str:
    """A number and its unit stay on one line."""
    return re.sub(r"(?<=\d) (?=(?:h|min|kg|shots)\b)|(?<=\d h) (?=\d+ min\b)", "\u00a0", words)


def missing_in_words(one: Missing) -> str:
    """Weight of HO-02: without it no kg; who weighs it knows."""
    return f"{one.what}: {one.spoils}; {one.who_knows}"


def start_in_words(when: datetime | None) -> str:
    """Tuesday 24 March 2026, 8:30."""
    if when is None:
        return ""
    return f"{_DAYS[when.weekday()]} {day(when.date())}, {when.hour}:{when.minute:02}"


def where_in_words(found: TrialPlanned) -> Iterator[str]:
    """Press, and when."""
    press = found.press
    if press is None:
        yield "no press chosen"
        return
    yield f"{press.press} {press.name}".rstrip()
    if press.starts_at is not None:
        yield start_in_words(press.starts_at)


WIDE = 2
"""Times the least from which on a span says what makes it wide."""
_DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")

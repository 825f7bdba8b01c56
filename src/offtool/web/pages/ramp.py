"""The page of the ramp: when a quantity is there, what it rests on, day by day."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil
from typing import Any

from django.utils.safestring import SafeString, mark_safe

from offtool.core.pilot.ramp import Ramp, RampDates, RampDay
from offtool.core.values import Caution
from offtool.reports import words
from offtool.reports.ramp_drawing import draw_ramp, every_so_many_days, shown_days
from offtool.steps.findings import Fact
from offtool.steps.judge_pilot import ON_THE_LINE
from offtool.steps.ramp_found import RampFound
from offtool.steps.sentences import sentence
from offtool.web.pages.frame import Frame
from offtool.web.pages.pilot_place import PilotPlace, action_row
from offtool.web.pages.seam_words import with_capital
from offtool.web.pages.trial import ActionRow

WIDE = 720.0
MOST_ROWS = 24


@dataclass(frozen=True, slots=True, kw_only=True)
class RampRow:
    """The end of one working day."""

    day: str
    number: int
    that_day: str
    total: str
    between: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RampPage:
    """The ramp of a line after a pilot."""

    frame: Frame
    place: PilotPlace
    when: str
    headline: str
    actions: tuple[ActionRow, ...]
    facts: tuple[Fact, ...]
    on_the_line: Caution
    cautions: tuple[Caution, ...]
    drawing: SafeString | None
    band_says: str
    plateau_says: str
    learning_says: str
    rows_title: str
    rows: tuple[RampRow, ...]
    form: Any
    pilot_href: str
    method: str


def ramp_page(found: RampFound, form: Any, *, as_json: str) -> RampPage:
    """The page of a ramp; without one it says what is missing."""
    place = PilotPlace(
        programme=found.programme,
        programme_title=found.programme_title,
        invented=found.invented,
        line=found.line,
        pilot=found.pilot,
    )
    ramp, dates = found.ramp, found.dates
    drawn = draw_ramp(ramp, found.working_days, width=WIDE) if ramp is not None else ""
    return RampPage(
        frame=place.frame(here="Ramp", as_json=as_json),
        place=place,
        when=f"Ramp of {found.line} after pilot {found.pilot}",
        headline=found.headline,
        actions=tuple(action_row(one, place, page=place.address("pilot")) for one in found.actions),
        facts=found.taken.sources if found.taken is not None else (),
        on_the_line=with_capital(ON_THE_LINE),
        cautions=tuple(with_capital(one) for one in found.cautions if one != ON_THE_LINE),
        drawing=mark_safe(drawn) if drawn else None,  # noqa: S308 our own drawing
        band_says=_band(ramp) if ramp is not None else "",
        plateau_says=_plateau(ramp, dates) if ramp is not None and dates is not None else "",
        learning_says=_learning(found),
        rows_title=every_so_many_days(_step(shown_days(ramp))) if ramp is not None else "",
        rows=tuple(_rows(found, ramp)) if ramp is not None else (),
        form=form,
        pilot_href=place.address("pilot"),
        method=found.method,
    )


def _band(ramp: Ramp) -> str:
    return (
        f"Line: the middle of {ramp.draws:,} draws; field: {words.percent(ramp.confidence, 0)} of them. "
        "Heavy: from the earliest to the latest day on which the quantity is there."
    )


def _plateau(ramp: Ramp, dates: RampDates) -> str:
    """When the planned rate is reached."""
    full = f"{ramp.planned_per_day:,.0f} good pieces a day are planned"
    if dates.plateau is None:
        return f"{full}; that rate is not reached in the days that were looked at."
    return f"{full}; that rate is reached on {words.day(dates.plateau)}."


def _learning(found: RampFound) -> str:
    if found.learning is None:
        return sentence(f"No learning is fitted: {found.why_no_learning}") if found.why_no_learning else ""
    said = f"Learning in the pilot: {found.learning.words}"
    return sentence(f"{said}; not taken, as {found.why_no_learning}" if found.why_no_learning else said)


def _step(shown: Sequence[RampDay]) -> int:
    """Of so many days one is a row."""
    return max(1, ceil(len(shown) / MOST_ROWS))


def _rows(found: RampFound, ramp: Ramp) -> Iterator[RampRow]:
    """Every day of a short ramp; of a long one, every few days."""
    shown = shown_days(ramp)
    step = _step(shown)
    for one in shown[step - 1 :: step]:
        yield RampRow(
            day=words.day(found.working_days[one.day - 1]),
            number=one.day,
            that_day=f"{one.that_day:,.0f}",
            total=f"{one.total:,.0f}",
            between=f"{one.low:,.0f} to {one.high:,.0f}",
        )

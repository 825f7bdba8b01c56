"""What a ramp goes by: rate and learning of a pilot's hours, its yield, and what is planned of the line."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta
from math import isfinite

from offtool.core.pilot.ramp import LearningFound, fit_learning
from offtool.core.pilot.yields import PilotRate
from offtool.core.values import Interval, OfftoolError
from offtool.handbook.defects import PRACTICE
from offtool.records.models import Line
from offtool.steps.findings import Fact
from offtool.steps.pilot_counted import FILLS, PARTLY, STOOD, PilotCounted
from offtool.steps.pilot_found import PilotFound
from offtool.steps.pilot_sentences import day_in_words
from offtool.steps.ramp_found import RampAsked, RampTaken
from offtool.steps.sentences import per_cent, per_cent_span

LEARNING_IN_PRACTICE = (0.80, 0.90)
"""What is left of the time at each doubling in hand assembly; common practice, no source."""
DAYS_TO_HALF = 5.0
"""Working days until half the missing yield is gained; common practice, no source."""
LEAST_WHOLE = 4
TOO_FEW_HOURS = "the pilot has fewer than four whole hours"
NOTHING_MADE = "in an hour of the pilot no good piece left the line"
ENOUGH_HOURS = 6
"""Fewer may lie close to one curve by chance; common practice, no source."""
SAYS_NOTHING = "the hours of the pilot leave everything between no learning and the usual open"
WORKED_DAYS = 5
"""Monday to Friday; common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Missing(Exception):
    """What must be said first, each in words."""

    what: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Learned:
    """The learning rate that is taken, from low to high, and where it is from."""

    low: float
    high: float
    found: LearningFound | None
    why_not: str
    says: str


def learned(found: PilotFound, line: Line) -> Learned:
    """From the hours of the pilot; where they say nothing, as written down with the line, else as is usual.

    The first hour, in which the line fills, counts as made before; an hour that is no whole one is left out.
    """
    whole = _whole_hours(found)
    why, fitted = TOO_FEW_HOURS if len(whole) < LEAST_WHOLE else NOTHING_MADE, None
    if len(whole) >= LEAST_WHOLE and min(whole) > 0:
        try:
            fitted = fit_learning(whole[1:], made_before=whole[0])
            low, high = fitted.learning_for_ramp
            if not (low <= LEARNING_IN_PRACTICE[0] and high >= 1.0):
                says = f"fitted to {fitted.hours} hours of {found.pilot} after the first"
                return Learned(low=low, high=high, found=fitted, why_not="", says=says)
            why = SAYS_NOTHING
        except OfftoolError as error:
            why = str(error)
    if line.learning_low is not None and line.learning_high is not None:
        low, high = max(line.learning_low, 0.51), line.learning_high
        return Learned(
            low=low, high=high, found=fitted, why_not=why, says=f"as written down with the line: {why}"
        )
    low, high = LEARNING_IN_PRACTICE
    return Learned(low=low, high=high, found=fitted, why_not=why, says=f"as is usual ({PRACTICE}): {why}")


def _whole_hours(found: PilotFound) -> list[int]:
    """Good pieces of each whole hour, from the first in which a piece left the line; breaks left out."""
    whole = [one for one in found.hours_seen if one.why_not not in (PARTLY, STOOD)]
    while whole and whole[0].why_not == FILLS and not whole[0].good:
        whole = whole[1:]
    return [one.good for one in whole]


def taken(
    found: PilotFound, line: Line, counted: PilotCounted, asked: RampAsked, learned: Learned, *, today: date
) -> RampTaken:
    """All numbers of the ramp. Raises Missing with everything that must be said first."""
    return _Taking(found, line, counted, asked, learned, today).taken()


class _Taking:
    def __init__(
        self, found: PilotFound, line: Line, counted: PilotCounted, asked: RampAsked, learned: Learned,
        today: date,
    ) -> None:  # fmt: skip
        self.found, self.line, self.counted = found, line, counted
        self.asked, self.learned, self.today = asked, learned, today
        self.sources: list[Fact] = []

    def taken(self) -> RampTaken:
        line, asked = self.line, self.asked
        missing = tuple(self._missing())
        found, yields = self.found, self.found.yields
        quantity = asked.quantity or line.quantity
        hours, planned = asked.hours_per_day or line.hours_per_day, asked.planned_per_h or line.planned_per_h
        planned_yield = asked.planned_yield or line.planned_final_yield
        if (
            missing or yields is None or found.rate is None
            or quantity is None or hours is None or planned is None or planned_yield is None
        ):  # fmt: skip
            raise Missing(what=missing)
        starts_on = self._starts_on()
        low, high = self._rate(planned)
        yield_low, yield_high = self._yield(planned_yield)
        self._say("Quantity", f"{quantity:,} good pieces{_by(asked.quantity)}")
        self._say("Hours a day", f"{hours:g}, Monday to Friday{_by(asked.hours_per_day)}")
        self._say("Planned rate", f"{planned:g} good pieces an hour{_by(asked.planned_per_h)}")
        self._say("Planned yield", f"{per_cent(planned_yield, 1)} in the end{_by(asked.planned_yield)}")
        self._say(
            "Learning",
            f"{per_cent(self.learned.low, 0)} to {per_cent(self.learned.high, 0)}, {self.learned.says}",
        )
        half = asked.days_to_half or DAYS_TO_HALF
        of_half = "as asked here" if asked.days_to_half else f"{PRACTICE}"
        self._say("Yield grows", f"half of what is missing in {half:g} working days ({of_half})")
        return RampTaken(
            quantity=quantity, starts_on=starts_on, hours_per_day=hours, planned_per_h=planned,
            planned_yield=planned_yield, start_low=low, start_high=high, learning_low=self.learned.low,
            learning_high=self.learned.high, made_before=self._made(), yield_low=yield_low,
            yield_high=yield_high, yield_seen=yields.final.share, days_to_half=half,
            sources=tuple(self.sources),
        )  # fmt: skip

    def _say(self, about: str, says: str) -> None:
        self.sources.append(Fact(about=about, says=says))

    def _missing(self) -> Iterator[str]:
        line, asked = self.line, self.asked
        if self.found.yields is None or self.found.rate is None:
            yield f"the counts of {self.found.pilot}, hour by hour"
        if not (asked.quantity or line.quantity):
            yield "the quantity that is wanted"
        if not (asked.hours_per_day or line.hours_per_day):
            yield "the hours that the line runs a day"
        if not (asked.planned_per_h or line.planned_per_h):
            yield "the rate that is planned"
        if not (asked.planned_yield or line.planned_final_yield):
            yield "the yield that is planned, after rework"

    def _starts_on(self) -> date:
        """The first working day of production; day 1 of the ramp."""
        day = self.asked.starts_on or self.line.starts_on
        why = "as asked here" if self.asked.starts_on else "as written down with the line"
        if day is None:
            day, why = self.today + timedelta(days=1), "the next working day: no start is written down"
        first = next(working_days(day, 1))
        self._say("Starts on", f"{day_in_words(first)}, {why}")
        return first

    def _rate(self, planned: float) -> tuple[float, float]:
        """Good pieces an hour at the end of the pilot, from low to high; never above the plan."""
        fitted, rate = self.learned.found, self.found.rate
        if fitted is not None and not self.learned.why_not:
            span, how = fitted.rate_interval, "at its end, by the learning fitted"
            if fitted.hours < ENOUGH_HOURS and rate is not None:
                span, how = _with_hours(span, rate), f"{how}, and as in the hours themselves, which are few"
        else:
            assert rate is not None  # noqa: S101 it is not missing
            span, how = rate.interval, "mean of its hours"
        if not isfinite(span.high):
            middle = rate.per_h if rate is not None else planned
            self._say("Begins at", f"{min(middle, planned):.0f} an hour, the one figure of the pilot")
            return min(middle, planned), min(middle, planned)
        low, high = max(min(span.low, planned), 0.05 * planned), min(span.high, planned)
        self._say("Begins at", f"{low:.0f} to {high:.0f} an hour, {how}")
        return low, max(low, high)

    def _yield(self, planned: float) -> tuple[float, float]:
        yields = self.found.yields
        assert yields is not None  # noqa: S101 it is not missing
        low, high = min(yields.final.interval.low, planned), min(yields.final.interval.high, planned)
        self._say("Yield begins at", f"{per_cent_span(yields.final.interval, 0)} in the end, as in the pilot")
        return low, high

    def _made(self) -> int:
        """Pieces that the people had made when they had that rate."""
        return max(1, sum(one.good for one in self.found.hours_seen) or self.counted.started or 1)


def _with_hours(span: Interval, rate: PilotRate) -> Interval:
    """The interval, widened to the slowest and the quickest hour that was counted."""
    return replace(span, low=min(span.low, rate.lowest), high=max(span.high, rate.highest))


def _by(asked: float | None) -> str:
    return ", as asked here" if asked else ""


def working_days(first: date, days: int) -> Iterator[date]:
    """So many days from Monday to Friday, from the first on."""
    day, given = first, 0
    while given < days:
        if day.weekday() < WORKED_DAYS:
            given += 1
            yield day
        day += timedelta(days=1)

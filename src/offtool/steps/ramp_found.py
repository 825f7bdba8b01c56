"""The way up from a pilot to the planned rate, as one object for page, command and JSON."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from offtool.core.pilot.ramp import LearningFound, Ramp, RampDates
from offtool.core.values import Caution
from offtool.steps.findings import Action, Fact


@dataclass(frozen=True, slots=True, kw_only=True)
class RampAsked:
    """What is asked of a ramp; None: as it stands with the line, else as is usual, and said so."""

    quantity: int | None = None
    starts_on: date | None = None
    hours_per_day: float | None = None
    planned_per_h: float | None = None
    planned_yield: float | None = None
    days_to_half: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RampTaken:
    """The numbers that the ramp goes by; `sources` says of each where it is from."""

    quantity: int
    starts_on: date
    hours_per_day: float
    planned_per_h: float
    planned_yield: float
    start_low: float
    """Good pieces an hour, as all rates here."""
    start_high: float
    learning_low: float
    learning_high: float
    made_before: int
    yield_low: float
    yield_high: float
    yield_seen: float
    """Share good in the end in the pilot."""
    days_to_half: float
    sources: tuple[Fact, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RampFound:
    """The ramp; without `ramp` what is missing stands in `missing`."""

    programme: str
    programme_title: str
    invented: bool
    line: str
    pilot: str
    headline: str
    actions: tuple[Action, ...]
    missing: tuple[str, ...]
    asked: RampAsked
    taken: RampTaken | None
    learning: LearningFound | None
    why_no_learning: str
    ramp: Ramp | None
    dates: RampDates | None
    working_days: tuple[date, ...]
    method: str
    cautions: tuple[Caution, ...] = ()

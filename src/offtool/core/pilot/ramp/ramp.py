"""The way up to the planned rate: good pieces day by day, and when a quantity is there."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, isfinite

import numpy as np
from numpy.typing import NDArray

from offtool.core.formulas import formula
from offtool.core.inspection.limits import CONFIDENCE
from offtool.core.pilot.ramp.asked import LARGEST_QUANTITY, LEARNING, RATE
from offtool.core.pilot.ramp.growth import made_by, yield_by
from offtool.core.values import Caution, ImpossibleInput, Range
from offtool.handbook.defects import PRACTICE

DRAWS = 4_000
MOST_DAYS = 500

Floats = NDArray[np.float64]

_YIELD = Range(
    meaning="share of pieces good in the end",
    above=0,
    at_most=1,
    usual=(0.5, 1),
    source=PRACTICE,
    remedy="95 % is 0.95",
)
BY_RANGES = Caution(
    "the band rests on the ranges that were given, every value in them held equally likely and independent; "
    "it knows nothing of stoppages, missing parts, or people who leave"
)
NOT_REACHED = Caution("in some of the draws the quantity is not there by the last day: look further ahead")


@dataclass(frozen=True, slots=True, kw_only=True)
class RampDay:
    """One working day: good pieces that day and up to its end, in the middle and at both ends of the band."""

    day: int
    that_day: float
    low: float
    total: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Ramp:
    """Good pieces by working day, and the days on which the quantity and the planned rate are reached.

    Days count from 1; each is infinite where it lies beyond the last day looked at.
    """

    days: tuple[RampDay, ...]
    earliest_day: float
    middle_day: float
    latest_day: float
    plateau_earliest: float
    plateau_middle: float
    plateau_latest: float
    planned_per_day: float
    words: str
    quantity: int
    confidence: float
    draws: int
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={
        "quantity": Range(meaning="good pieces that are wanted", at_least=1, at_most=LARGEST_QUANTITY),
        "start_per_h_low": RATE,
        "start_per_h_high": RATE,
        "planned_per_h": RATE,
        "learning_low": LEARNING,
        "learning_high": LEARNING,
        "made_before": Range(
            meaning="pieces made when the line had that rate", at_least=1, at_most=LARGEST_QUANTITY
        ),
        "hours_per_day": Range(meaning="hours the line runs in a day", unit="h", above=0, at_most=24),
        "start_yield_low": _YIELD,
        "start_yield_high": _YIELD,
        "planned_yield": _YIELD,
        "days_to_half": Range(
            meaning="working days until half the missing yield is gained", unit="d", above=0, at_most=1000
        ),
        "days": Range(meaning="working days to look ahead", at_least=1, at_most=MOST_DAYS),
        "confidence": CONFIDENCE,
        "seed": Range(meaning="beginning of the random draws", at_least=0, at_most=2**31),
    },
    example={
        "quantity": 20_000,
        "start_per_h_low": 52.0,
        "start_per_h_high": 60.0,
        "planned_per_h": 120.0,
        "learning_low": 0.82,
        "learning_high": 0.9,
        "made_before": 380,
        "hours_per_day": 8.0,
        "start_yield_low": 0.84,
        "start_yield_high": 0.92,
        "planned_yield": 0.98,
        "days_to_half": 4.0,
        "days": 60,
    },
    source="learning as of fit_learning (Wright 1936), capped at the planned rate; yield by an exponential "
    "approach, common practice, no source",
)
def ramp_up(
    quantity: int,
    *,
    start_per_h_low: float,
    start_per_h_high: float,
    planned_per_h: float,
    learning_low: float,
    learning_high: float,
    made_before: int,
    hours_per_day: float,
    start_yield_low: float,
    start_yield_high: float,
    planned_yield: float,
    days_to_half: float,
    days: int,
    confidence: float = 0.9,
    seed: int = 1,
) -> Ramp:
    """On which day a quantity of good pieces is there, and when the line runs at its planned rate.

    Rate r0 (N / N0)^m up to the planned rate, m = -log2 of the learning rate, so that
    N^(1 - m) = N0^(1 - m) + (1 - m) r0 N0^-m t; then straight on. Yield = plan - (plan - start) 2^(-day / h),
    taken in the middle of each day. Start rate, learning rate and start yield are drawn evenly and
    independently from their ranges; the band holds the stated share of 4000 draws.

    Returns: Ramp. Raises: ImpossibleInput for ranges that cross, a start above the plan in rate or yield.

    Holds when: the line is staffed as in the pilot every day, and learning goes on across days without loss.

    Example: 20,000 pieces from 52 to 60 an hour, 82 to 90 %, planned 120: day 25, between 24 and 30.
    """
    _check(start_per_h_low, start_per_h_high, "start_per_h", planned_per_h)
    _check(learning_low, learning_high, "learning", None)
    _check(start_yield_low, start_yield_high, "start_yield", planned_yield)
    random = np.random.default_rng(int(seed))
    rate = random.uniform(start_per_h_low, start_per_h_high, DRAWS)
    learning = random.uniform(learning_low, learning_high, DRAWS)
    start_yield = random.uniform(start_yield_low, start_yield_high, DRAWS)
    ends = np.arange(int(days) + 1, dtype=np.float64)
    made, plateau_h = made_by(hours_per_day * ends, rate, learning, float(made_before), planned_per_h)
    good = np.diff(made) * yield_by(ends[1:] - 0.5, start_yield, planned_yield, days_to_half)
    risk = (1 - confidence) / 2
    reached = _day_band(_days_to(np.cumsum(good, axis=1), quantity), risk)
    plateau = _day_band(plateau_h / hours_per_day, risk)
    return Ramp(
        days=_days(good, risk),
        earliest_day=reached[0],
        middle_day=reached[1],
        latest_day=reached[2],
        plateau_earliest=plateau[0],
        plateau_middle=plateau[1],
        plateau_latest=plateau[2],
        planned_per_day=planned_per_h * hours_per_day * planned_yield,
        words=_words(int(quantity), reached),
        quantity=int(quantity),
        confidence=confidence,
        draws=DRAWS,
        cautions=(BY_RANGES, *(() if isfinite(reached[2]) else (NOT_REACHED,))),
    )


def _days(good: Floats, risk: float) -> tuple[RampDay, ...]:
    """Each day with the middle of what it gives, and the band of what is there at its end."""
    ends = np.quantile(np.cumsum(good, axis=1), [risk, 0.5, 1 - risk], axis=0)
    numbers = zip(np.median(good, axis=0).tolist(), *ends.tolist(), strict=True)
    return tuple(
        RampDay(day=day, that_day=one, low=low, total=total, high=high)
        for day, (one, low, total, high) in enumerate(numbers, start=1)
    )


def _check(low: float, high: float, name: str, most: float | None) -> None:
    if low > high:
        raise ImpossibleInput(f"{name}_low", low, "", f"must be at most the high end, {high:g}", "swap them")
    if most is not None and high > most:
        limit = f"must be at most the planned {most:g}"
        raise ImpossibleInput(
            f"{name}_high", high, "", limit, "the ramp is over: plan higher, or plan no ramp"
        )


def _days_to(total: Floats, quantity: int) -> Floats:
    """The day on which each draw has the quantity, with the part of that day; infinite where never."""
    place = (total < quantity).sum(axis=1)
    rows = np.arange(len(total))
    last = np.minimum(place, total.shape[1] - 1)
    before = np.where(place > 0, total[rows, np.maximum(last - 1, 0)], 0.0)
    part = (quantity - before) / (total[rows, last] - before)
    return np.where(place < total.shape[1], place + part, np.inf)


def _day_band(days: Floats, risk: float) -> tuple[float, float, float]:
    """Both ends and the middle as whole draws, so that an infinite one stays infinite."""
    ordered = np.sort(days)
    at = [round(share * (ordered.size - 1)) for share in (risk, 0.5, 1 - risk)]
    low, middle, high = (float(ordered[place]) for place in at)
    return low, middle, high


def _words(quantity: int, reached: tuple[float, float, float]) -> str:
    low, middle, high = (
        f"day {np.ceil(day):.0f}" if day < inf else "later than looked at" for day in reached
    )
    return f"{quantity} good pieces: {middle}; between {low} and {high}"

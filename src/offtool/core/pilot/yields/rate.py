"""What a pilot made in its hours, against the rate that is planned."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite

import numpy as np

from offtool.core.formulas import Numbers, formula
from offtool.core.inspection.limits import CONFIDENCE
from offtool.core.inspection.spread import mean_and_sd, mean_reach
from offtool.core.pilot.yields.asked import MOST_PIECES
from offtool.core.pilot.yields.rolled import verdict_of
from offtool.core.values import Caution, Interval, NotEnoughData, Range, Verdict

ONE_HOUR = Caution("one hour has no interval: the rate is not shown either way; count at least three hours")
LIKE_EACH_OTHER = Caution(
    "the interval takes the hours as alike but for chance: while people still learn it is wider than need "
    "be, and the rate at the end is above the mean"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PilotRate:
    """Mean of the hours with its interval; `verdict` against the planned rate, None where none is planned."""

    per_h: float
    interval: Interval
    verdict: Verdict | None
    planned_per_h: float | None
    hours: int
    lowest: float
    highest: float
    words: str
    confidence: float
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={
        "good_each_hour": Range(
            meaning="good pieces that left the line in each whole hour, in order",
            at_least=0,
            at_most=MOST_PIECES,
        ),
        "planned_per_h": Range(
            meaning="good pieces an hour that are planned", unit="1/h", above=0, at_most=1e6
        ),
        "confidence": CONFIDENCE,
    },
    example={"good_each_hour": [98, 112, 121, 124], "planned_per_h": 150.0},
    source="NIST/SEMATECH e-Handbook 1.3.5.2, interval of a mean",
)
def pilot_rate(
    good_each_hour: Numbers, *, planned_per_h: float | None = None, confidence: float = 0.95
) -> PilotRate:
    """How many good pieces an hour a pilot made, and whether that shows the planned rate.

    mean +- t(1 - a/2, n - 1) s / sqrt(n) over the hours. The plan holds when it lies at or below the low end,
    fails above the high end, else it is not shown.

    Returns: PilotRate. Raises: NotEnoughData without an hour.

    Holds when: hours are whole, and those in which the line fills or empties are left out. One hour has no
    interval.

    Example: 98, 112, 121 and 124 an hour: 113.8, between 95.2 and 132.3.
    """
    hours = np.asarray(good_each_hour, dtype=float)
    if hours.size == 0:
        raise NotEnoughData("no hour was counted", remedy="count the good pieces of each hour")
    mean, sd = mean_and_sd(hours)
    spread, count = np.array([sd]), np.array([hours.size])
    reach = float(mean_reach(spread, count, count - 1, confidence)[0])
    interval = Interval(low=max(0.0, mean - reach), high=mean + reach, confidence=confidence)
    return PilotRate(
        per_h=mean,
        interval=interval,
        verdict=None if planned_per_h is None else verdict_of(planned_per_h, interval),
        planned_per_h=planned_per_h,
        hours=hours.size,
        lowest=float(hours.min()),
        highest=float(hours.max()),
        words=_words(mean, interval, planned_per_h),
        confidence=confidence,
        cautions=(ONE_HOUR,) if hours.size == 1 else (LIKE_EACH_OTHER,),
    )


def _words(mean: float, interval: Interval, planned: float | None) -> str:
    between = f" ({interval.low:.0f} to {interval.high:.0f})" if isfinite(interval.high) else ", no interval"
    against = f", {planned:g} planned" if planned is not None else ""
    return f"{mean:.0f} good pieces an hour{between}{against}"

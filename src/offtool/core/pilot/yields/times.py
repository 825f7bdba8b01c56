"""What a station's work took, against what was planned and against the time between two pieces."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

import numpy as np
from numpy.typing import NDArray
from scipy import special

from offtool.core.formulas import Numbers, formula
from offtool.core.inspection.limits import CONFIDENCE
from offtool.core.inspection.spread import mean_and_sd, mean_reach
from offtool.core.pilot.yields.asked import TIME
from offtool.core.values import Caution, Interval, NotEnoughData, Range, Verdict
from offtool.handbook.defects import PRACTICE

LEAST_CYCLES = 10
"""A station is timed over at least so many cycles; common practice, no source."""
SLOW_SHARE = 0.9
"""Nine times in ten it is quicker than this."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StationTimes:
    """Mean, spread and nine-tenths time of a station, and whether plan and takt hold.

    Ends are infinite where so few times say nothing. `against_takt` is None where no takt was given.
    """

    mean_s: float
    sd_s: float
    interval_s: Interval
    slow_s: float
    slow_interval_s: Interval
    against_plan: Verdict
    against_takt: Verdict | None
    share_over_takt: float | None
    words: str
    cycles: int
    plan_s: float
    takt_s: float | None
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={
        "times_s": TIME,
        "plan_s": Range(meaning="planned time of the work", unit="s", above=0, at_most=1e6),
        "takt_s": Range(
            meaning="time there is for a piece: between two pieces, times the people of the station",
            unit="s",
            above=0,
            at_most=1e6,
        ),
        "confidence": CONFIDENCE,
    },
    example={
        "times_s": [23.1, 25.4, 22.8, 24.9, 31.2, 23.6, 24.4, 22.9, 26.0, 24.1],
        "plan_s": 24.0,
        "takt_s": 30.0,
    },
    source="NIST/SEMATECH e-Handbook 1.3.5.2 for the mean; exact order statistics for the nine-tenths time",
)
def station_times(
    times_s: Numbers, plan_s: float, *, takt_s: float | None = None, confidence: float = 0.95
) -> StationTimes:
    """Whether a station keeps its planned time, and how slow one piece in ten is.

    mean +- t(1 - a/2, n - 1) s / sqrt(n); the nine-tenths time by interpolation between the ordered times,
    its limits the ordered times between which it lies whatever the distribution.

    Returns: StationTimes. A plan holds when the whole interval of the mean lies at or below it.
    Raises: NotEnoughData without a time.

    Holds when: the times are of one person who works as usual, in the order in which they came.

    Example: ten times with mean 24.84 s against a plan of 24 s: not shown either way.
    """
    times = np.sort(np.asarray(times_s, dtype=float))
    if times.size == 0:
        raise NotEnoughData("no times", remedy=f"time the station over at least {LEAST_CYCLES} cycles")
    mean, sd = mean_and_sd(times)
    reach = float(
        mean_reach(np.array([sd]), np.array([times.size]), np.array([times.size - 1]), confidence)[0]
    )
    interval = Interval(low=max(0.0, mean - reach), high=mean + reach, confidence=confidence)
    plan = at_most(plan_s, interval)
    return StationTimes(
        mean_s=mean,
        sd_s=sd,
        interval_s=interval,
        slow_s=float(np.quantile(times, SLOW_SHARE)),
        slow_interval_s=_slow_interval(times, confidence),
        against_plan=plan,
        against_takt=None if takt_s is None else at_most(takt_s, interval),
        share_over_takt=None if takt_s is None else float(np.mean(times > takt_s)),
        words=f"{mean:.3g} s on average ({interval.low:.3g} to {interval.high:.3g}) against {plan_s:g} s "
        f"planned: {plan}",
        cycles=times.size,
        plan_s=plan_s,
        takt_s=takt_s,
        cautions=_few(times.size),
    )


def at_most(limit: float, interval: Interval) -> Verdict:
    """Whether no more than the limit is shown."""
    if interval.high <= limit:
        return Verdict.HOLDS
    return Verdict.FAILS if interval.low > limit else Verdict.NOT_SHOWN


def _slow_interval(times: NDArray[np.float64], confidence: float) -> Interval:
    """Ordered times around the nine-tenths time: P(fewer than r lie below it) from the binomial."""
    n, risk = times.size, (1 - confidence) / 2
    below = special.bdtr(np.arange(n), n, SLOW_SHARE)  # P(at most k of n lie below)
    low = int(np.searchsorted(below, risk, side="right"))  # times[low - 1] lies below it surely enough
    high = int(np.searchsorted(below, 1 - risk, side="left"))
    return Interval(
        low=float(times[low - 1]) if low > 0 else 0.0,
        high=float(times[high]) if high < n and below[high] >= 1 - risk else inf,
        confidence=confidence,
    )


def _few(cycles: int) -> tuple[Caution, ...]:
    if cycles >= LEAST_CYCLES:
        return ()
    said = f"{cycles} timed: at least {LEAST_CYCLES} cycles are usual before a plan is judged"
    return (Caution(said if cycles > 1 else f"{said}; one time has no interval", PRACTICE),)

"""Pieces taken from the line hour by hour: inside their limits, as good as at release, or drifting away."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray
from scipy import special

from offtool.core.formulas import Numbers, formula
from offtool.core.inspection.attributes import ShareFinding, share_interval
from offtool.core.inspection.limits import CONFIDENCE
from offtool.core.inspection.spread import mean_and_sd, mean_reach
from offtool.core.values import Caution, ImpossibleInput, Interval, NotEnoughData, Range, Verdict
from offtool.handbook.defects import PRACTICE

LEAST_READINGS = 10
"""Fewer say little of a run; common practice, no source."""
MOST_HOURS = 10_000
MOST = 1e6

Floats = NDArray[np.float64]

NO_HOURS = Caution("the hours are not said: whether it drifts cannot be seen")


@dataclass(frozen=True, slots=True, kw_only=True)
class HourAudited:
    """The readings of one hour. `alarm` where their mean lies below what the release allows for so many."""

    hour: int
    readings: int
    mean: float
    smallest: float
    largest: float
    alarm_below: float | None
    alarm: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Drift:
    """How the readings move with the hours. `hours_left` until the mean meets a limit, if it goes on so."""

    per_hour: float
    interval: Interval
    p_none: float
    change: str
    hours_left: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class AuditsJudged:
    """Fails where a reading lies outside; not shown where it drifts, is below the release, or too few."""

    verdict: Verdict
    readings: int
    outside: ShareFinding
    mean: float
    sd: float
    interval: Interval
    smallest: float
    largest: float
    drift: Drift | None
    hours: tuple[HourAudited, ...]
    words: str
    lower: float | None
    upper: float | None
    released_mean: float | None
    released_sd: float | None
    audits_between_false_alarms: float
    confidence: float
    cautions: tuple[Caution, ...] = ()

    @property
    def alarms(self) -> tuple[HourAudited, ...]:
        """The hours whose mean lies below what the release allows."""
        return tuple(one for one in self.hours if one.alarm)


@formula(
    limits={
        "values": Range(meaning="what was read: a pull, a torque", above=-MOST, at_most=MOST),
        "hours": Range(
            meaning="hour of the run in which each was taken, from 1; blank: not said",
            at_least=1,
            at_most=MOST_HOURS,
        ),
        "lower": Range(meaning="least that is asked; blank: none", above=-MOST, at_most=MOST),
        "upper": Range(meaning="most that is asked; blank: none", above=-MOST, at_most=MOST),
        "released_mean": Range(meaning="mean as released; blank: not known", above=-MOST, at_most=MOST),
        "released_sd": Range(
            meaning="its standard deviation, known from the study; blank: not known", above=0, at_most=MOST
        ),
        "audits_between_false_alarms": Range(
            meaning="hours of an unchanged line to one false alarm, on average", above=1, at_most=10**6
        ),
        "confidence": CONFIDENCE,
    },
    example={
        "values": [118, 121, 115, 112, 116, 109, 108, 104, 107, 101],
        "hours": [1, 1, 2, 2, 3, 3, 4, 4, 5, 5],
        "lower": 70.0,
        "released_mean": 117.0,
        "released_sd": 7.0,
    },
    source="mean chart with known deviation, low side; slope by least squares, t on n - 2",
)
def judge_audits(
    values: Numbers,
    *,
    hours: Numbers = (),
    lower: float | None = None,
    upper: float | None = None,
    released_mean: float | None = None,
    released_sd: float | None = None,
    audits_between_false_alarms: float = 200.0,
    confidence: float = 0.95,
) -> AuditsJudged:
    """Whether pieces pulled or turned during a run were inside their limits, and whether a tool wears.

    Alarm of an hour: mean of n below m - z s / sqrt(n), z from one false alarm in so many hours. Drift: slope
    b of value over hour, b +- t(1 - a/2, n - 2) s_b.

    Returns: AuditsJudged. Raises: NotEnoughData without a value, ImpossibleInput without a limit, for limits
    out of order, or hours that are not one for each value.

    Holds when: pieces were taken without choosing. None outside does not show that none ever is: `outside`
    says how many there may be.

    Example: ten pulls from 118 N down to 101 N in five hours lose 3.85 N an hour, between 2.30 and 5.40.
    """
    read, when = np.asarray(values, dtype=float), np.asarray(hours, dtype=float)
    _refuse(read, when, lower, upper)
    mean, sd = mean_and_sd(read)
    count = np.array([read.size])
    reach = float(mean_reach(np.array([sd]), count, count - 1, confidence)[0])
    low, high = -np.inf if lower is None else lower, np.inf if upper is None else upper
    outside = int(np.count_nonzero((read < low) | (read > high)))
    z = -float(special.ndtri(1 / audits_between_false_alarms))
    released = (released_mean, released_sd) if released_mean is not None and released_sd is not None else None
    by_hour = _by_hour(read, when, released, z)
    drift = _drift(read, when, lower, upper, confidence)
    found = share_interval(outside, read.size, confidence=confidence)
    return AuditsJudged(
        verdict=_verdict(outside, read.size, by_hour, drift),
        readings=read.size,
        outside=found,
        mean=mean,
        sd=sd,
        interval=Interval(low=mean - reach, high=mean + reach, confidence=confidence),
        smallest=float(read.min()),
        largest=float(read.max()),
        drift=drift,
        hours=by_hour,
        words=_words(read.size, outside, by_hour, drift),
        lower=lower,
        upper=upper,
        released_mean=released_mean,
        released_sd=released_sd,
        audits_between_false_alarms=audits_between_false_alarms,
        confidence=confidence,
        cautions=_cautions(read.size, when.size),
    )


def _refuse(read: Floats, when: Floats, lower: float | None, upper: float | None) -> None:
    if read.size == 0:
        raise NotEnoughData(
            "nothing was pulled or turned", remedy="take a few pieces from the line each hour"
        )
    if lower is None and upper is None:
        raise ImpossibleInput("lower", "blank", "", "give at least one limit", "say what is asked")
    if lower is not None and upper is not None and lower >= upper:
        raise ImpossibleInput("lower", lower, "", f"must be below the upper limit, {upper:g}", "swap them")
    if when.size not in (0, read.size):
        raise ImpossibleInput("hours", when.size, "", f"must be {read.size}, one for each value, or none")


def _by_hour(
    read: Floats, when: Floats, released: tuple[float, float] | None, z: float
) -> tuple[HourAudited, ...]:
    found = []
    for hour in np.unique(when):
        one = read[when == hour]
        limit = None if released is None else released[0] - z * released[1] / sqrt(one.size)
        mean = float(one.mean())
        found.append(
            HourAudited(
                hour=int(hour),
                readings=one.size,
                mean=mean,
                smallest=float(one.min()),
                largest=float(one.max()),
                alarm_below=limit,
                alarm=limit is not None and mean < limit,
            )
        )
    return tuple(found)


def _drift(
    read: Floats, when: Floats, lower: float | None, upper: float | None, confidence: float
) -> Drift | None:
    """The slope over the hours; None where they are not said, all the same, or too few."""
    if when.size < 3 or np.ptp(when) == 0:
        return None
    apart, freedom = when - when.mean(), when.size - 2
    across = float(apart @ apart)
    slope = float(apart @ read) / across
    left = read - read.mean() - slope * apart
    error = sqrt(float(left @ left) / freedom / across)
    p = 2 * float(special.stdtr(freedom, -abs(slope) / error)) if error > 0 else float(slope == 0)
    reach = float(special.stdtrit(freedom, (1 + confidence) / 2)) * error
    shown = p <= 1 - confidence and slope != 0
    return Drift(
        per_hour=slope,
        interval=Interval(low=slope - reach, high=slope + reach, confidence=confidence),
        p_none=p,
        change=("rises" if slope > 0 else "falls") if shown else "not shown",
        hours_left=_hours_left(float(read.mean() + slope * apart.max()), slope, lower, upper)
        if shown
        else None,
    )


def _hours_left(at_end: float, slope: float, lower: float | None, upper: float | None) -> float | None:
    limit = lower if slope < 0 else upper
    return None if limit is None else max(0.0, (limit - at_end) / slope)


def _verdict(outside: int, readings: int, hours: tuple[HourAudited, ...], drift: Drift | None) -> Verdict:
    if outside:
        return Verdict.FAILS
    runs_out = drift is not None and drift.hours_left is not None
    if readings < LEAST_READINGS or runs_out or any(one.alarm for one in hours):
        return Verdict.NOT_SHOWN
    return Verdict.HOLDS


def _words(readings: int, outside: int, hours: tuple[HourAudited, ...], drift: Drift | None) -> str:
    said = [f"{outside or 'none'} of {readings} outside"]
    alarms = [str(one.hour) for one in hours if one.alarm]
    if alarms:
        said.append(f"below the release in hour {', '.join(alarms)}")
    if drift is not None and drift.change != "not shown":
        left = f", its mean at the limit in {drift.hours_left:.0f} h" if drift.hours_left is not None else ""
        said.append(f"{drift.change} by {abs(drift.per_hour):.3g} an hour{left}")
    return "; ".join(said)


def _cautions(readings: int, hours: int) -> tuple[Caution, ...]:
    few = Caution(f"{readings} readings: at least {LEAST_READINGS} over a run are usual", PRACTICE)
    return (*((few,) if readings < LEAST_READINGS else ()), *(() if hours else (NO_HOURS,)))

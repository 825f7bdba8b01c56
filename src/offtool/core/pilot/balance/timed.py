"""How sure the rate of a line is, by how often its tasks were timed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import inf, sqrt

from offtool.core.pilot.balance.given import LineTask
from offtool.core.pilot.balance.results import LineBalance, StationLoad
from offtool.core.values import Interval, Range

CONFIDENCE = Range(meaning="confidence", above=0.5, below=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class TimedStation:
    """Between which times the mean of a station lies; no interval where a task was timed less than twice."""

    station: int
    busy_s: float
    interval: Interval | None


@dataclass(frozen=True, slots=True, kw_only=True)
class TimedRate:
    """Between which rates the line lies at mean times, with all its stations together."""

    rate_per_h: float
    interval: Interval | None
    """None where a task was timed less than twice, or its spread is not said."""
    stations: tuple[TimedStation, ...]
    not_timed: tuple[str, ...]
    """The tasks for which there is no interval."""
    confidence: float


def timed_rate(found: LineBalance, *, confidence: float = 0.95) -> TimedRate:
    """Between which rates a line lies, since each mean rests on so many readings.

    Mean of a station = sum of its tasks over its people, +- t * sqrt(sum of s^2 / n) over its people, with
    the degrees of freedom of Welch and Satterthwaite; each of K stations at 1 - (1 - confidence) / K, so that
    all hold together. The cycle lies between the largest lower and the largest upper end.

    Returns: TimedRate. Raises: ImpossibleInput for a confidence that is none.

    Holds when: readings of a task are independent and about normal. Where people face each other, and one
    waits for the other, the spread of all tasks there is counted: the interval is rather too wide.
    """
    CONFIDENCE.refuse_impossible("confidence", confidence)
    used = [one for one in found.stations if one.tasks]
    each = 1 - (1 - confidence) / len(used)
    tasks = {one.task: one for one in found.line.tasks}
    stations = tuple(_station(one, [tasks[placed.task] for placed in one.tasks], each) for one in used)
    intervals = [one.interval for one in stations if one.interval is not None]
    whole = None
    if len(intervals) == len(stations):
        slowest, fastest = max(one.high for one in intervals), max(one.low for one in intervals)
        high = 3600 / fastest if fastest > 0 else inf
        whole = Interval(low=3600 / slowest, high=high, confidence=confidence)
    return TimedRate(
        rate_per_h=found.rate_per_h,
        interval=whole,
        stations=stations,
        not_timed=tuple(one.task for one in found.line.tasks if not _is_timed(one)),
        confidence=confidence,
    )


def _is_timed(task: LineTask) -> bool:
    return task.spread_s is not None and task.readings > 1


def _station(load: StationLoad, tasks: Iterable[LineTask], confidence: float) -> TimedStation:
    """A station by its tasks; several people at a one-sided station share its time."""
    people = 1 if load.two_sided else load.people
    half = _half_width(tasks, confidence)
    interval = None
    if half is not None:
        low, high = max(0.0, load.busy_s - half / people), load.busy_s + half / people
        interval = Interval(low=low, high=high, confidence=confidence)
    return TimedStation(station=load.station, busy_s=load.busy_s, interval=interval)


def _half_width(tasks: Iterable[LineTask], confidence: float) -> float | None:
    """Half the width of the interval of a sum of means; None where one of them has none."""
    known = list(tasks)
    if not all(map(_is_timed, known)):
        return None
    from scipy.special import stdtrit

    shares = [((one.spread_s or 0.0) ** 2 / one.readings, one.readings - 1) for one in known]
    variance = sum(share for share, _ in shares)
    if variance == 0:
        return 0.0
    freedom = variance**2 / sum(share**2 / of for share, of in shares)
    return float(stdtrit(freedom, (1 + confidence) / 2)) * sqrt(variance)

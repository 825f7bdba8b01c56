"""How long each station takes, and how that scatters: from its tasks, or from the cycles of a pilot."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from math import sqrt

from offtool.core.pilot.simulation import RandomTime, TimeShape, constant_time
from offtool.records.models import LineTask
from offtool.steps.line_in_record import StationWork

HAND_WORK_SCATTERS = 0.2
"""Standard deviation of a task by hand over its time where nobody said it; common practice, no source."""
FEWEST, ENOUGH = 3, 10
"""Cycles for a mean and a spread; and for being drawn again as they are, rare long ones included."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StationTime:
    """The time of one piece at a station, where it is from, and the tasks whose spread was assumed."""

    time: RandomTime
    words: str
    from_pilot: bool = False
    assumed: tuple[str, ...] = ()

    @property
    def spread_s(self) -> float:
        """Its standard deviation, of readings where there are some."""
        readings = self.time.readings_s
        return mean_and_spread(readings)[1] if len(readings) > 1 else self.time.spread_s


@dataclass(frozen=True, slots=True)
class PilotCycles:
    """Cycles that were timed in a pilot: of whole stations by number, of tasks by key."""

    pilot: str = ""
    of_station: Mapping[int, Sequence[float]] = field(default_factory=dict)
    of_task: Mapping[int, Sequence[float]] = field(default_factory=dict)


def cycles_by_place(pilot: str, rows: Iterable[tuple[int, int | None, float]]) -> PilotCycles:
    """Rows of station number, key of a task or None, and seconds."""
    stations: dict[int, list[float]] = defaultdict(list)
    tasks: dict[int, list[float]] = defaultdict(list)
    for number, task, seconds in rows:
        if task is None:
            stations[number].append(seconds)
        else:
            tasks[task].append(seconds)
    return PilotCycles(pilot, dict(stations), dict(tasks))


def station_time(station: StationWork, tasks: Mapping[int, LineTask], cycles: PilotCycles) -> StationTime:
    """The time of a station: its own cycles of the pilot where there are enough, else its tasks."""
    taken = cycles.of_station.get(station.number, ())
    if len(taken) >= ENOUGH:
        time = RandomTime(shape=TimeShape.MEASURED, readings_s=tuple(taken))
        return StationTime(time=time, words=f"{len(taken)} cycles of pilot {cycles.pilot}", from_pilot=True)
    if len(taken) >= FEWEST:
        mean, spread = mean_and_spread(taken)
        words = f"mean and spread of {len(taken)} cycles of pilot {cycles.pilot}"
        return StationTime(time=spread_about(mean, spread), words=words, from_pilot=True)
    return _of_tasks(station, tasks, cycles)


def _of_tasks(station: StationWork, tasks: Mapping[int, LineTask], cycles: PilotCycles) -> StationTime:
    """Means and variances of the tasks added up: one is done after the other."""
    total, variance, timed, assumed = 0.0, 0.0, 0, list[str]()
    for key in station.task_ids:
        task, taken = tasks[key], cycles.of_task.get(key, ())
        mean, spread = task.time_s, task.spread_s
        if len(taken) >= FEWEST:
            mean, spread = mean_and_spread(taken)
            timed += 1
        elif spread is None:
            assumed.append(task.name)
            spread = HAND_WORK_SCATTERS * mean
        total, variance = total + mean, variance + spread**2
    share = station.busy_s / station.work_s if station.two_sided else 1.0  # both work on one piece at once
    time = spread_about(total * share, sqrt(variance * share))
    words = _words(station, timed, cycles.pilot)
    return StationTime(time=time, words=words, from_pilot=timed > 0, assumed=tuple(assumed))


def _words(station: StationWork, timed: int, pilot: str) -> str:
    if timed:
        return f"{timed} of {len(station.task_ids)} tasks timed in pilot {pilot}"
    if not station.estimated:
        return f"its tasks, each timed {station.readings} times or more"
    if len(station.estimated) == len(station.tasks):
        return "estimated"
    return f"its tasks, {len(station.estimated)} of {len(station.tasks)} estimated"


def mean_and_spread(taken: Sequence[float]) -> tuple[float, float]:
    """Mean and standard deviation of readings."""
    mean = sum(taken) / len(taken)
    return mean, sqrt(sum((one - mean) ** 2 for one in taken) / (len(taken) - 1))


def spread_about(mean_s: float, spread_s: float) -> RandomTime:
    """A time that cannot be negative and has a longer tail above: what hand work looks like."""
    if not spread_s:
        return constant_time(mean_s)
    return RandomTime(shape=TimeShape.LOGNORMAL, mean_s=mean_s, spread_s=spread_s)

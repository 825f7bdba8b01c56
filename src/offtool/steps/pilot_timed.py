"""From the times of a pilot to its stations: against plan and takt, and what each lets through."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property

from offtool.core.pilot.yields import station_times
from offtool.records.models import PilotTime
from offtool.steps.pilot_counted import CONFIDENCE
from offtool.steps.pilot_found import OperatorSeen, StationTimed
from offtool.steps.pilot_in_record import PilotInRecord, StationPlanned

AN_HOUR = 3600.0


class PilotTimed:
    """The times of a pilot by station; those of single tasks beside those of whole stations."""

    def __init__(self, told: PilotInRecord) -> None:
        self._told = told

    @cached_property
    def _whole(self) -> Mapping[int, list[PilotTime]]:
        found: dict[int, list[PilotTime]] = defaultdict(list)
        for one in self._told.times:
            if one.task is None:
                found[one.station_id].append(one)
        return found

    @cached_property
    def _tasks(self) -> Mapping[int, dict[str, list[PilotTime]]]:
        found: dict[int, dict[str, list[PilotTime]]] = defaultdict(dict)
        for one in self._told.times:
            if one.task is not None:
                found[one.station_id].setdefault(one.task.name, []).append(one)
        return found

    def of_hour(self, station: int, hour: int) -> list[float]:
        """The times of a whole station in one hour."""
        return [one.time_s for one in self._whole.get(station, ()) if one.hour == hour]

    def stations(self) -> tuple[StationTimed, ...]:
        """Each timed station in the order of the line, with its tasks that were timed alone."""
        return tuple(self._found())

    def _found(self) -> Iterator[StationTimed]:
        for key, station in self._told.stations.items():
            tasks = self._tasks.get(key, {})
            if self._whole.get(key):
                yield _timed(station, self._whole[key], planned=station.work_s, takt_s=self._takt(station))
            elif tasks:
                yield from self._made_up(station, tasks)
            if len(station.tasks) > 1:
                yield from (
                    _timed(station, times, planned=_plan(times), task=task) for task, times in tasks.items()
                )

    def _made_up(
        self, station: StationPlanned, tasks: Mapping[str, list[PilotTime]]
    ) -> Iterator[StationTimed]:
        """A station of which single tasks were timed: those that were not are taken as they are planned."""
        rest = {name: time for name, time in station.tasks.items() if name not in tasks}
        if len(tasks) == 1:
            times = next(iter(tasks.values()))
            yield _timed(
                station, times, planned=station.work_s, takt_s=self._takt(station), more_s=sum(rest.values()),
                as_planned=tuple(rest),
            )  # fmt: skip
            return
        means = [sum(one.time_s for one in times) / len(times) for times in tasks.values()]
        mean = sum(means) + sum(rest.values())
        yield StationTimed(
            station=station.name, number=station.number, task="", people=station.people,
            cycles=min(map(len, tasks.values())), mean_s=mean, times=None,
            per_h=AN_HOUR / mean * station.at_once, operators=(), as_planned=tuple(rest),
        )  # fmt: skip

    def _takt(self, station: StationPlanned) -> float | None:
        """The time there is for a piece, bad ones too, times the pieces that are worked on side by side."""
        needed = self._told.needed_per_h
        return AN_HOUR / needed * station.at_once if needed else None

    def without_times(self) -> list[str]:
        """Stations of the line that nobody timed."""
        timed = {*self._whole, *self._tasks}
        return [one.name for key, one in self._told.stations.items() if key not in timed]


def _plan(times: Sequence[PilotTime]) -> float | None:
    return times[0].task.time_s if times[0].task is not None else None


def _timed(
    station: StationPlanned, times: Sequence[PilotTime], *, planned: float | None,
    takt_s: float | None = None, task: str = "", more_s: float = 0.0, as_planned: tuple[str, ...] = (),
) -> StationTimed:  # fmt: skip
    seconds = [one.time_s + more_s for one in times]
    mean = sum(seconds) / len(seconds)
    found = None if planned is None else station_times(seconds, planned, takt_s=takt_s, confidence=CONFIDENCE)
    return StationTimed(
        station=station.name,
        number=station.number,
        task=task,
        people=station.people,
        cycles=len(seconds),
        mean_s=mean,
        times=found,
        per_h=None if task else AN_HOUR / mean * station.at_once,
        operators=tuple(_operators(times)),
        as_planned=as_planned,
    )


def _operators(times: Sequence[PilotTime]) -> Iterator[OperatorSeen]:
    """Each person's mean, where more than one was timed."""
    by_person: dict[str, list[float]] = defaultdict(list)
    for one in times:
        if one.operator:
            by_person[one.operator].append(one.time_s)
    if len(by_person) > 1:
        for name, seconds in sorted(by_person.items()):
            yield OperatorSeen(operator=name, cycles=len(seconds), mean_s=sum(seconds) / len(seconds))


def slowest(times: Sequence[StationTimed]) -> list[StationTimed]:
    """The stations that were timed as a whole, the one that lets least through first."""
    whole = [one for one in times if one.per_h is not None]
    return sorted(whole, key=lambda one: one.per_h or 0.0)

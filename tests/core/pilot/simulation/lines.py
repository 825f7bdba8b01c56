"""Lines whose answer is known."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from offtool.core.pilot.simulation import (
    Arrivals,
    Intake,
    Line,
    RandomTime,
    StationGiven,
    constant_time,
    exponential_time,
)

MEAN_S = 10.0
ALONE_PER_H = 3600 / MEAN_S
"""What one station with that time gives that never waits."""


def station(name: str, time: RandomTime | None = None, **given: Any) -> StationGiven:
    """A station with one person and a constant time."""
    return StationGiven(name=name, **{"time": time or constant_time(MEAN_S), "people": 1, **given})


def in_a_row(times: Sequence[RandomTime], places: Sequence[int | None], **line: Any) -> Line:
    """Stations 1, 2, … with so many places between them; the material of the first is always at hand."""
    stations = [station("1", times[0], endless=True)]
    for i, (time, between) in enumerate(zip(times[1:], places, strict=True), start=2):
        stations.append(station(str(i), time, takes=(Intake(item=str(i - 1), places=between),)))
    return Line(stations=tuple(stations), **line)


def random_row(*places: int) -> Line:
    """Stations in a row with exponential times of the same mean."""
    return in_a_row([exponential_time(MEAN_S)] * (len(places) + 1), places)


def queue(work: RandomTime, *, comes_every_s: float, people: int = 1) -> Line:
    """One station to which pieces come at random, with room for all of them."""
    return Line(
        stations=(station("work", work, people=people, takes=(Intake(item="piece", places=None),)),),
        arrivals=(Arrivals(item="piece", every=exponential_time(comes_every_s)),),
    )

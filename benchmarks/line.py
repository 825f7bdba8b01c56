"""A pilot of 8 h with 25 stations, simulated 200 times on two cores, beside the same on one."""

from __future__ import annotations

import multiprocessing
import time
from collections.abc import Iterator
from concurrent.futures import Executor, ProcessPoolExecutor
from pathlib import Path
from typing import TYPE_CHECKING

from benchmarks.figures import Figure
from benchmarks.tasks import seconds

if TYPE_CHECKING:
    from offtool.core.pilot.simulation import Line, StationGiven

STATIONS, HOURS, RUNS, CORES = 25, 8.0, 200, 2
TAKT_S = 30.0


def pilot_line() -> Line:
    """Moulded arms, 25 stations at nine tenths of a 30 s takt: stoppages, rework, rack, fixtures, breaks."""
    from offtool.core.pilot.simulation import Break, Line, MouldingPress, PressCavity, constant_time

    press = MouldingPress(
        name="P1",
        cycle=constant_time(50.0),
        cavities=tuple(PressCavity(label=str(i + 1), part="arm", rejects=0.02) for i in range(2)),
    )
    return Line(
        stations=tuple(_station(i) for i in range(1, STATIONS + 1)),
        presses=(press,),
        breaks=(Break(begins_h=2, ends_h=2.25), Break(begins_h=4, ends_h=4.5)),
    )


def _station(i: int) -> StationGiven:
    from offtool.core.pilot.simulation import (
        Intake,
        RandomTime,
        StationGiven,
        Stoppage,
        TimeShape,
        constant_time,
        exponential_time,
    )

    name = str(i)
    takes = [Intake(item=str(i - 1), places=40 if i == 8 else 3, cure_s=600.0 if i == 8 else 0.0)]
    if i == 5:
        takes.append(Intake(item="arm", places=200))
    return StationGiven(
        name=name,
        time=constant_time(TAKT_S * 0.8)
        if i == 8
        else RandomTime(shape=TimeShape.LOGNORMAL, mean_s=TAKT_S * 0.9, spread_s=TAKT_S * 0.18),
        people=1,
        takes=tuple(takes) if i > 1 else (),
        endless=i == 1,
        fails=0.01 if i % 4 == 0 else 0.0,
        rework_to=name if i % 4 == 0 else "",
        rounds=1 if i % 4 == 0 else 0,
        stoppage=Stoppage(works_s=exponential_time(7200.0), stands_s=exponential_time(180.0))
        if i % 3 == 0
        else None,
        fixtures=60 if i == 7 else None,
    )


def simulate_pilot(executor: Executor | None) -> None:
    """The whole result: rate, shares of every station, levels, warm-up and intervals."""
    from offtool.core.pilot.simulation import simulate_line

    simulate_line(pilot_line(), hours=HOURS, runs=RUNS, executor=executor)


def _on_two_cores() -> None:
    """With the start of both processes."""
    with ProcessPoolExecutor(CORES, mp_context=multiprocessing.get_context("spawn")) as executor:
        simulate_pilot(executor)


def pilot_of_a_shift(folder: Path) -> Iterator[Figure]:
    """Two cores, beside one."""
    yield Figure(
        what=f"pilot of {HOURS:g} h, {STATIONS} stations, {RUNS} runs on {CORES} cores",
        value=seconds(_on_two_cores), unit="s", goal=30.0,
        beside="one core", baseline=seconds(lambda: simulate_pilot(None)),
    )  # fmt: skip
    begun = time.process_time()
    simulate_pilot(None)
    yield Figure(what="  processor time of it on one core", value=time.process_time() - begun, unit="s")


if __name__ == "__main__":
    for figure in pilot_of_a_shift(Path()):
        print(figure.line())

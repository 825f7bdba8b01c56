"""Published graphs, read, and small lines drawn with every kind of rule."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

from hypothesis import strategies as st

from offtool.core.pilot.balance import LineEquipment, LineGiven, LineStation, LineTask, Side
from tests.published import HERE

FOLDER = HERE / "salbp"
OPTIMA = json.loads((FOLDER / "optima.json").read_text(encoding="utf-8"))
SOURCE = "Scholl 1993, Data of Assembly Line Balancing Problems"
FILES = {row["graph"]: row["file"] for row in OPTIMA["salbp1"]}


def published_line(file: str) -> LineGiven:
    """A graph in the .IN2 format: the number of tasks, their times, pairs of before and after."""
    size, *rest = (FOLDER / file).read_text(encoding="utf-8").split()
    times, pairs = rest[: int(size)], [tuple(one.split(",")) for one in rest[int(size) :]]
    return LineGiven(
        tasks=tuple(
            LineTask(
                task=str(i),
                time_s=float(time),
                after=tuple(first for first, then in pairs if then == str(i)),
            )
            for i, time in enumerate(times, start=1)
        )
    )


def plain(times: list[float], **after: str) -> LineGiven:
    """Tasks a, b, c … with their times; `b="a"` says that b comes after a."""
    names = "abcdefghijklmnopqrstuvwxyz"[: len(times)]
    return LineGiven(
        tasks=tuple(
            LineTask(task=name, time_s=time, after=tuple(after.get(name, "")))
            for name, time in zip(names, times, strict=True)
        )
    )


def changed(line: LineGiven, task: str, **said: Any) -> LineGiven:
    """The line with something else said of one task."""
    return replace(line, tasks=tuple(replace(one, **said) if one.task == task else one for one in line.tasks))


def backwards(line: LineGiven) -> LineGiven:
    """The same line with every order turned round."""
    after: dict[str, list[str]] = {one.task: [] for one in line.tasks}
    for one in line.tasks:
        for before in one.after:
            after[before].append(one.task)
    return replace(line, tasks=tuple(replace(one, after=tuple(after[one.task])) for one in line.tasks))


@st.composite
def orders(draw: st.DrawFn, most: int = 6) -> LineGiven:
    """A line of up to so many tasks in any order that has no circle, listed in any order."""
    size = draw(st.integers(1, most))
    times = draw(st.lists(st.integers(1, 9), min_size=size, max_size=size))
    tasks = []
    for j in range(size):
        before = [i for i in range(j) if draw(st.integers(0, 2)) == 0]
        after = tuple(str(i) for i in before)
        tasks.append(LineTask(task=str(j), time_s=float(times[j]), after=after))
    return LineGiven(tasks=tuple(draw(st.permutations(tasks))))


@st.composite
def lines(draw: st.DrawFn, most: int = 5, stations: int = 3) -> LineGiven:
    """A small line with sides, people, equipment, ties, pairs kept apart and fixed stations, some or all."""
    line = draw(orders(most))
    names = [one.task for one in line.tasks]
    others = st.lists(st.sampled_from(names), max_size=1)
    tasks = []
    for task in line.tasks:
        tied, apart = (tuple(x for x in draw(others) if x != task.task) for _ in range(2))
        tasks.append(
            replace(
                task,
                side=draw(st.sampled_from(Side)),
                equipment=("welder",) if draw(st.integers(0, 2)) == 0 else (),
                together=tied if draw(st.integers(0, 3)) == 0 else (),
                apart=apart if draw(st.booleans()) else (),
                station=draw(st.integers(1, stations)) if draw(st.integers(0, 5)) == 0 else None,
            )
        )
    places = draw(st.sets(st.integers(1, stations), max_size=2))
    told = [_station(draw, k) for k in range(1, stations + 1) if draw(st.integers(0, 2)) == 0]
    welder = LineEquipment(
        equipment="welder", stations=tuple(sorted(places)), at_most=draw(st.sampled_from([None, 1, 2]))
    )
    return LineGiven(
        tasks=tuple(tasks),
        stations=tuple(told),
        equipment=(welder,),
        people=draw(st.integers(1, 2)),
        two_sided=draw(st.booleans()),
        most_stations=stations,
    )


def _station(draw: st.DrawFn, station: int) -> LineStation:
    if draw(st.booleans()):
        return LineStation(station=station, two_sided=True)
    return LineStation(station=station, two_sided=False, people=draw(st.integers(1, 3)))

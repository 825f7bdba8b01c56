"""One run of a line: built anew, run from mark to mark of the clock, and what was read at each."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from simpy import Environment

from offtool.core.pilot.simulation.flow import Book, Door, Way
from offtool.core.pilot.simulation.given import Line
from offtool.core.pilot.simulation.working import Numbers, PressAtWork, StationAtWork, arrive

Array = NDArray[np.float64]

MARKS = 240
"""Readings in a run: every two minutes of a shift of 8 h."""
COUNTS = ("came", "joined", "good", "scrapped", "rejected", "seconds_inside", "inside_s")


@dataclass(frozen=True, slots=True, kw_only=True)
class Trace:
    """What was read at each mark of one run; all but levels is counted up from the beginning.

    `counts` is [mark, COUNTS], `spent_s` [mark, place of work, what it did], `level_s`, `level` and `entered`
    [mark, store], `fixtures_s` [mark, station], `made` and `laid_aside` [mark, part of a press]. `most` is
    the highest level of each store in the run, `most_rework` of each station's box.
    """

    counts: Array
    spent_s: Array
    level_s: Array
    level: Array
    entered: Array
    fixtures_s: Array
    made: Array
    laid_aside: Array
    most: Array
    most_rework: Array

    def count(self, name: str) -> Array:
        """One of COUNTS at each mark."""
        column: Array = self.counts[:, COUNTS.index(name)]
        return column


def added_up(rows: list[list[float]]) -> list[float]:
    """The sum of each column; of one row, mostly."""
    return rows[0] if len(rows) == 1 else [sum(column) for column in zip(*rows, strict=True)]


class LineAtWork:
    """A line that runs."""

    def __init__(self, line: Line, *, seed: int, run: int) -> None:
        self.env, self.book = Environment(), Book()
        numbers = Numbers(seed, run)
        self.stations = {one.name: StationAtWork(self.env, one, self.book, numbers) for one in line.stations}
        self.presses = {one.name: PressAtWork(self.env, one, self.book, numbers) for one in line.presses}
        self.stores = [store for one in self.stations.values() for store in one.stores]
        self._join_up()
        self.all: list[StationAtWork | PressAtWork] = [*self.stations.values(), *self.presses.values()]
        self._send_on_breaks(line)
        for one in self.all:
            one.start()
        ways = self._ways()
        for arrival in line.arrivals:
            self.env.process(arrive(self.env, arrival, self.book, ways[arrival.item], numbers))

    def run_to(self, second: float) -> None:
        """Run up to a mark."""
        if second > self.env.now:
            self.env.run(until=second)

    def counts(self) -> list[float]:
        """The book, brought up to now."""
        self.book.tick(self.env.now)
        return [getattr(self.book, name) for name in COUNTS]

    def spent(self) -> list[list[float]]:
        """Time spent on each state by all places of a station or press together."""
        now = self.env.now
        return [added_up([place.spent_up_to(now) for place in one.places]) for one in self.all]

    def level_s(self) -> list[float]:
        """Pieces in each store, added up over time."""
        for store in self.stores:
            store.tick(self.env.now)
        return [store.level_s for store in self.stores]

    def fixtures_s(self) -> list[float]:
        """Fixtures of each station that were under way, added up over time."""
        for one in self.stations.values():
            one.tick(self.env.now)
        return [one.fixtures_s for one in self.stations.values()]

    def _ways(self) -> dict[str, Way]:
        return {store.item: store for store in self.stores}

    def _join_up(self) -> None:
        ways, door = self._ways(), Door(self.env, self.book)
        for station in self.stations.values():
            station.way = ways.get(station.given.item, door)
            if station.given.rework_to:
                station.rework_way = self.stations[station.given.rework_to]
        for press in self.presses.values():
            press.ways = [ways[cavity.part] for cavity in press.given.cavities]

    def _send_on_breaks(self, line: Line) -> None:
        by_name = {one.given.name: one for one in self.all}
        for one in line.breaks:
            names = [one.station] if one.station else list(self.stations)
            for name in names:
                self.env.process(by_name[name].rest(3600 * one.begins_h, 3600 * one.ends_h, one.people))


def marks_s(hours: float) -> Array:
    """The marks of a run of so many hours."""
    return np.linspace(0.0, 3600 * hours, MARKS + 1)


def run_line(
    line: Line, hours: float, seed: int, run: int, lean: bool = False, stop: Callable[[], bool] | None = None
) -> Trace | None:
    """One run from an empty line; None where it was stopped. A lean one reads nothing but the book."""
    at_work = LineAtWork(line, seed=seed, run=run)
    counts: list[list[float]] = []
    spent: list[list[list[float]]] = []
    level_s: list[list[float]] = []
    level: list[list[int]] = []
    entered: list[list[int]] = []
    fixtures_s: list[list[float]] = []
    made: list[list[int]] = []
    laid_aside: list[list[int]] = []
    for second in marks_s(hours).tolist():
        if stop is not None and stop():
            return None
        at_work.run_to(second)
        counts.append(at_work.counts())
        if not lean:
            spent.append(at_work.spent())
            level_s.append(at_work.level_s())
            level.append([store.level for store in at_work.stores])
            entered.append([store.came for store in at_work.stores])
            fixtures_s.append(at_work.fixtures_s())
            made.append([count for one in at_work.presses.values() for count in one.made.values()])
            laid_aside.append(
                [count for one in at_work.presses.values() for count in one.laid_aside.values()]
            )
    return Trace(
        counts=np.array(counts, dtype=float),
        spent_s=np.array(spent, dtype=float),
        level_s=np.array(level_s, dtype=float),
        level=np.array(level, dtype=float),
        entered=np.array(entered, dtype=float),
        fixtures_s=np.array(fixtures_s, dtype=float),
        made=np.array(made, dtype=float),
        laid_aside=np.array(laid_aside, dtype=float),
        most=np.array([store.most for store in at_work.stores], dtype=float),
        most_rework=np.array([one.most_rework for one in at_work.stations.values()], dtype=float),
    )

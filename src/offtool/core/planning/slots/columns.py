"""Every place that a trial, or a few straight after one another, can have: what the solver chooses from.

A column is a job or gap of a press, trials in order, and the step at which the first change begins. All its
times and costs are then known. While a job stands, the next change begins when the last shot has fallen. In
a gap the tool hangs as long as it likes: a column is one trial there, with the one that it comes after.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from offtool.core.planning.slots.grid import PressClock
from offtool.core.planning.slots.ledger import LONGEST_CHAIN, Slot
from offtool.core.planning.slots.ways import Shop, Stage, Way

Steps = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class Column:
    """Trials that are put on a press together, from one step on."""

    stage: Stage
    trials: tuple[int, ...]
    leader: int | None
    """In a gap, the trial that it comes after."""
    begins: tuple[int, ...]
    """Step at which each change begins."""
    runs: tuple[tuple[int, int], ...]
    """First and last shot of each."""
    worked: int
    """Working steps before it begins."""
    steps: int
    """Working steps it takes."""
    may_be_last: bool
    cost: float

    @property
    def gone(self) -> int:
        """Working steps until its press is free again."""
        return self.worked + self.steps

    def slots(self) -> Iterator[Slot]:
        """Its trials as slots."""
        leaders = (self.leader, *self.trials)
        for leader, number, begins in zip(leaders, self.trials, self.begins, strict=False):
            yield Slot(trial=number, stage=self.stage, begins=begins, after=leader)


class PressHours:
    """For each step of a press: working steps before it, where its stretch ends, when work goes on."""

    def __init__(self, clock: PressClock, steps: int) -> None:
        self.steps = steps
        self.ends = np.zeros(steps + 1, dtype=np.int64)
        self.again = np.full(steps + 1, steps, dtype=np.int64)
        self.worked = np.full(steps + 1, clock.all_worked, dtype=np.int64)
        for one in reversed(clock.openings):
            span = np.arange(one.begins, one.ends)
            self.again[: one.begins] = one.begins
            self.again[span] = span
            self.ends[span] = one.ends
            self.worked[: one.begins] = one.worked
            self.worked[span] = one.worked + span - one.begins


def columns_of(shop: Shop, stage: Stage, hours: PressHours) -> list[Column]:
    """Every column of a stage."""
    ways = {way.trial: way for way in shop.ways if way.stage == stage}
    window = _window(shop, stage)
    beginnings = {one: _beginnings(shop, hours, stage, one, window) for one in ways}
    if stage.stops:
        return [*_chains(shop, stage, hours, ways, beginnings)]
    return [*_in_gap(shop, stage, hours, ways, beginnings)]


def _beginnings(shop: Shop, hours: PressHours, stage: Stage, number: int, window: tuple[int, int]) -> Steps:
    """Steps at which the change to a trial may begin."""
    low, high = window
    worked, steps = hours.worked[:-1], np.arange(hours.steps)
    may = (hours.ends[:-1] > 0) & (worked >= low) & (worked < high)
    fixed = shop.fixed[number]
    may &= (steps >= shop.earliest[number]) if fixed is None else (steps == fixed)
    return np.flatnonzero(may)


def _window(shop: Shop, stage: Stage) -> tuple[int, int]:
    """Working steps between which a stage lies whatever others do: a job may be late, a gap shrinks."""
    clock = shop.grid.clocks[stage.press]
    jobs, all_worked = clock.jobs, clock.all_worked
    if stage.stops:
        job = jobs[stage.index]
        return job.begins, all_worked if job.length is None else told_end(shop, stage) + _longest(shop, stage)
    ended = 0
    if stage.index:
        before = jobs[stage.index - 1]
        ended = before.begins + (before.length or 0)
    return ended, jobs[stage.index].begins if stage.index < len(jobs) else all_worked


def told_end(shop: Shop, stage: Stage) -> int:
    """Working steps at which a job ends where no trial stops one; the last where it runs on."""
    job = shop.grid.clocks[stage.press].jobs[stage.index]
    return shop.grid.clocks[stage.press].all_worked if job.length is None else job.begins + job.length


def _longest(shop: Shop, stage: Stage) -> int:
    """Working steps by which trials can move the end of a job at most: each stops one on that press."""
    longest: dict[int, int] = {}
    for way in shop.ways:
        if way.stage.press == stage.press and way.stage.stops and way.stage.index <= stage.index:
            longest[way.trial] = max(longest.get(way.trial, 0), way.steps)
    return sum(longest.values())


def _fits(shop: Shop, hours: PressHours, way: Way, begins: Steps, change: int) -> NDArray[np.bool_]:
    """Which changes at those steps end in a run that has its engineer and its press."""
    firsts = begins + change
    lasts = firsts + way.run
    fits = lasts <= hours.ends[np.minimum(begins, hours.steps)]
    fits[fits] &= shop.may_start(way.trial)[firsts[fits]]
    return fits


def _chains(
    shop: Shop, stage: Stage, hours: PressHours, ways: dict[int, Way], beginnings: dict[int, Steps]
) -> Iterator[Column]:
    for number, way in ways.items():
        begins = beginnings[number]
        begins = begins[_fits(shop, hours, way, begins, way.change)]
        yield from _lengthen(
            shop, stage, hours, ways, beginnings, [number], [begins], [way.change], way.used_there
        )


def _lengthen(
    shop: Shop,
    stage: Stage,
    hours: PressHours,
    ways: dict[int, Way],
    beginnings: dict[int, Steps],
    trials: list[int],
    begins: list[Steps],
    changes: list[int],
    used: float,
) -> Iterator[Column]:
    """The columns of a chain, and of all that are longer by one more trial."""
    if not begins[0].size:
        return
    last = ways[trials[-1]]
    free = begins[-1] + changes[-1] + last.run
    yield from _closed(shop, stage, hours, ways, trials, begins, changes, used)
    if len(trials) == LONGEST_CHAIN:
        return
    for number, way in ways.items():
        pair = shop.pair(trials[-1], number, stage) if number not in trials else None
        if pair is None or not _is_better(shop, last, way, pair.change, shop.pair_saves(pair)):
            continue
        following = hours.again[np.minimum(free, hours.steps)]
        may = np.isin(following, beginnings[number])
        may[may] &= _fits(shop, hours, way, following[may], pair.change)
        longer = [*(one[may] for one in begins), following[may]]
        yield from _lengthen(
            shop,
            stage,
            hours,
            ways,
            beginnings,
            [*trials, number],
            longer,
            [*changes, pair.change],
            used + pair.used,
        )


def _is_better(shop: Shop, first: Way, second: Way, change: int, saves: float) -> bool:
    """One straight after another is worth a thought where it saves money or time."""
    return saves > 0 or change < first.back + second.change


def _closed(
    shop: Shop,
    stage: Stage,
    hours: PressHours,
    ways: dict[int, Way],
    trials: list[int],
    begins: list[Steps],
    changes: list[int],
    used: float,
) -> Iterator[Column]:
    """A chain from each step from which its way back too ends before the press closes."""
    last = ways[trials[-1]]
    fits = begins[-1] + changes[-1] + last.run + last.back <= hours.ends[begins[-1]]
    steps = sum(changes) + sum(ways[one].run for one in trials) + last.back
    fixed_cost = stage.margin * steps + used + last.used_back
    for at in np.flatnonzero(fits):
        starts = tuple(int(one[at]) for one in begins)
        runs = tuple(
            (begin + change, begin + change + ways[number].run)
            for begin, change, number in zip(starts, changes, trials, strict=True)
        )
        yield Column(
            stage=stage,
            trials=tuple(trials),
            leader=None,
            begins=starts,
            runs=runs,
            worked=int(hours.worked[starts[0]]),
            steps=steps,
            may_be_last=True,
            cost=fixed_cost + _late(shop, trials, runs),
        )


def _late(shop: Shop, trials: Sequence[int], runs: Sequence[tuple[int, int]]) -> float:
    return sum(
        shop.late[number] * shop.lateness(number, last)
        for number, (_, last) in zip(trials, runs, strict=True)
    )


def _in_gap(
    shop: Shop, stage: Stage, hours: PressHours, ways: dict[int, Way], beginnings: dict[int, Steps]
) -> Iterator[Column]:
    _, high = _window(shop, stage)
    first_free = {
        number: int(beginnings[number][0]) + way.run
        for number, way in ways.items()
        if beginnings[number].size
    }
    for number, way in ways.items():
        changes: list[tuple[int | None, int, float]] = [(None, way.change, way.used_there)]
        for first in ways:
            pair = shop.pair(first, number, stage) if first != number else None
            if pair is not None:
                changes.append((first, pair.change, pair.used))
        for leader, change, used in changes:
            begins = beginnings[number][_fits(shop, hours, way, beginnings[number], change)]
            for begin in begins[begins >= (first_free.get(leader, hours.steps) if leader is not None else 0)]:
                start, steps = int(begin), change + way.run
                worked = int(hours.worked[start])
                if worked + steps > high:
                    continue
                runs = ((start + change, start + steps),)
                is_open = start + steps + way.back <= hours.ends[start] and worked + steps + way.back <= high
                yield Column(
                    stage=stage,
                    trials=(number,),
                    leader=leader,
                    begins=(start,),
                    runs=runs,
                    worked=worked,
                    steps=steps,
                    may_be_last=bool(is_open),
                    cost=used + _late(shop, (number,), runs),
                )

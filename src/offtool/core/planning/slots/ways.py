"""The ways in which a trial can go onto a press: into which job or gap, what it stops, and what it costs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from offtool.core.planning.slots.given import NOTHING, Change, SlotsGiven, WaitingTrial, refuse_impossible
from offtool.core.planning.slots.grid import Grid, PressClock
from offtool.core.values import ImpossibleInput

HOURS_A_DAY = 24


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """A job that is stopped, or the gap before it, on one press.

    `index` is that of the job; the last gap comes after all jobs.
    """

    press: str
    index: int
    stops: bool
    before: str
    after: str
    margin: float
    """Contribution lost for each step."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One trial in one stage, by itself: steps of the change in, the run, the way back, and the money."""

    trial: int
    stage: Stage
    change: int
    run: int
    back: int
    used_there: float
    used_back: float
    """What the changes use up."""

    @property
    def used(self) -> float:
        return self.used_there + self.used_back

    @property
    def steps(self) -> int:
        return self.change + self.run + self.back

    @property
    def lost(self) -> float:
        """Contribution that is lost while the job stands."""
        return self.stage.margin * self.steps

    @property
    def cost(self) -> float:
        return self.lost + self.used


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """A trial straight after another in one stage, without the job between."""

    first: int
    second: int
    stage: Stage
    change: int
    used: float


class Shop:
    """All that was given, in steps, with every way and every pair."""

    def __init__(self, given: SlotsGiven) -> None:
        refuse_impossible(given)
        self.given = given
        self.grid = Grid(given)
        self.trials = given.trials
        self.changes = {(one.press, one.before, one.after): one for one in given.changes}
        self.runs = [self.grid.up(one.hours) for one in self.trials]
        self.earliest = [max(self.grid.up(one.earliest_h), 0) for one in self.trials]
        self.due = [None if one.due_h is None else self.grid.down(one.due_h) for one in self.trials]
        self.late = [one.late_per_day * self.grid.step_h / HOURS_A_DAY for one in self.trials]
        numbers = {one.trial: number for number, one in enumerate(self.trials)}
        self.comes_after = [tuple(numbers[name] for name in one.comes_after) for one in self.trials]
        self._may_start: dict[int, NDArray[np.bool_]] = {}
        self.fixed = [None if one.fixed is None else self.grid.nearest(one.fixed.starts_h)
                      for one in self.trials]  # fmt: skip

    @cached_property
    def stages(self) -> dict[str, tuple[Stage, ...]]:
        """The stages of each press, in order."""
        return {name: tuple(_stages(clock)) for name, clock in self.grid.clocks.items()}

    @cached_property
    def ways(self) -> tuple[Way, ...]:
        """Every way of every trial."""
        return tuple(way for number in range(len(self.trials)) for way in self.ways_of(number))

    def ways_of(self, number: int) -> Iterator[Way]:
        """The ways of one trial; one that is fixed has those of its press alone."""
        trial = self.trials[number]
        presses = (trial.fixed.press,) if trial.fixed is not None else trial.presses
        for press in dict.fromkeys(presses):
            for stage in self.stages[press]:
                yield self.way(number, stage)

    def way(self, number: int, stage: Stage) -> Way:
        """One trial in one stage. Raises ImpossibleInput where no change to it is given."""
        trial = self.trials[number].trial
        there = self._needed(stage.press, stage.before, trial)
        back = self.changes.get((stage.press, trial, stage.after))
        if back is None and stage.after != NOTHING:
            back = self._needed(stage.press, trial, stage.after)
        return Way(
            trial=number,
            stage=stage,
            change=self.grid.up(there.hours),
            run=self.runs[number],
            back=self.grid.up(back.hours) if back is not None else 0,
            used_there=there.cost,
            used_back=back.cost if back is not None else 0.0,
        )

    def pair(self, first: int, second: int, stage: Stage) -> Pair | None:
        """One trial straight after another; None where no change between them is given, or none may be."""
        if second in self.comes_after[first]:
            return None
        names = stage.press, self.trials[first].trial, self.trials[second].trial
        change = self.changes.get(names)
        if change is None:
            return None
        steps = self.grid.up(change.hours)
        return Pair(first=first, second=second, stage=stage, change=steps, used=change.cost)

    def pair_saves(self, pair: Pair) -> float:
        """Money that going straight from one to the other saves; below 0 where it costs more."""
        first, second = self.way(pair.first, pair.stage), self.way(pair.second, pair.stage)
        steps = first.back + second.change - pair.change
        return pair.stage.margin * steps + first.used_back + second.used_there - pair.used

    def engineer_is_there(self, number: int, first: int) -> bool:
        """Whether an engineer is there from the first shot, at a step, to the last."""
        return 0 <= first < self.grid.steps and bool(self.may_start(number)[first])

    def may_start(self, number: int) -> NDArray[np.bool_]:
        """For each step, whether the first shot may fall on it: an engineer is there to the last."""
        if number not in self._may_start:
            self._may_start[number] = self._starts(number)
        return self._may_start[number]

    def _starts(self, number: int) -> NDArray[np.bool_]:
        steps, run = self.grid.steps, self.runs[number]
        may = np.zeros(steps, dtype=bool)
        if run > steps:
            return may
        is_alone = (self.grid.engineers <= 0) & self.trials[number].needs_engineer
        alone_before = np.concatenate(([0], np.cumsum(is_alone)))
        may[: steps - run + 1] = alone_before[run:] == alone_before[: steps - run + 1]
        may[: min(self.earliest[number], steps)] &= self.fixed[number] is not None
        return may

    def lateness(self, number: int, last: int) -> int:
        """Steps that the last shot is after the day it is due."""
        due = self.due[number]
        return max(last - due, 0) if due is not None else 0

    def number_of(self, trial: str) -> int:
        """The place of a trial in the list."""
        return next(i for i, one in enumerate(self.trials) if one.trial == trial)

    def _needed(self, press: str, before: str, after: str) -> Change:
        found = self.changes.get((press, before, after))
        if found is None:
            names = f"{before or 'the free press'} to {after}"
            raise ImpossibleInput("changes", names, "", f"is not given for press {press}", "give its hours")
        return found


def is_offered(trial: WaitingTrial, press: str) -> bool:
    """Whether a press may be offered to a trial."""
    return press in trial.presses or (trial.fixed is not None and trial.fixed.press == press)


def _stages(clock: PressClock) -> Iterator[Stage]:
    """Gap, job, gap, job … gap; without gaps that have no room and jobs that may not be stopped."""
    ended, before = 0, NOTHING
    for index, job in enumerate(clock.jobs):
        if job.begins > ended:
            yield _gap(clock, index, before, job.name)
        if job.told.may_stop:
            yield Stage(
                press=clock.name,
                index=index,
                stops=True,
                before=job.name,
                after=job.name,
                margin=job.margin,
            )
        if job.length is None:
            return
        ended, before = job.begins + job.length, job.name
    if clock.all_worked > ended or not clock.jobs:
        yield _gap(clock, len(clock.jobs), before, NOTHING)


def _gap(clock: PressClock, index: int, before: str, after: str) -> Stage:
    return Stage(press=clock.name, index=index, stops=False, before=before, after=after, margin=0.0)

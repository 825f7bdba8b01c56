"""Hours as whole steps: the working time of each press, its jobs in it, and how many engineers are there.

A press has a clock of its own that counts working steps only: what ends when it closes and what begins when
it opens again follow one another directly, and a job that was stopped goes on in working time.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from functools import cached_property
from math import ceil, floor

import numpy as np
from numpy.typing import NDArray

from offtool.core.planning.slots.given import PlannedJob, PlannedPress, SlotsGiven, Stretch

SLACK = 1e-6
"""Steps by which a time may miss a whole step; hours that were made from days and minutes are not exact."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """A stretch in which a press is worked: steps from the plan's beginning, and working steps before it."""

    begins: int
    ends: int
    worked: int

    @property
    def closed(self) -> int:
        """Steps the press was closed before it: what to take off a time to have it in working steps."""
        return self.begins - self.worked


@dataclass(frozen=True, slots=True, kw_only=True)
class JobSteps:
    """A job in working steps; `length` is None where it does not end in the plan."""

    told: PlannedJob
    begins: int
    length: int | None
    margin: float
    """Contribution for each step."""

    @property
    def name(self) -> str:
        return self.told.job


class PressClock:
    """One press in whole steps."""

    def __init__(self, press: PlannedPress, grid: Grid) -> None:
        self.name = press.press
        self.openings = _openings(press.open, grid)
        self._begins = [one.begins for one in self.openings]
        self.all_worked = sum(one.ends - one.begins for one in self.openings)
        self.jobs = tuple(self._jobs(press, grid))

    def worked(self, step: int) -> int:
        """Working steps before a step."""
        at = bisect_right(self._begins, step) - 1
        if at < 0:
            return 0
        one = self.openings[at]
        return one.worked + min(step, one.ends) - one.begins

    def opening_at(self, step: int) -> Opening | None:
        """The stretch of work that a step begins in."""
        at = bisect_right(self._begins, step) - 1
        return self.openings[at] if at >= 0 and step < self.openings[at].ends else None

    def step_of(self, worked: int, *, is_end: bool = False) -> int | None:
        """The step at which so much was worked; None past the plan. An end stands where work stops."""
        for one in self.openings:
            done = worked - one.worked
            if done < one.ends - one.begins or (is_end and done == one.ends - one.begins):
                return one.begins + max(done, 0)
        return None

    def _jobs(self, press: PlannedPress, grid: Grid) -> list[JobSteps]:
        jobs = []
        for job in press.jobs:
            begins, ends = grid.nearest(job.begins_h), grid.steps
            if job.ends_h is not None:
                ends = grid.nearest(job.ends_h)
            if ends <= 0 or begins >= grid.steps:
                continue
            runs_on = job.ends_h is None or ends >= grid.steps
            first = self.worked(max(begins, 0))
            length = None if runs_on else self.worked(ends) - first
            margin = job.margin_per_h * grid.step_h
            jobs.append(JobSteps(told=job, begins=first, length=length, margin=margin))
        return jobs


class Grid:
    """The whole plan in steps."""

    def __init__(self, given: SlotsGiven) -> None:
        self.given = given
        self.step_h = given.step_min / 60
        self.steps = floor(given.ends_h / self.step_h + SLACK)

    @cached_property
    def clocks(self) -> dict[str, PressClock]:
        """Each press by its name."""
        return {press.press: PressClock(press, self) for press in self.given.presses}

    @cached_property
    def engineers(self) -> NDArray[np.int64]:
        """How many engineers are there in each step, from its beginning to its end."""
        there = np.zeros(self.steps, dtype=np.int64)
        for one in self.given.engineers:
            there[max(self.up(one.begins_h), 0) : max(self.down(one.ends_h), 0)] += 1
        return there

    def up(self, hours: float) -> int:
        """Hours as steps, a part of one counted whole."""
        return ceil(hours / self.step_h - SLACK)

    def down(self, hours: float) -> int:
        """Hours as the whole steps in them."""
        return floor(hours / self.step_h + SLACK)

    def nearest(self, hours: float) -> int:
        """Hours as the nearest step."""
        return round(hours / self.step_h)

    def hours(self, steps: int) -> float:
        """Steps as hours."""
        return steps * self.step_h


def _openings(stretches: tuple[Stretch, ...], grid: Grid) -> tuple[Opening, ...]:
    """Stretches of work in order, those that touch joined, cut to the plan."""
    joined: list[tuple[int, int]] = []
    for begins, ends in sorted((grid.up(one.begins_h), grid.down(one.ends_h)) for one in stretches):
        first, last = max(begins, 0), min(ends, grid.steps)
        if last <= first:
            continue
        if joined and first <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(joined[-1][1], last))
        else:
            joined.append((first, last))
    worked, openings = 0, []
    for first, last in joined:
        openings.append(Opening(begins=first, ends=last, worked=worked))
        worked += last - first
    return tuple(openings)

"""Trials on presses: 8 presses, 20 trials, two weeks; the plan a hurried planner makes stands beside it."""

from __future__ import annotations

import random
import time
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from benchmarks.figures import Figure

if TYPE_CHECKING:
    from offtool.core.planning.slots import Change, PlannedPress, SlotsGiven, WaitingTrial

PRESSES, TRIALS, DAYS, SEED = 8, 20, 14, 1
MOST_GAP, SECONDS = 0.01, 30.0
TOOL_CHANGE_H = (0.75, 1.0, 1.25, 1.5)
PURGE = (5.0, 20.0, 60.0)


def shop() -> SlotsGiven:
    """An invented shop: half the presses round the clock, half from 6 to 22; two engineers from 8 to 17."""
    from offtool.core.planning.slots import SlotsGiven, Stretch

    r = random.Random(SEED)
    presses = tuple(_press(r, number) for number in range(PRESSES))
    trials = tuple(_trial(r, number) for number in range(TRIALS))
    workdays = [day for day in range(DAYS) if day % 7 < 5]
    engineers = tuple(
        Stretch(begins_h=24 * day + 8, ends_h=24 * day + 17) for day in workdays for _ in range(2)
    )
    changes = tuple(one for press in presses for one in _changes(r, press, trials))
    return SlotsGiven(
        presses=presses, trials=trials, changes=changes, engineers=engineers, ends_h=24.0 * DAYS
    )


def _press(r: random.Random, number: int) -> PlannedPress:
    from offtool.core.planning.slots import PlannedJob, PlannedPress, Stretch

    name, at, jobs = f"P{number + 1}", 0.0, []
    while at < 24 * DAYS:
        ends = at + r.choice([48, 72, 96, 120])
        jobs.append(
            PlannedJob(
                job=f"{name}-{len(jobs) + 1}",
                begins_h=at,
                ends_h=ends,
                may_stop=r.random() < 0.8,
                margin_per_h=r.choice([15.0, 25.0, 40.0, 60.0]),
            )
        )
        at = ends
    from_h, to_h = (0, 24) if number % 2 else (6, 22)
    days = [Stretch(begins_h=24 * d + from_h, ends_h=24 * d + to_h) for d in range(DAYS) if d % 7 < 6]
    return PlannedPress(press=name, open=tuple(days), jobs=tuple(jobs))


def _trial(r: random.Random, number: int) -> WaitingTrial:
    from offtool.core.planning.slots import WaitingTrial

    holds = sorted(r.sample(range(PRESSES), r.choice([2, 3, 4])))
    earliest = float(r.choice([0, 0, 24, 48, 72, 120]))
    return WaitingTrial(
        trial=f"M{number + 1} T1",
        tool=f"M{number + 1}",
        hours=r.choice([1.0, 2.0, 3.0, 4.0]),
        presses=tuple(f"P{one + 1}" for one in holds),
        earliest_h=earliest,
        due_h=earliest + r.choice([72, 96, 120]),
        late_per_day=r.choice([50.0, 100.0, 300.0]),
    )


def _changes(r: random.Random, press: PlannedPress, trials: tuple[WaitingTrial, ...]) -> Iterator[Change]:
    """A tool change of a practised shop, and the purge between any two colours."""
    from offtool.core.planning.slots import NOTHING, Change

    here = [one.trial for one in trials if press.press in one.presses]
    for before in (NOTHING, *(job.job for job in press.jobs), *here):
        for after in here:
            if before != after:
                hours, cost = r.choice(TOOL_CHANGE_H), r.choice(PURGE)
                yield Change(press=press.press, before=before, after=after, hours=hours, cost=cost)
                if before not in here:
                    hours, cost = r.choice(TOOL_CHANGE_H), r.choice(PURGE)
                    yield Change(press=press.press, before=after, after=before, hours=hours, cost=cost)


def trial_slots(folder: Path) -> Iterator[Figure]:
    """One run: the time it takes in all, and how far the plan can be from the best."""
    from offtool.core.planning.slots import place_trials

    given = shop()
    began = time.perf_counter()
    plan = place_trials(given, seconds=SECONDS * 0.6)
    took = time.perf_counter() - began
    what = f"{TRIALS} trials on {PRESSES} presses over {DAYS} days"
    yield Figure(what=what, value=took, unit="s", goal=SECONDS)
    yield Figure(
        what=f"{what}: how far from the best at most", value=100 * plan.gap, unit="%", goal=100 * MOST_GAP,
        beside="the trial due first at the cheapest place left",
        baseline=100 * (plan.hurried_cost - plan.bound) / plan.hurried_cost,
    )  # fmt: skip

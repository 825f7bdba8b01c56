"""Shops of a few whole hours, drawn from a seed: invented, small enough to try every plan."""

from __future__ import annotations

import random

from offtool.core.planning.slots import (
    NOTHING,
    Change,
    PlannedJob,
    PlannedPress,
    SlotsGiven,
    Stretch,
    WaitingTrial,
)


def small_shop(seed: int, *, trials: int = 2, presses: int = 2, hours: int = 20) -> SlotsGiven:
    """A shop in which all can happen: jobs that end, gaps, closed hours, few engineers, odd changes."""
    r = random.Random(seed)
    names = [f"T{i}" for i in range(1, trials + 1)]
    shop, changes = [], []
    for number in range(presses):
        press = f"P{number + 1}"
        jobs = _jobs(r, press, hours)
        opening = r.choice([[(0, hours)], [(0, hours // 2), (hours // 2 + 3, hours)], [(1, hours - 1)]])
        stretches = tuple(Stretch(begins_h=a, ends_h=b) for a, b in opening)
        shop.append(PlannedPress(press=press, open=stretches, jobs=jobs))
        for before in (NOTHING, *(job.job for job in jobs)):
            for name in names:
                changes.append(_change(r, press, before, name))
                changes.append(_change(r, press, name, before))
        pairs = [(a, b) for a in names for b in names if a != b]
        changes += [_change(r, press, a, b) for a, b in pairs if r.random() < 0.8]
    engineers = tuple(
        Stretch(begins_h=a, ends_h=min(a + r.randint(6, 14), hours))
        for a in (r.randint(0, 6) for _ in range(r.randint(1, 2)))
    )
    waiting = tuple(_trial(r, name, [one.press for one in shop]) for name in names)
    return SlotsGiven(
        presses=tuple(shop),
        trials=waiting,
        changes=tuple(changes),
        engineers=engineers,
        ends_h=hours,
        step_min=60,
    )


def _jobs(r: random.Random, press: str, hours: int) -> tuple[PlannedJob, ...]:
    jobs, at = [], r.choice([0, 0, 4])
    for number in range(r.randint(0, 2)):
        length = r.randint(3, 8)
        ends = None if r.random() < 0.2 else at + length
        jobs.append(
            PlannedJob(
                job=f"{press}-{number + 1}",
                begins_h=at,
                ends_h=ends,
                may_stop=r.random() < 0.7,
                margin_per_h=r.randint(1, 9),
            )
        )
        at += length + r.choice([0, 0, 3, 6])
        if ends is None or at >= hours:
            break
    return tuple(jobs)


def _change(r: random.Random, press: str, before: str, after: str) -> Change:
    return Change(
        press=press,
        before=before,
        after=after,
        hours=r.randint(0 if not after else 1, 2),
        cost=r.randint(0, 9),
    )


def _trial(r: random.Random, name: str, presses: list[str]) -> WaitingTrial:
    return WaitingTrial(
        trial=name,
        tool=f"M{name}",
        hours=r.randint(1, 4),
        presses=tuple(r.sample(presses, r.randint(1, len(presses)))),
        earliest_h=r.choice([0, 0, 3]),
        due_h=r.choice([None, 6, 10]),
        late_per_day=r.choice([0, 24, 96]),
        needs_engineer=r.random() < 0.8,
    )

"""The best plan found by trying every plan: a walk hour by hour that shares nothing with solver or ledger.

All times are whole hours. A spot is a trial, its press, the hour at which its change begins, and the job it
stops, or nothing in a gap.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

from offtool.core.planning.slots import PlannedPress, SlotsGiven, WaitingTrial

Spot = tuple[str, str, int, str]
Hours = tuple[int, int]
Stand = tuple[float, tuple[Hours, ...], dict[str, Hours]]
"""What a press costs, when an engineer is wanted there, and when each trial has its tool."""


def best_plan(given: SlotsGiven) -> tuple[int, float]:
    """How many trials have a place at most, and the least cost of so many."""
    most, least = 0, 0.0
    stands: dict[tuple[Spot, ...], list[Stand]] = {}
    presses = {one.press: one for one in given.presses}
    for choice in product(*([None, *_spots(given, one)] for one in given.trials)):
        placed = [one for one in choice if one is not None]
        if len(placed) < most:
            continue
        options = []
        for name, press in presses.items():
            mine = tuple(sorted((one for one in placed if one[1] == name), key=lambda one: one[2]))
            if mine not in stands:
                stands[mine] = list(_stands(given, press, mine))
            options.append(stands[mine])
        for one in product(*options):
            cost = sum(each for each, _, _ in one)
            if not (len(placed) > most or cost < least) or not _is_in_order(given, [h for *_, h in one]):
                continue
            if _is_served(given, [r for _, rs, _ in one for r in rs]):
                most, least = len(placed), cost
    return most, least


def _spots(given: SlotsGiven, trial: WaitingTrial) -> Iterator[Spot]:
    for press in given.presses:
        if press.press in trial.presses:
            for hour in range(int(trial.earliest_h), int(given.ends_h)):
                for job in ["", *(one.job for one in press.jobs if one.may_stop)]:
                    yield trial.trial, press.press, hour, job


def _is_in_order(given: SlotsGiven, presses: list[dict[str, Hours]]) -> bool:
    tools = {trial: hours for one in presses for trial, hours in one.items()}
    pairs = [(a, one.trial) for one in given.trials if one.trial in tools for a in one.comes_after]
    return all(a in tools and tools[a][1] <= tools[b][0] for a, b in pairs)


def _is_served(given: SlotsGiven, runs: list[tuple[int, int]]) -> bool:
    for hour in range(int(given.ends_h)):
        there = sum(one.begins_h <= hour < one.ends_h for one in given.engineers)
        if sum(first <= hour < last for first, last in runs) > there:
            return False
    return all(last <= given.ends_h for _, last in runs)


def _stands(given: SlotsGiven, press: PlannedPress, spots: tuple[Spot, ...]) -> Iterator[Stand]:
    """Every way in which they can follow one another, straight or not."""
    for straight in product((False, True), repeat=max(len(spots) - 1, 0)):
        try:
            walk = _Walk(given, press, spots, (False, *straight, False))
            walk.to_the_end()
        except _CannotBe:
            continue
        yield walk.cost, tuple(walk.runs), walk.tools


class _CannotBe(Exception):
    pass


class _Walk:
    """One press, hour by hour through its working hours."""

    def __init__(
        self, given: SlotsGiven, press: PlannedPress, spots: tuple[Spot, ...], straight: tuple[bool, ...]
    ) -> None:
        self.given, self.press, self.spots, self.straight = given, press, spots, straight
        self.trials = {one.trial: one for one in given.trials}
        self.changes = {(one.before, one.after): one for one in given.changes if one.press == press.press}
        self.open = [h for h in range(int(given.ends_h)) if self._stretch(h) is not None]
        self.left = {job.job: self._hours(job.begins_h, job.ends_h) for job in press.jobs}
        self.queue = list(press.jobs)
        self.ran = ""  # the job that ended last
        self.ended_at = -1  # the place in the working hours at which it did, blocks that stand there included
        self.gap_used = False  # whether a trial stands in the gap that the walk is in
        self.at, self.cost = 0, 0.0
        self.block_end = -1
        self.runs: list[Hours] = []
        self.tools: dict[str, Hours] = {}

    def _stretch(self, hour: int) -> int | None:
        return next((i for i, o in enumerate(self.press.open) if o.begins_h <= hour < o.ends_h), None)

    def _hours(self, begins: float, ends: float | None) -> int:
        return sum(begins <= one < (ends if ends is not None else 1e9) for one in self.open)

    def to_the_end(self) -> None:
        number = 0
        while self.at < len(self.open):
            if number < len(self.spots) and self.open[self.at] == self.spots[number][2]:
                self._put(number)
                number += 1
            else:
                self._work()
        if number < len(self.spots):
            raise _CannotBe

    @property
    def _is_running(self) -> bool:
        """Whether a job runs now, or would."""
        return bool(self.queue) and self.queue[0].begins_h <= self.open[self.at]

    def _work(self) -> None:
        if self._is_running:
            job = self.queue[0]
            self.left[job.job] -= 1
            self.gap_used = False
            if self.left[job.job] == 0 and job.ends_h is not None and job.ends_h < self.given.ends_h:
                self.ran, self.ended_at = self.queue.pop(0).job, self.at + 1
        self.at += 1

    def _put(self, number: int) -> None:
        name, _, hour, stops = self.spots[number]
        trial, leads = self.trials[name], self.straight[number + 1]
        led = self.straight[number]
        if led and (self.spots[number - 1][3] != stops or (stops and self.block_end != self.at)):
            raise _CannotBe
        before, after = self._beside(stops, led=led)
        there = self.changes.get((self.spots[number - 1][0] if led else before, name))
        back = None if leads else self.changes.get((name, after))
        if there is None:
            raise _CannotBe
        run = int(there.hours), int(there.hours + trial.hours)
        block = run[1] + (int(back.hours) if back else 0)
        stretch = self._stretch(hour)
        if any(self._stretch(hour + one) != stretch for one in range(block)):
            raise _CannotBe
        if not stops and self.queue and self.queue[0].begins_h < hour + block:
            raise _CannotBe
        margin = next((one.margin_per_h for one in self.press.jobs if one.job == stops), 0.0)
        late = max(hour + run[1] - trial.due_h, 0) if trial.due_h is not None else 0
        self.cost += margin * block + there.cost + (back.cost if back else 0.0)
        self.cost += trial.late_per_day * late / 24
        if trial.needs_engineer:
            self.runs.append((hour + run[0], hour + run[1]))
        self.tools[name] = (hour, hour + block)
        if stops and self.ended_at == self.at:
            self.ended_at += block
        self.at += block
        self.block_end = self.at

    def _beside(self, stops: str, *, led: bool) -> tuple[str, str]:
        """What the press comes from and goes back to."""
        if stops:
            has_just_ended = self.ran == stops and self.ended_at == self.at
            runs = self._is_running and self.queue[0].job == stops
            if not (runs or has_just_ended):
                raise _CannotBe
            return stops, stops
        if self._is_running or led != self.gap_used:
            raise _CannotBe
        self.gap_used = True
        return self.ran, self.queue[0].job if self.queue else ""

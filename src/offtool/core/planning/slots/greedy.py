"""The plan a hurried planner makes: the trial that is due first gets the cheapest place that is left."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import inf

from offtool.core.planning.slots.ledger import (
    Block,
    Broken,
    PressLedger,
    Rule,
    Slot,
    cost_of,
    press_ledger,
    refuse_crowd,
)
from offtool.core.planning.slots.ways import Shop, Stage

ROUNDS = 5
LEAST_GAIN = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A place for one trial beside slots that stand, and what the whole then costs."""

    slot: Slot
    cost: float
    """Of all slots on that press, less what they cost before."""


class Standing:
    """Slots that stand, by press, with what they cost."""

    def __init__(self, shop: Shop, slots: Sequence[Slot] = ()) -> None:
        self.shop = shop
        self.slots: dict[str, list[Slot]] = {name: [] for name in shop.grid.clocks}
        for one in slots:
            self.slots[one.stage.press].append(one)
        self.ledgers: dict[str, PressLedger] = {
            name: press_ledger(shop, name, standing) for name, standing in self.slots.items()
        }

    def blocks(self, *, without: str = "") -> list[Block]:
        """All blocks, but for those of one press."""
        return [one for name, ledger in self.ledgers.items() if name != without for one in ledger.blocks]

    def put(self, slot: Slot) -> None:
        """Put a slot; what it may break is for the caller to have tried."""
        press = slot.stage.press
        self.slots[press].append(slot)
        self.ledgers[press] = press_ledger(self.shop, press, self.slots[press])

    def try_slot(self, slot: Slot) -> float:
        """What the whole costs more with a slot. Raises Broken."""
        press = slot.stage.press
        ledger = press_ledger(self.shop, press, [*self.slots[press], slot])
        refuse_crowd(self.shop, [*self.blocks(without=press), *ledger.blocks])
        before = sum(cost_of(self.shop, one) for one in self.ledgers[press].blocks)
        return sum(cost_of(self.shop, one) for one in ledger.blocks) - before

    def first_place(self, number: int, stage: Stage, broken: set[Rule] | None = None) -> Place | None:
        """The first place in a stage: within one, later is never cheaper. In a gap it is the last."""
        last = next(
            (one for one in reversed(self.ledgers[stage.press].blocks) if one.slot.stage == stage), None
        )
        after = last.slot.trial if last is not None and not stage.stops else None
        for begins in self._beginnings(number, stage, last if after is not None else None):
            slot = Slot(trial=number, stage=stage, begins=begins, after=after)
            try:
                return Place(slot=slot, cost=self.try_slot(slot))
            except Broken as error:
                if broken is not None:
                    broken.add(error.rule)
        return None

    def best_place(self, number: int, press: str, broken: set[Rule] | None = None) -> Place | None:
        """The cheapest place on a press, by itself or straight after a trial that stands there."""
        places = [self.first_place(number, stage, broken) for stage in self.shop.stages[press]]
        places += list(self._straight_after(number, press))
        return min((one for one in places if one is not None), key=_cheapest, default=None)

    def _straight_after(self, number: int, press: str) -> Iterator[Place]:
        """The place at once after each trial that stands on the press and is not followed yet."""
        clock = self.shop.grid.clocks[press]
        for block in self.ledgers[press].blocks:
            pair = self.shop.pair(block.slot.trial, number, block.slot.stage)
            if pair is None or block.is_followed or not block.slot.stage.stops:
                continue
            begins = clock.step_of(block.worked + block.change + block.way.run)
            slot = Slot(trial=number, stage=block.slot.stage, begins=begins or 0, after=block.slot.trial)
            try:
                yield Place(slot=slot, cost=self.try_slot(slot))
            except Broken:
                continue

    def _beginnings(self, number: int, stage: Stage, last: Block | None) -> Iterator[int]:
        """Steps at which a change may begin, earliest first."""
        shop, fixed = self.shop, self.shop.fixed[number]
        if fixed is not None:
            yield fixed
            return
        clock, run = shop.grid.clocks[stage.press], shop.runs[number]
        job = clock.jobs[stage.index] if stage.index < len(clock.jobs) and stage.stops else None
        for opening in clock.openings:
            first = max(opening.begins, shop.earliest[number])
            if job is not None:
                first = max(first, job.begins + opening.closed)
            if last is not None:
                first = max(first, last.last)
            yield from range(first, opening.ends - run + 1)


def plan_greedily(shop: Shop) -> list[Slot]:
    """Fixed slots first, then by the day they are due, each at the cheapest place that is left."""
    standing, placed = Standing(shop), set[int]()
    for number in sorted(range(len(shop.trials)), key=lambda one: _urgency(shop, one)):
        trial = shop.trials[number]
        if trial.fixed is None and set(shop.comes_after[number]) - placed:
            continue
        presses = (trial.fixed.press,) if trial.fixed is not None else trial.presses
        places = [standing.best_place(number, press) for press in presses]
        best = min((one for one in places if one is not None), key=_cheapest, default=None)
        if best is not None:
            standing.put(best.slot)
            placed.add(number)
    return [one for slots in standing.slots.values() for one in slots]


def moved_one_by_one(shop: Shop, slots: Sequence[Slot]) -> list[Slot]:
    """A plan in which no single trial has a cheaper place while the others stay."""
    now = list(slots)
    for _ in range(ROUNDS):
        before = list(now)
        for slot in before:
            now = _moved(shop, now, slot.trial)
        if now == before:
            break
    return now


def _moved(shop: Shop, slots: list[Slot], number: int) -> list[Slot]:
    """The plan with one trial at the cheapest place that the others leave."""
    trial, mine = shop.trials[number], next(one for one in slots if one.trial == number)
    left = without(shop, slots, mine) if trial.fixed is None else None
    if left is None:
        return slots
    places = [left.best_place(number, press) for press in trial.presses]
    best = min((one for one in places if one is not None), key=_cheapest, default=None)
    if best is None:
        return slots
    cost = sum(cost_of(shop, one) for one in left.blocks()) + best.cost
    if cost > sum(cost_of(shop, one) for one in Standing(shop, slots).blocks()) - LEAST_GAIN:
        return slots
    left.put(best.slot)
    return [one for held in left.slots.values() for one in held]


def _urgency(shop: Shop, number: int) -> tuple[bool, float, int, int]:
    """Fixed ones first, then by the day due; one that another waits for is as urgent as that."""
    waits = [number, *(later for later, before in enumerate(shop.comes_after) if number in before)]
    due = min(inf if (day := shop.due[one]) is None else day for one in waits)
    is_free = shop.fixed[number] is None
    earliest = max(shop.earliest[one] for one in (number, *shop.comes_after[number]))
    return is_free, due, earliest, number


def _cheapest(place: Place) -> tuple[float, int, str]:
    return place.cost, place.slot.begins, place.slot.stage.press


def without(shop: Shop, slots: Sequence[Slot], gone: Slot) -> Standing | None:
    """The others without one slot; what came after it comes after what was before it, else by itself."""
    others = [one for one in slots if one.trial != gone.trial]
    for leader in dict.fromkeys((gone.after, None)):
        kept = [replace(one, after=leader) if one.after == gone.trial else one for one in others]
        try:
            return Standing(shop, kept)
        except Broken:
            continue
    return None

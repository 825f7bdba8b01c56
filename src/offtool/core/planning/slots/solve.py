"""Give every waiting trial a press and a time, so that lost contribution, changes and lateness are least."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import floor, inf
from typing import Any

from offtool.core.planning.slots.columns import Column, PressHours, columns_of
from offtool.core.planning.slots.given import SlotsGiven
from offtool.core.planning.slots.greedy import Standing, moved_one_by_one, plan_greedily, without
from offtool.core.planning.slots.ledger import Broken, Slot, cost_of, refuse_crowd
from offtool.core.planning.slots.model import SlotModel, is_taken
from offtool.core.planning.slots.relaxed import relaxed_plan
from offtool.core.planning.slots.results import SlotPlan
from offtool.core.planning.slots.told import slots_of, told_plan
from offtool.core.planning.slots.ways import Shop
from offtool.core.values import Range

SECONDS = 10.0
SEED = 1
FIRST_REACH = 0.03
"""The first search takes columns that make a plan dearer than the bound by this share at most."""
PARTS = (0.5, 0.35, 0.15)
"""Shares of the time for one search after the other, each over more columns where that is needed."""
SHARE_OF_PLACING = 0.3

SECONDS_ALLOWED = Range(meaning="how long to search", unit="s", above=0, at_most=3600)


@dataclass(frozen=True, slots=True, kw_only=True)
class Solved:
    """Slots, their cost, and the bound that no plan with as many of them goes below."""

    slots: tuple[Slot, ...]
    cost: float
    bound: float
    is_proved: bool


def place_trials(
    given: SlotsGiven, *, seconds: float = SECONDS, workers: int = 2, seed: int = SEED
) -> SlotPlan:
    """Where each waiting trial goes, on which press and when, at the least cost that can be found.

    Cost = contribution lost while jobs stand + what the changes use up + days late times their cost. As many
    trials as possible are placed first. The solver is CP-SAT; it begins at the plan a hurried planner would
    make, and says a bound that no plan can go below.

    Returns: SlotPlan. Raises: ImpossibleInput for what cannot be (an unknown press, a job that overlaps
    another, a change that is not given); OfftoolError where the solver is not installed.

    Holds when: a trial and its changes fit into one stretch of a press's working hours; an engineer is there
    from the first shot to the last; a job that is stopped makes up its rest at its end, and what follows on
    that press begins later; margins are lost for the hours a job stands and not for the jobs behind it.
    """
    SECONDS_ALLOWED.refuse_impossible("seconds", seconds)
    shop = Shop(given)
    hurried = plan_greedily(shop)
    start = moved_one_by_one(shop, hurried)
    solved = solve(shop, start, seconds=seconds, workers=workers, seed=seed)
    return _told(shop, solved, _at_once(shop, solved.slots), hurried)


def place_again(
    given: SlotsGiven, before: SlotPlan, slipped: str, *, seconds: float, workers: int, seed: int
) -> SlotPlan:
    """As `place_trials` after a trial has slipped; of plans of one cost, that which moves fewest others."""
    shop = Shop(given)
    hurried = plan_greedily(shop)
    start = min([hurried, *_one_moved(shop, before, slipped)], key=lambda one: _worth(shop, one))
    keep = {
        shop.number_of(one.trial): (one.press, shop.grid.nearest(one.begins_h))
        for one in before.placed
        if one.trial != slipped
    }
    solved = solve(shop, start, seconds=seconds, workers=workers, seed=seed, keep=keep)
    return _told(shop, solved, _at_once(shop, solved.slots, stay=keep), hurried)


def _told(shop: Shop, solved: Solved, slots: Sequence[Slot], hurried: Sequence[Slot]) -> SlotPlan:
    return told_plan(
        shop,
        slots,
        bound=solved.bound,
        is_proved=solved.is_proved,
        hurried_cost=_cost(shop, hurried),
        hurried_unplaced=len(shop.trials) - len(hurried),
    )


def _one_moved(shop: Shop, before: SlotPlan, slipped: str) -> Iterator[list[Slot]]:
    """The plan as it was, with only the slipped trial somewhere else, where that can be."""
    old = slots_of(shop, before)
    number = shop.number_of(slipped)
    mine = next(one for one in old if one.trial == number)
    left = without(shop, old, mine)
    if left is None:
        return
    places = [left.best_place(number, press) for press in shop.trials[number].presses]
    best = min((one for one in places if one is not None), key=lambda one: one.cost, default=None)
    if best is not None:
        left.put(best.slot)
        yield [one for slots in left.slots.values() for one in slots]


def _worth(shop: Shop, slots: Sequence[Slot]) -> tuple[int, float]:
    return -len(slots), _cost(shop, slots)


def solve(
    shop: Shop,
    start: Sequence[Slot],
    *,
    seconds: float,
    workers: int,
    seed: int,
    keep: Mapping[int, tuple[str, int]] | None = None,
) -> Solved:
    """The best slots that are found in the time, beginning at a plan.

    First as many trials as can be are placed. Then the linear programme says a bound, and how much dearer
    than it each column makes a plan. The solver is given the columns that are little dearer, then more,
    until no column that was left out can be in a better plan. `keep` has the press and step of trials that
    should rather not move.
    """
    search = _Search(shop, seconds=seconds, workers=workers, seed=seed, keep=dict(keep or {}))
    return search.solved(list(start))


class _Search:
    """The search for the best slots."""

    def __init__(
        self, shop: Shop, *, seconds: float, workers: int, seed: int, keep: dict[int, tuple[str, int]]
    ) -> None:
        self.shop, self.keep = shop, keep
        self.seconds, self.workers, self.seed = seconds, workers, seed
        steps = shop.grid.steps
        self.hours = {name: PressHours(clock, steps) for name, clock in shop.grid.clocks.items()}
        self.columns = [
            one
            for name, stages in shop.stages.items()
            for stage in stages
            for one in columns_of(shop, stage, self.hours[name])
        ]

    def solved(self, start: list[Slot]) -> Solved:
        trials = len(self.shop.trials)
        most = trials
        if len(start) < trials:
            start, most = self._most_placed(start)
        if not start:
            return Solved(slots=(), cost=0.0, bound=0.0 if most == 0 else -inf, is_proved=most == 0)
        relaxed = relaxed_plan(self.shop, self.columns, self.hours, unplaced=trials - len(start))
        if relaxed is None:
            return self._within(start, self.columns, least=0.0, beyond=inf, seconds=self.seconds)
        found = Solved(slots=tuple(start), cost=_cost(self.shop, start), bound=relaxed.bound, is_proved=False)
        reach = FIRST_REACH * max(abs(relaxed.bound), 1e-9)
        for part in PARTS:
            kept = [one for one, extra in zip(self.columns, relaxed.extra, strict=True) if extra <= reach]
            found = self._within(
                list(found.slots),
                kept,
                least=relaxed.bound,
                beyond=relaxed.bound + reach,
                seconds=part * self.seconds,
            )
            if found.is_proved or found.cost <= relaxed.bound + reach:
                break
            reach = found.cost - relaxed.bound
        if most > len(found.slots):
            return replace(found, bound=-inf, is_proved=False)
        return found

    def _most_placed(self, start: list[Slot]) -> tuple[list[Slot], int]:
        """Slots for as many trials as can be, and how many no plan can exceed."""
        built = SlotModel(self.shop, self.columns)
        self._keep_fixed(built, start)
        built.model.maximize(sum(built.placed))
        built.hint(start)
        solver = self._solver(built.library, SHARE_OF_PLACING * self.seconds)
        status = solver.solve(built.model)
        if status not in (built.library.OPTIMAL, built.library.FEASIBLE):
            return start, len(self.shop.trials)
        most = floor(solver.best_objective_bound + 1e-6)
        slots = built.slots_in(solver.value)
        return (slots if len(slots) > len(start) else start), most

    def _within(
        self, start: list[Slot], columns: list[Column], *, least: float, beyond: float, seconds: float
    ) -> Solved:
        """The best plan over some columns.

        None costs less than `least`, and none with another column less than `beyond`.
        """
        there = {(one.trial, one.stage, one.begins, one.after) for one in start}
        alone: set[int | None] = {one.trial for one in start}
        alone -= {one.after for one in start}
        known = set(map(id, columns))
        hinted = [one for one in self.columns if id(one) not in known and is_taken(one, there, alone)]
        built = SlotModel(self.shop, [*columns, *hinted])
        money, units = built.money()
        moved = built.moved(self.keep)
        fold = len(moved) + 1
        built.model.add(sum(built.placed) == len(start))
        self._keep_fixed(built, start)
        # What is proved already; whole units of money may be off by one for each amount that counts.
        built.model.add(money >= floor(least * units) - 3 * len(self.shop.trials) - 1)
        built.model.minimize(fold * money + sum(moved))
        built.hint(start)
        solver = self._solver(built.library, seconds)
        status = solver.solve(built.model)
        library = built.library
        slots = tuple(start)
        if status in (library.OPTIMAL, library.FEASIBLE):
            slots = tuple(built.slots_in(solver.value))
        cost = _cost(self.shop, slots)
        # Whole units of money are off by half a unit at most for each amount that counts.
        said = (solver.best_objective_bound - len(moved)) / fold - len(self.shop.trials)
        inside = cost if status == library.OPTIMAL else max(said / units, least, 0.0)
        is_proved = status == library.OPTIMAL and cost <= beyond
        return Solved(slots=slots, cost=cost, bound=min(inside, beyond, cost), is_proved=is_proved)

    def _keep_fixed(self, built: SlotModel, start: Sequence[Slot]) -> None:
        """A fixed slot that can stand is not given up for another trial."""
        for slot in start:
            if self.shop.fixed[slot.trial] is not None:
                built.model.add(built.placed[slot.trial] == 1)

    def _solver(self, library: Any, seconds: float) -> Any:
        solver = library.CpSolver()
        solver.parameters.max_time_in_seconds = seconds
        solver.parameters.num_workers = self.workers
        solver.parameters.random_seed = self.seed
        # Probing and symmetry take longer than the search on thousands of columns, and find little.
        solver.parameters.cp_model_probing_level = 0
        solver.parameters.symmetry_level = 0
        return solver


def _at_once(shop: Shop, slots: Sequence[Slot], *, stay: Collection[int] = ()) -> tuple[Slot, ...]:
    """The same plan with each trial that stands by itself as early as it can at the same cost."""
    now = list(slots)
    for slot in sorted(slots, key=lambda one: one.begins):
        others = [one for one in now if one.trial != slot.trial]
        is_tied = slot.after is not None or any(one.after == slot.trial for one in others)
        shares_gap = not slot.stage.stops and any(one.stage == slot.stage for one in others)
        left = None if is_tied or shares_gap or slot.trial in stay else without(shop, now, slot)
        place = left.first_place(slot.trial, slot.stage) if left is not None else None
        if place is None or place.slot.begins >= slot.begins:
            continue
        moved = [*others, place.slot]
        if _can_stand(shop, moved) and _cost(shop, moved) <= _cost(shop, now) + 1e-9:
            now = moved
    for number in [one.trial for one in sorted(now, key=lambda one: one.begins) if one.trial not in stay]:
        now = _earlier_in_gap(shop, now, next(one for one in now if one.trial == number))
    return tuple(now)


def _earlier_in_gap(shop: Shop, slots: list[Slot], slot: Slot) -> list[Slot]:
    """A trial that shares its gap with others, as early as it can come after the one before it."""
    others = [one for one in slots if one.trial != slot.trial]
    if slot.stage.stops or shop.fixed[slot.trial] is not None:
        return slots
    if not any(one.stage == slot.stage for one in others):
        return slots
    cost, blocks = _cost(shop, slots), {one.slot.trial: one for one in Standing(shop, slots).blocks()}
    first = shop.earliest[slot.trial]
    if slot.after is not None:
        first = max(first, blocks[slot.after].last)
    for begins in range(first, slot.begins):
        if shop.engineer_is_there(slot.trial, begins + blocks[slot.trial].change):
            moved = [*others, replace(slot, begins=begins)]
            if _can_stand(shop, moved) and _cost(shop, moved) <= cost + 1e-9:
                return moved
    return slots


def _can_stand(shop: Shop, slots: Sequence[Slot]) -> bool:
    try:
        refuse_crowd(shop, Standing(shop, slots).blocks())
    except Broken:
        return False
    return True


def _cost(shop: Shop, slots: Sequence[Slot]) -> float:
    return sum(cost_of(shop, one) for one in Standing(shop, slots).blocks())

"""Slots in the words and hours of a plan: counted again step by step, beside every other press."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import inf

from offtool.core.planning.slots.greedy import Standing, without
from offtool.core.planning.slots.ledger import (
    Block,
    PressLedger,
    Rule,
    Slot,
    cost_of,
    late_cost,
    refuse_crowd,
)
from offtool.core.planning.slots.reasons import why_unplaced
from offtool.core.planning.slots.results import Elsewhere, JobLeft, PlacedTrial, SlotPlan
from offtool.core.planning.slots.ways import Shop


def told_plan(
    shop: Shop,
    slots: Sequence[Slot],
    *,
    bound: float,
    is_proved: bool,
    hurried_cost: float,
    hurried_unplaced: int,
) -> SlotPlan:
    """The plan of some slots. Raises Broken for slots that cannot stand."""
    standing = Standing(shop, slots)
    refuse_crowd(shop, standing.blocks())
    placed = [_placed(shop, standing, ledger, at) for ledger in standing.ledgers.values()
              for at in range(len(ledger.blocks))]  # fmt: skip
    cost = sum(cost_of(shop, one) for one in standing.blocks())
    without = sorted(set(range(len(shop.trials))) - {one.trial for one in slots})
    return SlotPlan(
        placed=tuple(sorted(placed, key=lambda one: (one.begins_h, one.press))),
        unplaced=tuple(why_unplaced(shop, standing, number) for number in without),
        jobs=tuple(_jobs(shop, standing)),
        cost=cost,
        bound=bound,
        gap=_gap(cost, bound),
        is_proved=is_proved,
        hurried_cost=hurried_cost,
        hurried_unplaced=hurried_unplaced,
        given=shop.given,
    )


def _gap(cost: float, bound: float) -> float:
    if bound == -inf:
        return 1.0
    return max(cost - max(bound, 0.0), 0.0) / cost if cost > 0 else 0.0


def _placed(shop: Shop, standing: Standing, ledger: PressLedger, at: int) -> PlacedTrial:
    block, grid = ledger.blocks[at], shop.grid
    slot, trial = block.slot, shop.trials[block.slot.trial]
    following = next((one for one in ledger.blocks if one.slot.after == slot.trial), None)
    late = shop.lateness(slot.trial, block.last)
    return PlacedTrial(
        trial=trial.trial,
        tool=trial.tool,
        press=ledger.press,
        begins_h=grid.hours(slot.begins),
        first_shot_h=grid.hours(block.first),
        last_shot_h=grid.hours(block.last),
        ends_h=grid.hours(block.ends),
        stops=slot.stage.before if slot.stage.stops else "",
        before=slot.stage.before if slot.after is None else shop.trials[slot.after].trial,
        after=slot.stage.after if following is None else shop.trials[following.slot.trial].trial,
        stands_h=grid.hours(block.steps) if slot.stage.stops else 0.0,
        lost=block.lost,
        used=block.used,
        late_h=grid.hours(late),
        late_cost=late_cost(shop, block),
        stage=shop.stages[ledger.press].index(slot.stage),
        is_fixed=trial.fixed is not None,
        elsewhere=tuple(_elsewhere(shop, standing, block)),
    )


def _elsewhere(shop: Shop, standing: Standing, block: Block) -> Iterator[Elsewhere]:
    """Each other press that may be offered, while all others stay where they are."""
    trial = shop.trials[block.slot.trial]
    others = [press for press in trial.presses if press != block.slot.stage.press]
    if trial.fixed is not None or not others:
        return
    left = without(shop, [one.slot for one in standing.blocks()], block.slot)
    if left is None:
        return
    saved = _all(shop, standing) - _all(shop, left)
    for press in others:
        broken: set[Rule] = set()
        place = left.best_place(block.slot.trial, press, broken)
        if place is None:
            yield Elsewhere(press=press, more=None, because=tuple(sorted(one.value for one in broken)))
        else:
            yield Elsewhere(press=press, more=place.cost - saved)


def _all(shop: Shop, standing: Standing) -> float:
    return sum(cost_of(shop, one) for one in standing.blocks())


def _jobs(shop: Shop, standing: Standing) -> Iterator[JobLeft]:
    for press, ledger in standing.ledgers.items():
        clock = shop.grid.clocks[press]
        for job, times in zip(clock.jobs, ledger.jobs, strict=True):
            told = job.told
            begins = clock.step_of(times.begins)
            if begins is None or (times.begins == job.begins):
                begins_h = told.begins_h
            else:
                begins_h = shop.grid.hours(begins)
            ends_h = told.ends_h
            is_moved = times.ends is not None and times.ends != job.begins + (job.length or 0)
            if is_moved and times.ends is not None:
                ends = clock.step_of(times.ends, is_end=True)
                ends_h = shop.grid.hours(ends) if ends is not None else None
            yield JobLeft(
                job=job.name,
                press=press,
                told_begins_h=told.begins_h,
                told_ends_h=told.ends_h,
                begins_h=begins_h,
                ends_h=ends_h,
                stands_h=shop.grid.hours(times.stands),
                may_stop=told.may_stop,
            )


def slots_of(shop: Shop, plan: SlotPlan) -> list[Slot]:
    """The slots of a plan that was told."""
    slots = []
    for one in plan.placed:
        stage = shop.stages[one.press][one.stage]
        leader = one.before if any(other.trial == one.before for other in plan.placed) else ""
        slots.append(
            Slot(
                trial=shop.number_of(one.trial),
                stage=stage,
                begins=shop.grid.nearest(one.begins_h),
                after=shop.number_of(leader) if leader else None,
            )
        )
    return slots

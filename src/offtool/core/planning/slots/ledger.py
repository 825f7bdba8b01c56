"""Whether slots can stand as they are put, and what they cost: counted step by step, without a solver."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

import numpy as np

from offtool.core.planning.slots.grid import Opening, PressClock
from offtool.core.planning.slots.ways import Shop, Stage, Way


@dataclass(frozen=True, slots=True, kw_only=True)
class Slot:
    """A trial put on a press: the step at which the change begins, and the trial it comes straight after."""

    trial: int
    stage: Stage
    begins: int
    after: int | None = None


LONGEST_CHAIN = 3
"""So many trials may go straight after one another while a job stands; then it has its press back."""


class Rule(StrEnum):
    """What can stand against a slot."""

    TOOL = "the tool is not there yet"
    OPEN = "it does not fit into one stretch of the press's working hours"
    ENGINEER = "no engineer is there for all of it"
    JOB = "the job that runs then may not be stopped, or another begins"
    TRIAL = "another trial has the press then"
    FIXED = "its place is fixed elsewhere"
    ORDER = "its tool is not free: the trials of one tool follow one another in order"


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """A slot with its times, in steps; the ends of the press's time in working steps."""

    slot: Slot
    way: Way
    change: int
    back: int
    used: float
    worked: int
    is_followed: bool

    @property
    def first(self) -> int:
        """Step of the first shot."""
        return self.slot.begins + self.change

    @property
    def last(self) -> int:
        """Step after the last shot."""
        return self.first + self.way.run

    @property
    def ends(self) -> int:
        """Step at which the press is given back."""
        return self.last + self.back

    @property
    def steps(self) -> int:
        return self.change + self.way.run + self.back

    @property
    def lost(self) -> float:
        return self.way.stage.margin * self.steps


@dataclass(frozen=True, slots=True, kw_only=True)
class JobTimes:
    """A job as the plan leaves it, in working steps; `ends` is None where it runs past the plan."""

    begins: int
    ends: int | None
    stands: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PressLedger:
    """What stands on one press, in order."""

    press: str
    blocks: tuple[Block, ...]
    jobs: tuple[JobTimes, ...]


class Broken(Exception):
    """A slot that cannot stand, with the rule that forbids it."""

    def __init__(self, rule: Rule, trial: int) -> None:
        self.rule, self.trial = rule, trial
        super().__init__(rule.value)


def press_ledger(shop: Shop, press: str, slots: Sequence[Slot]) -> PressLedger:
    """The slots of one press with their times. Raises Broken."""
    clock = shop.grid.clocks[press]
    ordered = sorted(slots, key=lambda one: one.begins)
    followed = {one.after for one in ordered}
    blocks = tuple(_block(shop, clock, one, followed) for one in ordered)
    for one in blocks:
        _refuse_alone(shop, clock, one)
    _refuse_order(blocks)
    return PressLedger(press=press, blocks=blocks, jobs=_jobs(clock, blocks))


def refuse_crowd(shop: Shop, blocks: Iterable[Block]) -> None:
    """Raise Broken where more trials run at once than engineers are there, or a tool is wanted twice."""
    blocks = list(blocks)
    _refuse_tool_twice(shop, blocks)
    crowd = np.zeros(shop.grid.steps, dtype=np.int64)
    for one in blocks:
        if shop.trials[one.slot.trial].needs_engineer:
            crowd[one.first : one.last] += 1
            if np.any(crowd[one.first : one.last] > shop.grid.engineers[one.first : one.last]):
                raise Broken(Rule.ENGINEER, one.slot.trial)


def _refuse_tool_twice(shop: Shop, blocks: Iterable[Block]) -> None:
    """The change to a trial begins when those before it have given their tool back."""
    by_trial = {one.slot.trial: one for one in blocks}
    for number, one in by_trial.items():
        for earlier in shop.comes_after[number]:
            if earlier in by_trial and by_trial[earlier].ends > one.slot.begins:
                raise Broken(Rule.ORDER, number)


def cost_of(shop: Shop, block: Block) -> float:
    """Contribution lost, what the changes use up, and lateness of one slot."""
    return block.lost + block.used + late_cost(shop, block)


def late_cost(shop: Shop, block: Block) -> float:
    """What it costs that the last shot is after the day it is due."""
    return shop.late[block.slot.trial] * shop.lateness(block.slot.trial, block.last)


def _block(shop: Shop, clock: PressClock, slot: Slot, followed: set[int | None]) -> Block:
    way = shop.way(slot.trial, slot.stage)
    is_followed = slot.trial in followed
    change, used = way.change, way.used_there
    if slot.after is not None:
        pair = shop.pair(slot.after, slot.trial, slot.stage)
        if pair is None:
            raise Broken(Rule.TRIAL, slot.trial)
        change, used = pair.change, pair.used
    return Block(
        slot=slot,
        way=way,
        change=change,
        back=0 if is_followed else way.back,
        used=used + (0.0 if is_followed else way.used_back),
        worked=clock.worked(slot.begins),
        is_followed=is_followed,
    )


def _refuse_alone(shop: Shop, clock: PressClock, block: Block) -> None:
    """Rules that no other slot takes part in."""
    number, begins = block.slot.trial, block.slot.begins
    fixed = shop.trials[number].fixed
    if fixed is not None and (fixed.press != clock.name or shop.fixed[number] != begins):
        raise Broken(Rule.FIXED, number)
    if fixed is None and begins < shop.earliest[number]:
        raise Broken(Rule.TOOL, number)
    opening: Opening | None = clock.opening_at(begins)
    if opening is None or block.ends > opening.ends:
        raise Broken(Rule.OPEN, number)
    if not shop.engineer_is_there(number, block.first):
        raise Broken(Rule.ENGINEER, number)


def _refuse_order(blocks: Sequence[Block]) -> None:
    """One after the other; what follows another does so at once, or in a gap with none between."""
    for one, following in pairwise(blocks):
        if one.worked + one.steps > following.worked:
            raise Broken(Rule.TRIAL, following.slot.trial)
    length = 1
    for number, one in enumerate(blocks):
        length = 1 if one.slot.after is None else length + 1
        if one.slot.stage.stops and length > LONGEST_CHAIN:
            raise Broken(Rule.TRIAL, one.slot.trial)
        if one.slot.after is None:
            if not one.slot.stage.stops and any(b.slot.stage == one.slot.stage for b in blocks[:number]):
                raise Broken(Rule.TRIAL, one.slot.trial)
            continue
        leader = blocks[number - 1] if number else None
        if leader is None or leader.slot.trial != one.slot.after or leader.slot.stage != one.slot.stage:
            raise Broken(Rule.TRIAL, one.slot.trial)
        if one.slot.stage.stops and leader.worked + leader.steps != one.worked:
            raise Broken(Rule.TRIAL, one.slot.trial)


def _jobs(clock: PressClock, blocks: Sequence[Block]) -> tuple[JobTimes, ...]:
    """Each job where the plan leaves it. Raises Broken for a block that lies outside its job or gap."""
    jobs: list[JobTimes] = []
    ended: int | None = 0
    for index, job in enumerate(clock.jobs):
        begins = max(job.begins, ended) if ended is not None else job.begins
        _refuse_gap(blocks, index, ended, begins)
        inside = [one for one in blocks if one.slot.stage.stops and one.slot.stage.index == index]
        stands = sum(one.steps for one in inside)
        ended = None if job.length is None else begins + job.length + stands
        for one in inside:
            if one.worked < begins or (ended is not None and one.worked + one.steps > ended):
                raise Broken(Rule.JOB, one.slot.trial)
        jobs.append(JobTimes(begins=begins, ends=ended, stands=stands))
    _refuse_gap(blocks, len(clock.jobs), ended, None)
    return tuple(jobs)


def _refuse_gap(blocks: Sequence[Block], index: int, ended: int | None, begins: int | None) -> None:
    for one in blocks:
        if one.slot.stage.stops or one.slot.stage.index != index:
            continue
        is_early = ended is None or one.worked < ended
        if is_early or (begins is not None and one.worked + one.steps > begins):
            raise Broken(Rule.JOB, one.slot.trial)

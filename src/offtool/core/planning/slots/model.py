"""The plan of trials as a choice of columns, exact to the step: one for each trial, and room for all of them.

On a press, time is counted in working steps; jobs begin and end where the trials before and in them leave
them. Engineers are counted on the wall clock.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from offtool.core.planning.slots.columns import Column
from offtool.core.planning.slots.ledger import Slot
from offtool.core.planning.slots.ways import Shop, Stage
from offtool.core.values import OfftoolError

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

UNITS = 1_000_000
"""Money is counted in so many parts of the dearest single amount, so that the currency plays no part."""


def solver_library() -> Any:
    """The solver's module. Raises OfftoolError where it is not installed."""
    try:
        from ortools.sat.python import cp_model
    except ImportError as error:
        raise OfftoolError(
            "planning slots needs the solver, which is not installed", remedy="pip install 'offtool[optim]'"
        ) from error
    return cp_model


class SlotModel:
    """The programme over some columns, with what is needed to read a plan from its solution."""

    def __init__(self, shop: Shop, columns: Sequence[Column]) -> None:
        self.shop, self.columns = shop, columns
        self.library = solver_library()
        self.model: cp_model.CpModel = self.library.CpModel()
        self.taken = [self._flag() for _ in columns]
        self.placed = [self._flag() for _ in shop.trials]
        self.last: dict[tuple[Stage, int], Any] = {}
        self._by_stage: dict[Stage, list[tuple[Column, Any]]] = {}
        for one, flag in self.all():
            self._by_stage.setdefault(one.stage, []).append((one, flag))
        self._add_trials()
        for stage, held in self._by_stage.items():
            if not stage.stops:
                self._add_gap(stage, held)
        for press in shop.grid.clocks:
            self._add_press(press)
        self._add_engineers()
        self._add_tools()

    def all(self) -> Iterator[tuple[Column, Any]]:
        """Each column with its flag."""
        return zip(self.columns, self.taken, strict=True)

    def _flag(self) -> Any:
        return self.model.new_bool_var("")

    def _add_trials(self) -> None:
        """Each trial is on one column, or on none."""
        by_trial: list[list[Any]] = [[] for _ in self.shop.trials]
        for one, flag in self.all():
            for number in one.trials:
                by_trial[number].append(flag)
        for flags, placed in zip(by_trial, self.placed, strict=True):
            self.model.add_exactly_one([*flags, placed.Not()])

    def _add_gap(self, stage: Stage, held: Sequence[tuple[Column, Any]]) -> None:
        """The trials of a gap follow one another: one head, each leader there and done, one way back."""
        model, trials = self.model, {one.trials[0] for one, _ in held}
        model.add_at_most_one(flag for one, flag in held if one.leader is None)
        here = {number: self._flag() for number in trials}
        for number in trials:
            mine = [(one, flag) for one, flag in held if one.trials[0] == number]
            model.add(sum(flag for _, flag in mine) == here[number])
            led = [flag for one, flag in held if one.leader == number]
            last = self.last[stage, number] = self._flag()
            # One after it, or it is the last: at most one, since both are flags.
            model.add(sum(led) + last == here[number])
            for one, flag in mine:
                if not one.may_be_last:
                    model.add_implication(flag, last.Not())
            self._add_order(number, mine, [(one, flag) for one, flag in held if one.leader == number])
        for one, flag in held:
            if one.leader is not None and one.leader not in trials:
                model.add(flag == 0)

    def _add_order(
        self, number: int, mine: Sequence[tuple[Column, Any]], led: Sequence[tuple[Column, Any]]
    ) -> None:
        """What comes after a trial begins after it is done."""
        if not led:
            return
        done = sum(one.gone * flag for one, flag in mine)
        for follower in {one.trials[0] for one, _ in led}:
            theirs = [(one, flag) for one, flag in led if one.trials[0] == follower]
            far = max(one.gone for one, _ in mine)
            begins = sum((one.worked - far) * flag for one, flag in theirs)
            self.model.add(begins + far >= done)

    def _add_press(self, press: str) -> None:
        """One column at a time, and each in its job or gap as that is left by the others."""
        clock = self.shop.grid.clocks[press]
        held = [(one, flag) for one, flag in self.all() if one.stage.press == press]
        if not held:
            return
        for step in {one.worked for one, _ in held}:
            covers = [flag for one, flag in held if one.worked <= step < one.gone]
            if len(covers) > 1:
                self.model.add_at_most_one(covers)
        ended: Any = 0
        for index, job in enumerate(clock.jobs):
            begins = self._job_begins(job.begins, ended, clock.all_worked)
            self._keep_gap(press, index, ended, begins)
            inside = self._of(press, index, stops=True)
            for one, flag in inside:
                if not isinstance(begins, int) or one.worked < begins:
                    self.model.add(begins <= one.worked).only_enforce_if(flag)
            if job.length is None:
                return
            ended = begins + job.length + sum(one.steps * flag for one, flag in inside)
            for one, flag in inside:
                if one.gone > job.begins + job.length:
                    self.model.add(ended >= one.gone).only_enforce_if(flag)
        self._keep_gap(press, len(clock.jobs), ended, None)

    def _of(self, press: str, index: int, *, stops: bool) -> list[tuple[Column, Any]]:
        for stage, held in self._by_stage.items():
            if (stage.press, stage.index, stage.stops) == (press, index, stops):
                return held
        return []

    def _job_begins(self, told: int, ended: Any, worked: int) -> Any:
        """A job begins when it is told to, or when the one before it ends."""
        if isinstance(ended, int):
            return max(told, ended)
        begins = self.model.new_int_var(0, 50 * worked + 1, "")
        self.model.add_max_equality(begins, [told, ended])
        return begins

    def _keep_gap(self, press: str, index: int, ended: Any, begins: Any) -> None:
        """A gap lies after the job before it as that is left; its last is back before the next job."""
        for one, flag in self._of(press, index, stops=False):
            if not isinstance(ended, int) or one.worked < ended:
                self.model.add(ended <= one.worked).only_enforce_if(flag)
            if begins is not None and not isinstance(begins, int):
                back = self.shop.way(one.trials[0], one.stage).back
                last = self.last[one.stage, one.trials[0]]
                self.model.add(begins >= one.gone).only_enforce_if(flag)
                self.model.add(begins >= one.gone + back).only_enforce_if(flag, last)

    def _add_engineers(self) -> None:
        """No more runs at once than engineers are there."""
        there = self.shop.grid.engineers
        runs = [
            (first, last, flag)
            for one, flag in self.all()
            for number, (first, last) in zip(one.trials, one.runs, strict=True)
            if self.shop.trials[number].needs_engineer
        ]
        fewer = (np.flatnonzero(np.diff(there) < 0) + 1).tolist()
        for step in sorted({first for first, _, _ in runs} | set(fewer)):
            covers = [flag for first, last, flag in runs if first <= step < last]
            if len(covers) > there[step]:
                self.model.add(sum(covers) <= int(there[step]))

    def _add_tools(self) -> None:
        """One tool's trials in order: one has a place only if those before it have, and begins after."""
        for number, before in enumerate(self.shop.comes_after):
            placed, begins = self.placed[number], self._begins(number)
            for earlier in before:
                if self.shop.fixed[number] is None:
                    self.model.add_implication(placed, self.placed[earlier])
                self.model.add(self._given_back(earlier) <= begins).only_enforce_if(placed)

    def _begins(self, number: int) -> Any:
        """The step at which the change to a trial begins."""
        return sum(
            one.begins[one.trials.index(number)] * flag for one, flag in self.all() if number in one.trials
        )

    def _given_back(self, number: int) -> Any:
        """The step at which the tool of a trial is free: with the last shot, or with the way back."""
        free: Any = 0
        for one, flag in self.all():
            if number in one.trials:
                last = one.runs[one.trials.index(number)][1]
                ends = one.stage.stops and one.trials[-1] == number
                free += (last + (self.shop.way(number, one.stage).back if ends else 0)) * flag
        for (stage, held), flag in self.last.items():
            if held == number:
                free += self.shop.way(number, stage).back * flag
        return free

    def money(self) -> tuple[Any, float]:
        """All costs in whole units, and the units in one of the currency."""
        amounts = [(one.cost, flag) for one, flag in self.all()]
        amounts += [
            (self.shop.way(number, stage).used_back, flag) for (stage, number), flag in self.last.items()
        ]
        dearest = max((abs(amount) for amount, _ in amounts), default=0.0)
        units = UNITS / dearest if dearest > 0 else 1.0
        return sum(round(amount * units) * flag for amount, flag in amounts), units

    def moved(self, keep: dict[int, tuple[str, int]]) -> list[Any]:
        """For each trial that should rather not move, whether it does."""
        stays: dict[int, list[Any]] = {number: [] for number in keep}
        for one, flag in self.all():
            for number, begins in zip(one.trials, one.begins, strict=True):
                if keep.get(number) == (one.stage.press, begins):
                    stays[number].append(flag)
        return [1 - sum(flags) for flags in stays.values()]

    def hint(self, slots: Sequence[Slot]) -> None:
        """Begin the search at a plan."""
        there = {(one.trial, one.stage, one.begins, one.after) for one in slots}
        alone: set[int | None] = {one.trial for one in slots}
        alone -= {one.after for one in slots}
        for one, flag in self.all():
            self.model.add_hint(flag, is_taken(one, there, alone))
        for number, flag in enumerate(self.placed):
            self.model.add_hint(flag, any(one.trial == number for one in slots))

    def slots_in(self, value: Any) -> list[Slot]:
        """The plan of a solution; `value` says what a variable is in it."""
        slots: list[Slot] = []
        for one, flag in self.all():
            if value(flag):
                slots += one.slots()
        return slots


def is_taken(one: Column, there: set[tuple[int, Stage, int, int | None]], alone: set[int | None]) -> bool:
    """Whether a plan takes a column: all of its trials as they stand there, and none after the last."""
    leaders = (one.leader, *one.trials)
    is_all = all(
        (number, one.stage, begins, leader) in there
        for leader, number, begins in zip(leaders, one.trials, one.begins, strict=False)
    )
    return is_all and (not one.stage.stops or one.trials[-1] in alone)

"""An order of changes, with ties: which changes came together, one after the other, and which were undone.

The steel goes through states 0, 1, 2 … K. Between two states lies a step, in which one or several changes
come together. A change is one of a column: it comes in some step, and may be undone in a later one.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import lgamma, log

import numpy as np
from numpy.typing import NDArray

NEVER = 1 << 20
"""The step of what does not happen."""

Whole = NDArray[np.int64]
Numbers = NDArray[np.float64]


@dataclass(slots=True)
class Changes:
    """The step of each column's change (from 1), of its undoing (or NEVER), and how many steps there are."""

    came: Whole
    undone: Whole
    steps: int

    def copy(self) -> Changes:
        return Changes(self.came.copy(), self.undone.copy(), self.steps)

    def happened(self) -> NDArray[np.bool_]:
        """States × columns: whether the change of the column is in the steel of the state."""
        state = np.arange(self.steps + 1)[:, None]
        return (self.came <= state) & (state < self.undone)

    def sizes(self) -> Whole:
        """How many changes each step holds, from step 1."""
        steps = np.concatenate([self.came, self.undone])
        return np.bincount(steps[steps < NEVER], minlength=self.steps + 1)[1:]

    def take_out(self, column: int) -> tuple[int, int | None]:
        """Leave a column out; a step that held nothing else is closed. Returns the slots where it was."""
        was = (int(self.came[column]), int(self.undone[column]))
        self.came[column] = self.undone[column] = NEVER
        held = np.concatenate([[0], self.sizes() > 0])
        number = np.cumsum(held)
        self.steps = int(number[-1])
        for steps in (self.came, self.undone):
            here = steps < NEVER
            steps[here] = number[steps[here]]
        came, undone = (int(2 * number[step] - held[step]) if step < NEVER else None for step in was)
        return came or 0, undone

    def put_in(self, column: int, slot: int, undone_slot: int | None = None) -> None:
        """A column that was out, at a slot of the order, undone at a later one."""
        step = self._open(slot)
        shift = 2 * (slot % 2 == 0)
        self.came[column] = step
        if undone_slot is not None:
            self.undone[column] = self._open(undone_slot + shift)

    def _open(self, slot: int) -> int:
        """The step of a slot; a slot between two steps is made a step."""
        if slot % 2:
            return (slot + 1) // 2
        step = slot // 2 + 1
        for steps in (self.came, self.undone):
            steps[(steps >= step) & (steps < NEVER)] += 1
        self.steps += 1
        return step


@dataclass(frozen=True, slots=True)
class Slots:
    """Where a change can be put into an order of K steps: before, between and after them, and into each.

    Slot 2g lies behind step g and makes a new step; slot 2k - 1 is step k itself. A change at a slot finds
    the states up to `last_before` without it and those from `first_after` on with it.
    """

    last_before: Whole
    first_after: Whole
    is_new: NDArray[np.bool_]
    starts: Whole
    """Pairs of slots for a change and its undoing, with at least one state between them."""
    ends: Whole


@lru_cache(maxsize=400)
def slots_of(steps: int) -> Slots:
    """The slots of an order of so many steps."""
    slot = np.arange(2 * steps + 1)
    last_before, first_after = slot // 2, (slot + 1) // 2
    start, end = np.nonzero(np.triu(last_before[None, :] >= first_after[:, None]))
    return Slots(last_before, first_after, slot % 2 == 0, start, end)


@dataclass(frozen=True, slots=True, kw_only=True)
class Prior:
    """How probable an order is before anything is seen.

    A change falls into the step of the one before it with probability `together`, every order of the changes
    is equally probable, and each detail that stays is undone later, the more readily the larger `repaired`.
    """

    together: float
    repaired: float

    @property
    def undone(self) -> float:
        """Log-odds of an undoing; the 2 is for its being behind its change in half of all orders."""
        return log(2 * self.repaired / (1 - self.repaired)) if self.repaired else -np.inf

    def of_slots(self, sizes: Whole) -> Numbers:
        """Log-prior of putting one change into each slot, but for what is the same for all."""
        found = np.full(2 * len(sizes) + 1, log(1 - self.together))
        found[1::2] = np.log(sizes + 1.0) + log(self.together)
        return found

    def of(self, changes: Changes) -> float:
        """Log-prior of a whole order, but for a constant."""
        sizes = changes.sizes()
        count, undone = int(sizes.sum()), int((changes.undone < NEVER).sum())
        return (
            sum(lgamma(size + 1) for size in sizes)
            - lgamma(count + 1)
            + (count - changes.steps) * log(self.together)
            + changes.steps * log(1 - self.together)
            + (undone * self.undone if undone else 0.0)
        )

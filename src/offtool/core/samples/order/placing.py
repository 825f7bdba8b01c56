"""How well the readings agree with each place that one column's change can have among the others.

The state of each sample is summed out: every state of the steel is equally probable for it. All places of
one change cost no more than one, since a step further moves one state from one sum into the other.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import log

import numpy as np
from numpy.typing import NDArray

from offtool.core.samples.order.changes import NEVER, Changes, Numbers, Prior, Slots, Whole, slots_of
from offtool.core.samples.order.lot import Columns

SMALLEST = 1e-70
"""Four of them multiplied are still a number."""


def log_by_state(columns: Columns, changes: Changes) -> Numbers:
    """Samples × states: log-likelihood of all readings of the sample, were it made in the state."""
    worth = columns.after - columns.before
    found: Numbers = columns.before.sum(axis=1)[:, None] + worth @ changes.happened().T.astype(float)
    return found


def log_likelihood(columns: Columns, changes: Changes) -> float:
    """Of all readings, the states of the samples summed out."""
    by_state = log_by_state(columns, changes)
    highest = by_state.max(axis=1)
    sums = np.exp(by_state - highest[:, None]).sum(axis=1)
    return float((highest + np.log(sums)).sum() - columns.samples * log(changes.steps + 1))


@dataclass(frozen=True, slots=True)
class Places:
    """The places that a column left out of an order can have: their log-probabilities, but for a constant."""

    slots: Slots
    once_all: Numbers
    """One for each slot: it comes there and stays."""
    by_slot: Numbers
    states: _States
    undone_prior: float

    @classmethod
    def of(cls, columns: Columns, changes: Changes, prior: Prior, column: int) -> Places:
        """The places of a column that is out of the order."""
        slots, states = slots_of(changes.steps), _States.of(columns, changes, column)
        by_slot = prior.of_slots(changes.sizes())
        allowed = _allowed(columns, changes, column, slots)
        count = int((changes.came < NEVER).sum() + (changes.undone < NEVER).sum())
        return cls(
            slots=slots,
            once_all=np.where(allowed, by_slot + states.once(slots), -np.inf),
            by_slot=by_slot,
            states=states,
            undone_prior=prior.undone - log(count + 2),
        )

    def undone(self, starts: Whole, ends: Whole) -> Numbers:
        """One for each pair of slots: it comes at the first and is undone at the second."""
        found: Numbers = self.undone_prior + self.by_slot[starts] + self.by_slot[ends]
        return found + self.states.undone(self.slots, starts, ends)


@dataclass(frozen=True, slots=True)
class _States:
    """States × samples: their likelihoods without the column, summed from either end."""

    one: Numbers
    up_to: Numbers
    down_to: Numbers
    before: Numbers
    after: Numbers

    @classmethod
    def of(cls, columns: Columns, changes: Changes, column: int) -> _States:
        by_state = log_by_state(columns, changes).T
        one = np.exp(by_state - by_state.max(axis=0))
        worth = columns.after[:, column] - columns.before[:, column]
        top = np.maximum(worth, 0.0)
        return cls(
            one=one,
            up_to=np.cumsum(one, axis=0),
            down_to=np.cumsum(one[::-1], axis=0)[::-1],
            before=np.exp(-top),
            after=np.exp(worth - top),
        )

    def once(self, slots: Slots) -> Numbers:
        sums = self.before * self.up_to[slots.last_before] + self.after * self.down_to[slots.first_after]
        return self._log(sums, len(self.one) + slots.is_new)

    def undone(self, slots: Slots, starts: Whole, ends: Whole) -> Numbers:
        first, last = slots.first_after[starts], slots.last_before[ends]
        outside = self.up_to[slots.last_before[starts]] + self.down_to[slots.first_after[ends]]
        within = np.maximum(self.up_to[last] - self.up_to[first], 0.0) + self.one[first]
        states = len(self.one) + slots.is_new[starts].astype(int) + slots.is_new[ends]
        return self._log(self.before * outside + self.after * within, states)

    def _log(self, sums: Numbers, states: Whole) -> Numbers:
        found: Numbers = _log_of_product(sums) - self.one.shape[1] * np.log(states)
        return found


def _log_of_product(factors: Numbers) -> Numbers:
    """Row by row. Four samples share a logarithm, which costs more than their products."""
    quarter = factors.shape[1] // 4
    factors = np.maximum(factors, SMALLEST)
    one, two, three, four = (factors[:, place * quarter : (place + 1) * quarter] for place in range(4))
    found: Numbers = np.log(one * two * three * four).sum(axis=1)
    found += np.log(factors[:, 4 * quarter :]).sum(axis=1)
    return found


def _allowed(columns: Columns, changes: Changes, column: int, slots: Slots) -> NDArray[np.bool_]:
    """A grade is reached with or behind the grade below it, and with or before the grade above."""
    allowed = np.ones(len(slots.is_new), dtype=bool)
    lower, upper = columns.lower[column], columns.upper[column]
    if lower >= 0 and changes.came[lower] < NEVER:
        allowed &= slots.first_after >= changes.came[lower]
    if upper >= 0 and changes.came[upper] < NEVER:
        allowed &= slots.last_before < changes.came[upper]
    return allowed

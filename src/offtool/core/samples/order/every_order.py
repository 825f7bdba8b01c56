"""All orders of few changes, each with its posterior probability."""

from __future__ import annotations

from collections.abc import Sequence
from math import log

import numpy as np
from scipy.special import logsumexp

from offtool.core.samples.order.changes import NEVER, Changes, Numbers, Prior, slots_of
from offtool.core.samples.order.lot import Columns
from offtool.core.samples.order.sums import Way

MOST_PLAIN = 7
"""So many columns have 47,293 orders with ties."""
MOST_REPAIRED = 3
"""With undoings, so many have 818 orders, and a fourth makes them far more than can be gone through."""
NEGLIGIBLE = 1e-6
AT_ONCE = 2_000


def has_few_orders(columns: Columns, prior: Prior) -> bool:
    """Whether all orders can be gone through in a moment."""
    repaired = prior.repaired > 0 and bool(columns.may_be_repaired.any())
    return columns.count <= (MOST_REPAIRED if repaired else MOST_PLAIN)


def every_order(columns: Columns, prior: Prior) -> list[Changes]:
    """Every order of the columns' changes, once."""
    nowhere = np.full(columns.count, NEVER)
    found = [Changes(nowhere, nowhere.copy(), 0)]
    for column in range(columns.count):
        undone = prior.repaired > 0 and bool(columns.may_be_repaired[column])
        found = [longer for shorter in found for longer in _with(shorter, column, undone)]
    return [one for one in found if _grades_grow(columns, one)]


def _with(shorter: Changes, column: int, undone: bool) -> list[Changes]:
    slots = slots_of(shorter.steps)
    placed: list[tuple[int, int | None]] = [(slot, None) for slot in range(len(slots.is_new))]
    if undone:
        placed += zip(slots.starts.tolist(), slots.ends.tolist(), strict=True)
    found = []
    for slot, end in placed:
        longer = shorter.copy()
        longer.put_in(column, slot, end)
        found.append(longer)
    return found


def _grades_grow(columns: Columns, changes: Changes) -> bool:
    return all(
        lower < 0 or changes.came[lower] <= changes.came[column] for column, lower in enumerate(columns.lower)
    )


def weigh(columns: Sequence[Columns], prior: Prior, orders: Sequence[Changes]) -> tuple[list[Way], Numbers]:
    """The ways that count, with their posterior probabilities; `columns` as they may have been misread."""
    before = np.array([prior.of(one) for one in orders])
    logs = np.array([before + _log_likelihoods(one, orders) for one in columns])
    weights = np.exp(logs - logs.max())
    chosen = np.argwhere(weights > NEGLIGIBLE * weights.max())
    kept = weights[chosen[:, 0], chosen[:, 1]]
    return [Way(columns[rate], orders[order]) for rate, order in chosen.tolist()], kept / kept.sum()


def _log_likelihoods(columns: Columns, orders: Sequence[Changes]) -> Numbers:
    """Of many orders, those of as many steps at once."""
    steps = np.array([one.steps for one in orders])
    found = np.empty(len(orders))
    worth, nothing = (columns.after - columns.before).T, columns.before.sum(axis=1)
    for count in np.unique(steps).tolist():
        here = np.flatnonzero(steps == count)
        for part in np.array_split(here, len(here) // AT_ONCE + 1):
            happened = np.array([orders[one].happened() for one in part.tolist()], dtype=float)
            by_state = logsumexp(nothing + happened @ worth, axis=1)
            found[part] = by_state.sum(axis=1) - columns.samples * log(count + 1)
    return found

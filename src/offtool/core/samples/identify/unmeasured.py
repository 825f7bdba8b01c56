"""Where a size can have stood in a state of the tool in which nobody measured it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from offtool.core.samples.identify.hypotheses import Make

MOVED = 0.3
"""How many of its sizes one change of steel moves; common practice, no source."""
MOVED_TWICE = 0.1
"""How often a size that moved between two states was moved in several steps; our own."""
MOVE_SDS = 8.0
"""A cut that is worth making moves a size by many standard deviations of its parts; our own."""

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Places:
    """Up to three places for every make and cavity, each with a share and a spread of its own."""

    centres: tuple[Array, ...]
    spreads: tuple[Array, ...]
    shares: tuple[Array, ...]


def places_of(means: Array, makes: Sequence[Make], usual_sd: float) -> Places:
    """Where every make's size stands: in one place where its state was measured, else in several.

    Between two measured states a cut falls into either step as their distance in states says, or was made in
    parts. Before the first or after the last each change of steel moves the size with a probability of its
    own, by as much as the others moved it.
    """
    if np.isfinite(means).all() or not np.isfinite(means).any():
        return Places((means,), (np.zeros_like(means),), (np.ones_like(means),))
    before, after, share, steps = neighbours(means, makes)
    known = means[np.isfinite(means)]
    move = float(np.hypot(known.std(), MOVE_SDS * usual_sd))
    is_end = steps > 0
    is_between = np.isnan(means) & ~is_end
    moved = np.where(is_end, 1 - (1 - MOVED) ** steps, np.where(is_between, MOVED_TWICE, 0.0))
    spread = np.where(is_end, move * np.sqrt(np.maximum(steps, 1)), np.abs(after - before) / np.sqrt(12))
    none = np.zeros_like(means)
    return Places(
        (before, after, (before + after) / 2),
        (none, none, np.where(np.isnan(spread), 0.0, spread)),
        ((1 - moved) * (1 - share), (1 - moved) * share, moved),
    )


def neighbours(means: Array, makes: Sequence[Make]) -> tuple[Array, Array, Array, Array]:
    """For every make and cavity: the size before, the size after, how probable the one after is, and how many
    changes of steel lie between it and the only state beside it.

    Where the state was measured both are its own, and no change lies between. A cut falls between two states
    with equal probability at each change of steel.
    """
    before, after = means.copy(), means.copy()
    share, steps = np.zeros_like(means), np.zeros_like(means)
    tools = np.array([make.tool for make in makes])
    ordinals = np.array([make.ordinal for make in makes], dtype=float)
    for tool in dict.fromkeys(tools):
        rows = np.flatnonzero(tools == tool)
        for column in range(means.shape[1]):
            known = rows[np.isfinite(means[rows, column])]
            if known.size in (0, rows.size):
                continue
            at, values = _by_state(ordinals[known], means[known, column])
            for row in rows[np.isnan(means[rows, column])]:
                place = int(np.searchsorted(at, ordinals[row], side="right"))
                low, high = max(place - 1, 0), min(place, at.size - 1)
                if at[low] == ordinals[row]:
                    high = low
                before[row, column], after[row, column] = values[low], values[high]
                gap = at[high] - at[low]
                share[row, column] = (ordinals[row] - at[low]) / gap if gap > 0 else 0.0
                steps[row, column] = abs(ordinals[row] - at[low]) if gap == 0 else 0.0
    return before, after, share, steps


def _by_state(ordinals: Array, values: Array) -> tuple[Array, Array]:
    """One mean a state, in order: a state may have run several times."""
    at, which = np.unique(ordinals, return_inverse=True)
    return at, np.bincount(which, weights=values) / np.bincount(which)

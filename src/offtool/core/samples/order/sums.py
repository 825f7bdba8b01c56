"""What weighted orders say together: which sample is earlier, which detail came first."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from offtool.core.samples.order.changes import NEVER, Changes, Numbers
from offtool.core.samples.order.lot import Columns
from offtool.core.samples.order.placing import log_by_state


@dataclass(frozen=True, slots=True)
class Way:
    """One way the readings can have come about: an order of changes, and how often the lot was misread."""

    columns: Columns
    changes: Changes

    def probability_of_states(self) -> Numbers:
        """Samples × states, each row summing to one."""
        by_state = log_by_state(self.columns, self.changes)
        by_state = np.exp(by_state - by_state.max(axis=1, keepdims=True))
        found: Numbers = by_state / by_state.sum(axis=1, keepdims=True)
        return found


@dataclass(slots=True)
class Sums:
    """Posterior means over orders."""

    earlier: Numbers
    """Samples × samples: probability that the first one's state is earlier."""
    same: Numbers
    there: Numbers
    """Samples × columns: probability that the change is in the sample's steel."""
    came_first: Numbers
    """Columns × columns: probability that the first one's change came in an earlier step."""
    undone: Numbers
    """Columns: probability that the change was undone later."""
    missed: float = 0.0
    """How often this lot was misread."""
    imagined: float = 0.0

    @classmethod
    def empty(cls, columns: Columns) -> Sums:
        n, d = columns.samples, columns.count
        return cls(np.zeros((n, n)), np.zeros((n, n)), np.zeros((n, d)), np.zeros((d, d)), np.zeros(d))

    def add(self, way: Way, weight: float) -> None:
        """One way with its weight."""
        changes, by_state = way.changes, way.probability_of_states()
        later = np.cumsum(by_state[:, ::-1], axis=1)[:, ::-1] - by_state
        self.earlier += weight * (by_state @ later.T)
        self.same += weight * (by_state @ by_state.T)
        self.there += weight * (by_state @ changes.happened().astype(float))
        self.came_first += weight * (changes.came[:, None] < changes.came[None, :])
        self.undone += weight * (changes.undone < NEVER)
        self.missed += weight * way.columns.missed
        self.imagined += weight * way.columns.imagined


def sum_up(ways: Sequence[Way], weights: Iterable[float]) -> Sums:
    """The posterior means over weighted ways whose weights sum to one."""
    sums = Sums.empty(ways[0].columns)
    for way, weight in zip(ways, weights, strict=True):
        sums.add(way, weight)
    return sums


def mean_of(parts: list[Sums]) -> Sums:
    """Of several walks of equal length."""
    return Sums(
        *(
            sum(getattr(one, name) for one in parts) / len(parts)
            for name in ("earlier", "same", "there", "came_first", "undone", "missed", "imagined")
        )
    )


def draw_ranks(
    ways: Sequence[Way], weights: Numbers, generator: np.random.Generator, *, draws: int
) -> Numbers:
    """Draws × samples: places from 1 on, samples of one state sharing theirs."""
    chosen = generator.choice(len(ways), size=draws, p=weights)
    found = np.empty((draws, ways[0].columns.samples))
    states: dict[int, Numbers] = {}
    for row, one in enumerate(chosen.tolist()):
        if one not in states:
            states[one] = np.cumsum(ways[one].probability_of_states(), axis=1)
        beyond = generator.random((found.shape[1], 1)) * states[one][:, -1:] > states[one]
        found[row] = _ranks(beyond.sum(axis=1))
    return found


def _ranks(values: Numbers) -> Numbers:
    """From 1 for the least; like ones share the mean of their ranks."""
    _, place, alike = np.unique(values, return_inverse=True, return_counts=True)
    return np.asarray((alike.cumsum() - (alike - 1) / 2)[place])

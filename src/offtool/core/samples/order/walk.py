"""A walk through the orders of many changes, which stays longest where the readings agree best.

One column is taken out at a time and put back at a place drawn by its probability given all others. Several
walks start from different orders; where they do not come to the same answer, the result says so.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from offtool.core.samples.order.changes import NEVER, Changes, Numbers, Prior
from offtool.core.samples.order.lot import Columns
from offtool.core.samples.order.placing import Places, log_likelihood
from offtool.core.samples.order.sums import Way

WALKS = 4
SETTLING = 30
"""Rounds that are thrown away; a round moves every column once."""
WITHOUT_UNDOING = 10
ROUNDS = 60
"""Rounds of each walk that are kept, at least."""
MOST_ROUNDS = 400
MOVES = 2_000
"""Moves of each walk, where its rounds are short."""
STUCK = 10.0
"""So much below the best in the mean log-probability, a walk is stuck. Our own."""
SCATTER = 0.1
"""How far the starts of the other walks lie off, as a share of the samples."""
OFTEN_ALL_PLACES = 0.15
"""How often, at most, a column is offered all its places with and without an undoing, which are many."""


@dataclass(frozen=True, slots=True)
class Walk:
    """One walk through the orders; `misread` are the readings as they may have been misread."""

    misread: tuple[Columns, ...]
    prior: Prior
    generator: np.random.Generator

    def ways(self, start: Changes, rounds: int) -> list[Way]:
        """The ways of the rounds that are kept. The first rounds undo nothing: a lot turned round, with
        almost every detail undone, is an order that a walk finds easily and leaves hardly."""
        here, kept, columns = start.copy(), [], self.misread[-1]
        for number in range(SETTLING + rounds):
            columns = self._round(here, columns, undo=number >= WITHOUT_UNDOING)
            if number >= SETTLING:
                kept.append(Way(columns, here.copy()))
        return kept

    def _round(self, here: Changes, columns: Columns, *, undo: bool) -> Columns:
        """Every column moved once, then how often the lot was misread drawn anew."""
        for column in self.generator.permutation(columns.count).tolist():
            self.move(here, columns, column, undo=undo and self.prior.repaired > 0)
        logs = np.array([log_likelihood(one, here) for one in self.misread])
        return self.misread[self._draw(logs)]

    def move(self, here: Changes, columns: Columns, column: int, *, undo: bool) -> None:
        """Take a column out and put it back by its probability; with `undo`, it may be undone later."""
        slot, end = here.take_out(column)
        found = Places.of(columns, here, self.prior, column)
        if not undo or not columns.may_be_repaired[column]:
            here.put_in(column, self._draw(found.once_all))
            return
        if self.generator.random() < min(OFTEN_ALL_PLACES, 0.5 / (here.steps + 1)):
            slot, end = self._everywhere(found)
        else:
            slot = self._slot(found, end)
            end = self._end(found, slot)
        here.put_in(column, slot, end)

    def _everywhere(self, found: Places) -> tuple[int, int | None]:
        """Any slot, and any pair of them."""
        slots = found.slots
        chosen = self._draw(np.concatenate([found.once_all, found.undone(slots.starts, slots.ends)]))
        if chosen < len(found.once_all):
            return chosen, None
        pair = chosen - len(found.once_all)
        return int(slots.starts[pair]), int(slots.ends[pair])

    def _slot(self, found: Places, end: int | None) -> int:
        """Where it comes, as long as it is undone where it is."""
        if end is None:
            return self._draw(found.once_all)
        starts = found.slots.starts[found.slots.ends == end]
        return int(starts[self._draw(found.undone(starts, np.full_like(starts, end)))])

    def _end(self, found: Places, slot: int) -> int | None:
        """Whether and where it is undone, as long as it comes where it does."""
        ends = found.slots.ends[found.slots.starts == slot]
        undone = found.undone(np.full_like(ends, slot), ends)
        chosen = self._draw(np.concatenate([found.once_all[[slot]], undone]))
        return int(ends[chosen - 1]) if chosen else None

    def _draw(self, logs: Numbers) -> int:
        summed = np.cumsum(np.exp(logs - logs.max()))
        return min(
            int(np.searchsorted(summed, self.generator.random() * summed[-1], side="right")), len(logs) - 1
        )


def walks(misread: tuple[Columns, ...], prior: Prior, generator: np.random.Generator) -> list[list[Way]]:
    """The ways kept of each walk; the first starts where the details are sorted by how many have them."""
    rounds = int(np.clip(MOVES // misread[0].count, ROUNDS, MOST_ROUNDS))
    return [
        Walk(misread, prior, own).ways(_start(misread[0], own, scatter=SCATTER * number), rounds)
        for number, own in enumerate(generator.spawn(WALKS))
    ]


def not_stuck(walked: Sequence[list[Way]], prior: Prior) -> list[list[Way]]:
    """The walks that came to where the readings agree; one far less probable than the best is left out.

    Such a walk sits on an order that it would leave, were it long enough: most often the lot turned round,
    with almost every detail undone.
    """
    means = [
        np.mean([log_likelihood(one.columns, one.changes) + prior.of(one.changes) for one in walk])
        for walk in walked
    ]
    return [walk for walk, mean in zip(walked, means, strict=True) if mean > max(means) - STUCK]


def _start(columns: Columns, generator: np.random.Generator, *, scatter: float) -> Changes:
    """What most samples show came first; each change in a step of its own."""
    shows = np.where(columns.goes, columns.read == 0, columns.read == 1).sum(axis=0)
    share = (shows + 0.5) / ((columns.read >= 0).sum(axis=0) + 1)
    key = -share + generator.normal(0, 1, columns.count) * scatter
    for column, lower in enumerate(columns.lower):
        if lower >= 0:
            key[column] = max(key[column], key[lower] + 1e-9)
    came = np.empty(columns.count, dtype=np.int64)
    came[np.argsort(key, kind="stable")] = np.arange(1, columns.count + 1)
    return Changes(came, np.full(columns.count, NEVER), columns.count)

"""Made-up lots: pieces of known tool states, looked at by people who misread, overlook and skip."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.stats import kendalltau

from offtool.core.samples.order import Lot, order_lot

NOT_LOOKED = 0.15
MOST_MISREAD = 0.10
REPAIRED = 0.08


@dataclass(frozen=True, slots=True)
class MadeLot:
    """What is seen of a lot, and what nobody in it knows."""

    lot: Lot
    state: NDArray[np.int64]
    """The tool state of each sample, from 0."""
    misread: float


def lots(n: int, seed: int) -> Iterator[MadeLot]:
    """So many lots; the same for the same seed."""
    for own in np.random.default_rng(seed).spawn(n):
        yield make_lot(own)


def make_lot(generator: np.random.Generator) -> MadeLot:
    """10 to 60 pieces of 6 to 15 tool states with one to three changes each; some changes are repaired."""
    pieces, states = int(generator.integers(10, 61)), int(generator.integers(6, 16))
    misread = float(generator.uniform(0, MOST_MISREAD))
    came = np.repeat(np.arange(1, states), generator.integers(1, 4, states - 1))
    gone = _gone(came, states, generator)
    state = generator.integers(0, states, pieces)
    there = (came <= state[:, None]) & (state[:, None] < gone)
    read = there ^ (generator.random(there.shape) < misread)
    looked = generator.random(there.shape) >= NOT_LOOKED
    return MadeLot(_shuffled(read, looked, generator), state, misread)


def _gone(came: NDArray[np.int64], states: int, generator: np.random.Generator) -> NDArray[np.int64]:
    """The state from which a detail is welded up again; beyond the last where it stays."""
    later = came + 1 + (generator.random(len(came)) * (states - came)).astype(int)
    return np.where(generator.random(len(came)) < REPAIRED, later, states)


def _shuffled(read: NDArray[np.bool_], looked: NDArray[np.bool_], generator: np.random.Generator) -> Lot:
    """The order of the columns tells nothing."""
    columns = generator.permutation(read.shape[1])
    cells = tuple(
        tuple(bool(one) if was else None for one, was in zip(row, seen, strict=True))
        for row, seen in zip(read[:, columns], looked[:, columns], strict=True)
    )
    names = tuple(f"piece {one + 1}" for one in range(len(read)))
    return Lot(names, tuple(f"detail {one + 1}" for one in range(len(columns))), cells)


@dataclass(frozen=True, slots=True)
class LotScore:
    """How one lot was ordered, beside sorting it by how many changes each piece shows."""

    tau: float
    by_count: float
    stated: NDArray[np.float64]
    """P(earlier) of every ordered pair of samples."""
    true: NDArray[np.bool_]


def score_lots(n: int, seed: int) -> list[LotScore]:
    """So many lots put in order."""
    return [score(made, np.random.default_rng([seed, one])) for one, made in enumerate(lots(n, seed))]


def score(made: MadeLot, generator: np.random.Generator) -> LotScore:
    """Kendall's tau-b of the groups with the true states, and the pairwise probabilities with the truth."""
    order = order_lot(made.lot, generator=generator)
    place = {sample: number for number, group in enumerate(order.groups) for sample in group.samples}
    kept = [made.lot.samples.index(one) for one in order.samples]
    state = made.state[kept]
    shown = [sum(cell is True for cell in made.lot.seen[one]) for one in kept]
    pairs = ~np.eye(len(kept), dtype=bool)
    return LotScore(
        tau=float(kendalltau([place[one] for one in order.samples], state).statistic),
        by_count=float(kendalltau(shown, state).statistic),
        stated=np.array(order.earlier)[pairs],
        true=(state[:, None] < state[None, :])[pairs],
    )


def calibration_error(scores: list[LotScore], *, classes: int = 10) -> float:
    """Mean distance between stated and true shares, by classes of the stated probability."""
    stated = np.concatenate([one.stated for one in scores])
    true = np.concatenate([one.true for one in scores])
    number = np.minimum((stated * classes).astype(int), classes - 1)
    return sum(
        abs(stated[number == one].mean() - true[number == one].mean()) * float((number == one).mean())
        for one in np.unique(number)
    )

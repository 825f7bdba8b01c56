"""A lot of 200 pieces and 60 details put in order, beside a sort by the number of changes in plain numpy."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from benchmarks.figures import Figure
from benchmarks.tasks import seconds

if TYPE_CHECKING:
    from offtool.core.samples.order import Lot

PIECES, DETAILS, STATES = 200, 60, 31
MISREAD, NOT_LOOKED = 0.05, 0.15
SEED = 3


def readings() -> tuple[np.ndarray, np.ndarray]:
    """What is read of each piece, and where nothing was looked at; two details come with every state."""
    rng = np.random.default_rng(SEED)
    state = rng.integers(0, STATES, PIECES)
    came = np.repeat(np.arange(1, STATES), DETAILS // (STATES - 1))
    read = (came <= state[:, None]) ^ (rng.random((PIECES, DETAILS)) < MISREAD)
    return read, rng.random((PIECES, DETAILS)) < NOT_LOOKED


def case() -> Lot:
    """The same as a lot."""
    from offtool.core.samples.order import Lot

    read, skipped = readings()
    return Lot(
        samples=tuple(f"piece {one}" for one in range(PIECES)),
        details=tuple(f"detail {one}" for one in range(DETAILS)),
        seen=tuple(
            tuple(None if left else bool(one) for one, left in zip(row, out, strict=True))
            for row, out in zip(read, skipped, strict=True)
        ),
    )


def sort_by_count() -> np.ndarray:
    """The baseline: pieces by the share of changes that they show."""
    read, skipped = readings()
    return np.argsort((read & ~skipped).sum(axis=1) / (~skipped).sum(axis=1), kind="stable")


def lot_in_order(folder: Path) -> Iterator[Figure]:
    """The whole result: groups, every pairwise probability, intervals, odd cells, what to look at next."""
    from offtool.core.samples.order import order_lot

    made = case()
    yield Figure(
        what=f"{PIECES} pieces × {DETAILS} details put in order",
        value=seconds(lambda: order_lot(made, generator=np.random.default_rng(SEED))), unit="s", goal=30.0,
        beside="sort by number of changes", baseline=min(seconds(sort_by_count) for _ in range(5)),
    )  # fmt: skip

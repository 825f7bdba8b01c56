"""Small lots for the tests."""

from __future__ import annotations

import numpy as np

from offtool.core.samples.order import Lot, LotOrder, order_lot


def lot(*rows: str, kinds: tuple[str, ...] = ()) -> Lot:
    """One row a sample: x there, - not there, ? not looked at, a digit its grade."""
    cell = {"x": True, "-": False, "?": None}
    seen = tuple(tuple(cell[one] if one in cell else int(one) for one in row) for row in rows)
    letters = "abcdefghijklmnopqrstuvwxyz"
    return Lot(tuple(f"s{one}" for one in range(len(rows))), tuple(letters[: len(rows[0])]), seen, kinds)


def stairs(states: int, each: int = 1) -> Lot:
    """Perfect nested rows: state k shows the first k details; `each` samples of every state."""
    rows = ["x" * state + "-" * (states - state) for state in range(states + 1) for _ in range(each)]
    return lot(*rows)


def noisy(samples: int, details: int, seed: int, *, misread: float = 0.15) -> Lot:
    """Readings that leave much in doubt."""
    generator = np.random.default_rng(seed)
    state = generator.integers(0, details + 1, samples)
    there = (generator.permutation(details) < state[:, None]) ^ (
        generator.random((samples, details)) < misread
    )
    looked = generator.random(there.shape) < 0.85
    rows = [
        "".join("?" if not was else "x" if one else "-" for one, was in zip(row, seen, strict=True))
        for row, seen in zip(there, looked, strict=True)
    ]
    return lot(*rows)


def order(found: Lot, *, seed: int = 1, **rates: float) -> LotOrder:
    return order_lot(found, generator=np.random.default_rng(seed), **rates)


def groups(found: LotOrder) -> list[tuple[str, ...]]:
    return [one.samples for one in found.groups]

"""A world with a known truth, an interval found in it over and over, and how often it held.

    @covers("mean of one cavity", claimed=0.95, worlds=4000)
    def mean_of_one_cavity(rng: np.random.Generator) -> bool:
        found = mean_interval(rng.normal(5.0, 0.01, 8))
        return 5.0 in found.interval

A function may also return an array of booleans, one for each truth it tried. `safe_side` says that an
interval is conservative by construction: it then may cover more than it claims, never less.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

Try = Callable[[np.random.Generator], "bool | NDArray[np.bool_]"]

ALLOWED = 0.01
"""A 95 % interval is to cover 94 to 96 %."""
CHANCE = 3.0
"""Standard errors by which a finite number of worlds may mislead."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Covered:
    """What a case printed."""

    name: str
    claimed: float
    covered: float
    tries: int
    safe_side: bool

    @property
    def by_chance(self) -> float:
        """Standard error of the covered share, were the claim true."""
        return float(np.sqrt(self.claimed * (1 - self.claimed) / self.tries))

    @property
    def holds(self) -> bool:
        """Whether the claim stands within what is allowed and what chance explains."""
        room = ALLOWED + CHANCE * self.by_chance
        return self.covered >= self.claimed - room and (self.safe_side or self.covered <= self.claimed + room)

    def line(self) -> str:
        """One line of the table."""
        side = "at least " if self.safe_side else ""
        verdict = "" if self.holds else "  DOES NOT HOLD"
        return (
            f"{self.name:<68} {side + format(100 * self.claimed, '.0f'):>12} % {100 * self.covered:8.1f} %"
            f" ± {100 * self.by_chance:.1f} {self.tries:>8,}{verdict}"
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """A registered case."""

    name: str
    claimed: float
    worlds: int
    safe_side: bool
    once: Try

    def run(self, worlds: int | None = None) -> Covered:
        """Try it in so many seeded worlds; the seed is made from the name."""
        rng = np.random.default_rng(crc32(self.name.encode()))
        held = [np.atleast_1d(self.once(rng)) for _ in range(worlds or self.worlds)]
        every = np.concatenate(held)
        return Covered(
            name=self.name,
            claimed=self.claimed,
            covered=float(every.mean()),
            tries=every.size,
            safe_side=self.safe_side,
        )


CASES: dict[str, Case] = {}


def covers(
    name: str, *, claimed: float = 0.95, worlds: int = 2000, safe_side: bool = False
) -> Callable[[Try], Try]:
    """Register a case under the words that are printed."""

    def register(once: Try) -> Try:
        if name in CASES:
            raise ValueError(f"two cases are named {name!r}")
        CASES[name] = Case(name=name, claimed=claimed, worlds=worlds, safe_side=safe_side, once=once)
        return once

    return register

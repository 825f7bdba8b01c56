"""Means of moulded sizes with known truth, as lists that `estimate_process_means` takes."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from offtool.core.correction import ProcessMeans, estimate_process_means


@dataclass(frozen=True)
class Observations:
    """One entry for each size, cavity and trial."""

    parts_mm: list[float] = field(default_factory=list)
    uncertainties_mm: list[float] = field(default_factory=list)
    cavities_mm: list[float] = field(default_factory=list)
    steel_uncertainties_mm: list[float] = field(default_factory=list)
    sizes: list[str] = field(default_factory=list)
    cavities: list[str] = field(default_factory=list)
    directions: list[str] = field(default_factory=list)
    trials: list[str] = field(default_factory=list)
    states: list[str] = field(default_factory=list)

    def add(
        self,
        size: str,
        cavity: str,
        trial: str,
        part: float,
        steel: float,
        *,
        u: float = 0.001,
        steel_u: float = 0.003,
        direction: str = "flow",
        state: str = "a",
    ) -> None:
        row = (part, u, steel, steel_u, size, cavity, direction, trial, state)
        for column, value in zip(vars(self).values(), row, strict=True):
            column.append(value)

    def ordered(self, places: list[int]) -> Observations:
        """The same, in another order."""
        return Observations(*([column[i] for i in places] for column in vars(self).values()))

    def with_(self, **columns: Any) -> Observations:
        """The same with some columns changed."""
        return replace(self, **columns)

    def means(self, **how: float) -> ProcessMeans:
        """What the formula says of them."""
        return estimate_process_means(**vars(self), **how)


def moulded(
    seed: int,
    *,
    sizes: int = 20,
    cavities: int = 4,
    trials: int = 1,
    between_sizes: float = 4e-4,
    between_cavities: float = 2e-4,
    setup: float = 3e-4,
    u: float = 0.0015,
    steel_u: float = 0.003,
    recut: bool = False,
    directions: tuple[str, ...] = ("flow",),
) -> tuple[Observations, np.ndarray]:
    """Seeded sizes of 5 to 60 mm that shrink by 0.6 % on average, and the true means in the last steel."""
    rng = np.random.default_rng(seed)
    drawn = np.exp(rng.uniform(np.log(5), np.log(60), sizes))
    own = (
        0.006 + rng.normal(0, between_sizes, (sizes, 1)) + rng.normal(0, between_cavities, (sizes, cavities))
    )
    steel = np.repeat(drawn[:, None], cavities, axis=1)
    measured = steel + rng.normal(0, steel_u, steel.shape)
    seen = Observations()
    for trial in range(trials):
        if recut and trial:
            steel = steel + 0.05
            measured = steel + rng.normal(0, steel_u, steel.shape)
        shift = dict(zip(directions, rng.normal(0, setup, len(directions)), strict=True))
        for i in range(sizes):
            direction = directions[i % len(directions)]
            for c in range(cavities):
                mean = steel[i, c] * (1 - own[i, c] - shift[direction]) + rng.normal(0, u)
                seen.add(
                    f"size {i}",
                    str(c),
                    f"T{trial + 1}",
                    mean,
                    measured[i, c],
                    u=u,
                    steel_u=steel_u,
                    direction=direction,
                    state=str(trial) if recut else "a",
                )
    return seen, (steel * (1 - own)).ravel()

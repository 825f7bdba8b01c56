"""Expected mean squares: which variances each mean square of a study holds, and how often.

MS = M v, with v the variances of the sources; each variance is then estimated by a row of the inverse of M.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from offtool.core.inspection.gauge.results import (
    GAUGE,
    INTERACTION,
    OPERATOR,
    PART,
    REPEATABILITY,
    REPRODUCIBILITY,
    TOTAL,
)
from offtool.core.inspection.mean_squares import MeanSquare

MEMBERS: Mapping[str, tuple[str, ...]] = {
    REPEATABILITY: (REPEATABILITY,),
    OPERATOR: (OPERATOR,),
    INTERACTION: (INTERACTION,),
    REPRODUCIBILITY: (OPERATOR, INTERACTION),
    GAUGE: (REPEATABILITY, OPERATOR, INTERACTION),
    PART: (PART,),
    TOTAL: (REPEATABILITY, OPERATOR, INTERACTION, PART),
}
"""What each share is the sum of, in the order they are shown."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Design:
    """Sources in the order of the mean squares, M, and the degrees of freedom."""

    sources: tuple[str, ...]
    expected: tuple[tuple[float, ...], ...]
    freedoms: tuple[float, ...]

    def mean_squares(self, values: Sequence[float]) -> tuple[MeanSquare, ...]:
        """Observed mean squares with their freedoms."""
        return tuple(MeanSquare(float(s), n) for s, n in zip(values, self.freedoms, strict=True))

    def mean_squares_of(self, variances: Mapping[str, float]) -> tuple[MeanSquare, ...]:
        """The mean squares to expect of these variances."""
        values = np.array(self.expected) @ np.array([variances.get(source, 0.0) for source in self.sources])
        return self.mean_squares([float(one) for one in values])

    def coefficients(self, members: Sequence[str]) -> tuple[float, ...]:
        """Of the mean squares, in the estimate of the sum of these sources."""
        return _coefficients(self.expected, tuple(float(source in members) for source in self.sources))

    def shown(self) -> tuple[str, ...]:
        """Shares that this design can tell."""
        return tuple(name for name, members in MEMBERS.items() if set(members) & set(self.sources))


def crossed_design(parts: int, operators: int, repeats: int, *, interaction: bool) -> Design:
    """Two-way random; without interaction, its freedom goes to repeatability."""
    p, o, r = parts, operators, repeats
    if o == 1:
        return Design(
            sources=(PART, REPEATABILITY),
            expected=((r, 1.0), (0, 1)),
            freedoms=(p - 1, p * (r - 1)),
        )
    if interaction:
        return Design(
            sources=(PART, OPERATOR, INTERACTION, REPEATABILITY),
            expected=((o * r, 0, r, 1.0), (0, p * r, r, 1), (0, 0, r, 1), (0, 0, 0, 1)),
            freedoms=(p - 1, o - 1, (p - 1) * (o - 1), p * o * (r - 1)),
        )
    return Design(
        sources=(PART, OPERATOR, REPEATABILITY),
        expected=((o * r, 0, 1.0), (0, p * r, 1), (0, 0, 1)),
        freedoms=(p - 1, o - 1, p * o * r - p - o + 1),
    )


def nested_design(parts: int, operators: int, repeats: int) -> Design:
    """`parts` of its own for each operator."""
    p, o, r = parts, operators, repeats
    if o == 1:
        return crossed_design(p, 1, r, interaction=False)
    return Design(
        sources=(OPERATOR, PART, REPEATABILITY),
        expected=((p * r, r, 1.0), (0, r, 1), (0, 0, 1)),
        freedoms=(o - 1, o * (p - 1), o * p * (r - 1)),
    )


@lru_cache(maxsize=256)
def _coefficients(expected: tuple[tuple[float, ...], ...], asked: tuple[float, ...]) -> tuple[float, ...]:
    total = np.linalg.solve(np.array(expected).T, np.array(asked))
    rounding = 1e-12 * float(np.abs(total).max())
    return tuple(0.0 if abs(one) < rounding else float(one) for one in total)

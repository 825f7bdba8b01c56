"""A hot plate or cylinder whose surface is held cold: what share of the heat is left, by the full series."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from math import exp, pi, sqrt
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

TERMS = 64
"""Below a Fourier number of EARLIEST the terms are too few; there nothing has come to the middle yet."""
EARLIEST = 1e-4
SMALLEST_SHARE = 1e-12
HALVINGS = 80


@dataclass(frozen=True, slots=True)
class Series:
    """Share of the first temperature difference that is left: the sum of factors times exp(-rate Fo)."""

    factors: NDArray[np.float64]
    rates: NDArray[np.float64]
    mean_at_first: Callable[[float], float] | None = None
    """What is left of the mean while only the skin has cooled."""

    def left(self, fourier: float) -> float:
        """Share left at a Fourier number."""
        if fourier < EARLIEST:
            return self.mean_at_first(fourier) if self.mean_at_first else 1.0
        return min(float(self.factors @ np.exp(-self.rates * fourier)), 1.0)

    def fourier(self, share: float) -> float:
        """The Fourier number at which so much is left: halved down, for the share only falls."""
        low, high = 0.0, 1.0
        while self.left(high) > share:
            low, high = high, 2 * high
        for _ in range(HALVINGS):
            middle = (low + high) / 2
            low, high = (middle, high) if self.left(middle) > share else (low, middle)
        return (low + high) / 2

    def one_term(self, share: float) -> float:
        """The Fourier number by the first term alone, as books print it; 0 where that would be negative."""
        return max(float(np.log(self.factors[0] / share) / self.rates[0]), 0.0)


@cache
def plate_series() -> Mapping[str, Series]:
    """By criterion; the Fourier number is a t / s^2 with s the whole wall."""
    n = 2 * np.arange(TERMS, dtype=np.float64) + 1
    signs = np.where(np.arange(TERMS) % 2 == 0, 1.0, -1.0)
    rates = (pi * n) ** 2
    return MappingProxyType(
        {
            "centreline": Series(4 / pi * signs / n, rates),
            "average": Series(8 / pi**2 / n**2, rates, lambda fo: 1 - 4 * sqrt(fo / pi)),
        }
    )


@cache
def cylinder_series() -> Mapping[str, Series]:
    """By criterion; the Fourier number is a t / R^2 with R the radius."""
    from scipy.special import j1, jn_zeros

    zeros: NDArray[np.float64] = np.asarray(jn_zeros(0, TERMS), dtype=np.float64)
    return MappingProxyType(
        {
            "centreline": Series(np.asarray(2 / (zeros * j1(zeros))), zeros**2),
            "average": Series(4 / zeros**2, zeros**2, lambda fo: 1 - 4 * sqrt(fo / pi)),
        }
    )


def left_with_surface(fourier: float, *, biot: float, roots: int = 6) -> float:
    """Share left at the middle of a plate that gives off heat through a surface; Fo and Bi by half the wall.

    The roots of z tan z = Bi and their factors are those of the tables of one-term solutions.
    """
    total = 0.0
    for root, factor in plate_roots(biot, roots):
        total += factor * exp(-(root**2) * fourier)
    return min(total, 1.0)


def plate_roots(biot: float, roots: int = 1) -> tuple[tuple[float, float], ...]:
    """Roots of z tan z = Bi and the factors 4 sin z / (2 z + sin 2 z) of the middle."""
    from scipy.optimize import brentq

    found = []
    for i in range(roots):
        start, end = i * pi + 1e-12, i * pi + pi / 2
        root = brentq(lambda z: z * np.sin(z) - biot * np.cos(z), start, end, xtol=1e-14)
        found.append((float(root), float(4 * np.sin(root) / (2 * root + np.sin(2 * root)))))
    return tuple(found)

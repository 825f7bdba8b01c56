"""Ranges as measures of spread: their factors by quadrature, for the average-and-range method."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import exp, sqrt

import numpy as np
from scipy import optimize, special

from offtool.core.inspection.gauge.design import Design
from offtool.core.inspection.gauge.layout import Layout
from offtool.core.inspection.gauge.results import OPERATOR, PART, REPEATABILITY

MANY_RANGES = 15
"""Above so many ranges their mean is divided by d2 instead of d2*; common practice, no source."""
WIDEST = 14.0
"""A range of normal values above so many deviations has no probability that a double could hold."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RangeFactors:
    """Of the mean of `ranges` ranges of `size` normal values each, in standard deviations.

    `d2` is its mean, `d2_star` the root of its mean square; `freedom` that of the chi distribution with the
    same two moments (Patnaik 1950).
    """

    d2: float
    d2_star: float
    freedom: float


@dataclass(frozen=True, slots=True, kw_only=True)
class AverageAndRange:
    """Deviations by the average-and-range method, the design they follow and its pseudo mean squares."""

    design: Design
    mean_squares: tuple[float, ...]
    mean_range: float
    operator_range: float
    part_range: float
    variances: dict[str, float]


@lru_cache(maxsize=256)
def range_moments(size: int) -> tuple[float, float]:
    """Mean and variance of the range of `size` standard normal values: d2 and d3 squared.

    P(range <= w) = n integral of phi(x) (Phi(x + w) - Phi(x))^(n - 1) dx; the moments are integrals of
    1 - P and 2 w (1 - P) over w.
    """
    node, weight = np.polynomial.legendre.leggauss(120)
    w, weight = WIDEST / 2 * (node + 1), WIDEST / 2 * weight
    x = np.arange(-9.0 - WIDEST, 9.0, 0.05)[:, None]
    density = np.exp(-(x**2) / 2) / np.sqrt(2 * np.pi)
    below = size * 0.05 * (density * (special.ndtr(x + w) - special.ndtr(x)) ** (size - 1)).sum(axis=0)
    mean = float(weight @ (1 - below))
    return mean, float(weight @ (2 * w * (1 - below))) - mean**2


@lru_cache(maxsize=256)
def range_factors(size: int, ranges: int) -> RangeFactors:
    """d2, d2* and the equivalent freedom; d2* = sqrt(d2^2 + d3^2 / g)."""
    d2, variance = range_moments(size)
    star = sqrt(d2**2 + variance / ranges)

    def apart(freedom: float) -> float:
        """Mean of chi / sqrt(freedom), less what it is to be."""
        ratio = special.gammaln((freedom + 1) / 2) - special.gammaln(freedom / 2)
        return exp(ratio) * sqrt(2 / freedom) - d2 / star

    return RangeFactors(d2=d2, d2_star=star, freedom=float(optimize.brentq(apart, 0.5, 1e7)))


def average_and_range(layout: Layout) -> AverageAndRange:
    """Repeatability from the mean range, operators and parts from the range of their means.

    EV = Rbar / d2*, AV^2 = (Xdiff / d2*)^2 - EV^2 / (n r), PV = Rp / d2*.
    """
    p, o, r = layout.readings.shape
    cell = layout.cell_means
    mean_range = float(layout.ranges.mean())
    part_range = float(np.ptp(cell.mean(axis=1)))
    operator_range = float(np.ptp(cell.mean(axis=0)))
    within, between = range_factors(r, p * o), range_factors(p, 1)
    divisor = within.d2 if p * o > MANY_RANGES else within.d2_star
    repeat = (mean_range / divisor) ** 2
    part = (part_range / between.d2_star) ** 2
    variances = {REPEATABILITY: repeat, PART: part}
    if o == 1:
        design = Design(
            sources=(PART, REPEATABILITY),
            expected=((1, 1 / r), (0, 1)),
            freedoms=(between.freedom, within.freedom),
        )
        squares: tuple[float, ...] = (part, repeat)
    else:
        across = range_factors(o, 1)
        operator = (operator_range / across.d2_star) ** 2
        variances[OPERATOR] = max(0.0, operator - repeat / (p * r))
        design = Design(
            sources=(PART, OPERATOR, REPEATABILITY),
            expected=((1, 0, 1 / (o * r)), (0, 1, 1 / (p * r)), (0, 0, 1)),
            freedoms=(between.freedom, across.freedom, within.freedom),
        )
        squares = (part, operator, repeat)
    return AverageAndRange(
        design=design,
        mean_squares=squares,
        mean_range=mean_range,
        operator_range=operator_range,
        part_range=part_range,
        variances=variances,
    )

"""Bounds of a Weibull from few pulls, exact where none was stopped or all were stopped at the last break.

Given what does not depend on the parameters, the shape has the density b^(r - 2) prod x^b / (sum x^b)^r over
the r pulls that came apart (product) and all pulls (sum); given the shape, sum x^b / scale^b is gamma with r.
Both together give every quantile and every share a distribution of one integral. Pulls stopped at other
values make the bounds approximate; `python -m tests.coverage Weibull` says how well they hold.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import exp, log

import numpy as np
from numpy.typing import NDArray
from scipy import optimize, special

Array = NDArray[np.float64]

NODES = 501
DROP = 34.0
"""Where the density has fallen by exp(-34) nothing is left that a bound could show."""
FARTHEST = 700.0
CLOSE = 1e-12


@dataclass(frozen=True, slots=True)
class WeibullBounds:
    """The shape's distribution on a grid of its logarithm, and what follows from it.

    Strengths are taken over the largest one, `unit`, so that no power overflows.
    """

    unit: float
    broken: int
    shape: Array
    weight: Array
    log_sum: Array

    @classmethod
    def of(cls, strengths: Array, stopped: NDArray[np.bool_]) -> WeibullBounds:
        """From pulls of which at least two came apart, not all at one value."""
        unit = float(strengths.max())
        logs = np.log(strengths) - log(unit)
        broken = logs[~stopped]
        grid = np.linspace(*_ends(broken, logs), NODES)
        weight = np.exp(_log_density(grid, broken, logs))
        shape = np.exp(grid)
        return cls(unit, broken.size, shape, weight / weight.sum(), _log_sum(shape, logs))

    def shape_quantile(self, p: float) -> float:
        """The shape with probability p below it."""
        below = np.cumsum(self.weight) - self.weight / 2
        return float(np.exp(np.interp(p, below, np.log(self.shape))))

    def strength_quantile(self, share_below: float, p: float) -> float:
        """The bound that the strength of this share of all seams stays below with probability p."""
        amount = -np.log1p(-share_below)

        def missed(log_strength: float) -> float:
            return float(self.weight @ special.gammaincc(self.broken, self._gamma(log_strength, amount))) - p

        return self.unit * _exp(_crossing(missed, log(1.0)))

    def share_quantile(self, required: float, p: float) -> float:
        """The bound that the share of seams below `required` stays below with probability p."""
        at = log(required) - log(self.unit)

        def missed(log_amount: float) -> float:
            gamma = self._gamma(at, _exp(log_amount))
            return float(self.weight @ special.gammainc(self.broken, gamma)) - p

        return -float(np.expm1(-_exp(_crossing(missed, 0.0))))

    def _gamma(self, log_strength: float, amount: float) -> Array:
        """The gamma variable at which a strength is the quantile with ln(1 / (1 - share)) = amount."""
        logs = np.log(amount) + self.log_sum - self.shape * log_strength
        return np.asarray(np.exp(np.clip(logs, -FARTHEST, FARTHEST)))


def _log_sum(shape: Array, logs: Array) -> Array:
    return np.asarray(special.logsumexp(shape[:, None] * logs, axis=1))


def _log_density(log_shape: Array, broken: Array, logs: Array) -> Array:
    """Of ln b, less its largest value on the grid."""
    shape = np.exp(log_shape)
    found = (broken.size - 1) * log_shape + shape * broken.sum() - broken.size * _log_sum(shape, logs)
    return np.asarray(found - found.max())


def _ends(broken: Array, logs: Array) -> tuple[float, float]:
    """Between which the density of ln b lies: coarse first, then as wide as it is."""
    middle = -log(max(float(np.std(logs)), 1e-15))
    low, high = middle - 60.0, middle + 12.0
    for _ in range(4):
        grid = np.linspace(low, high, 2 * NODES)
        inside = np.flatnonzero(_log_density(grid, broken, logs) > -DROP)
        step = grid[1] - grid[0]
        low, high = float(grid[inside[0]] - step), float(grid[inside[-1]] + step)
    return low, high


def _crossing(excess: Callable[[float], float], start: float) -> float:
    """Where a growing function crosses zero, looked for ever farther out."""
    low, high, reach = start, start, 1.0
    while excess(low) > 0 and low > -FARTHEST:
        low, reach = low - reach, reach * 2
    reach = 1.0
    while excess(high) < 0 and high < FARTHEST:
        high, reach = high + reach, reach * 2
    if excess(low) > 0 or excess(high) < 0:
        return low if excess(low) > 0 else high
    return float(optimize.brentq(excess, low, high, xtol=CLOSE)) if low < high else low


def _exp(value: float) -> float:
    return exp(min(max(value, -FARTHEST), FARTHEST))

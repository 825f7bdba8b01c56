"""The lower tolerance bound of normal strengths when some pulls were stopped.

With every pull broken it is mean - k s. With stopped pulls the same bound follows from the likelihood with
d mean d(sd) / sd: exact where all were stopped at the last break, approximate else. Counting a stopped pull
as if it had broken there would hide the spread above it and raise the bound: not on the safe side.
"""

from __future__ import annotations

from math import sqrt

import numpy as np
from numpy.typing import NDArray
from scipy import optimize, special

from offtool.core.inspection.spread import mean_and_sd
from offtool.core.inspection.tolerance import one_sided_factor

Array = NDArray[np.float64]

PLACES = np.linspace(-9.0, 9.0, 721)
"""Mean less the pulls' mean, in standard deviations."""
SIZES = np.linspace(-6.0, 9.0, 481)
"""Logarithm of the standard deviation over that of the pulls."""


def normal_quantile_bound(
    strengths: Array, stopped: NDArray[np.bool_], share_below: float, confidence: float
) -> float:
    """What the strength with this share below it exceeds with the confidence."""
    z = -float(special.ndtri(share_below))
    mean, sd = mean_and_sd(strengths)
    if not stopped.any():
        n = strengths.size
        return mean - one_sided_factor(z, n, n - 1, confidence) * sd
    return mean + sd * _censored((strengths - mean) / sd, stopped, z, 1 - confidence)


def normal_quantile_upper(
    strengths: Array, stopped: NDArray[np.bool_], share_below: float, confidence: float
) -> float:
    """What that strength stays below with the confidence."""
    z = -float(special.ndtri(share_below))
    mean, sd = mean_and_sd(strengths)
    if not stopped.any():
        return mean - upper_factor(z, strengths.size, strengths.size - 1, confidence) * sd
    return mean + sd * _censored((strengths - mean) / sd, stopped, z, confidence)


def upper_factor(z: float, parts: int, freedom: int, confidence: float) -> float:
    """k, perhaps below zero, with P(mean - k s lies above the quantile z deviations down) = confidence."""
    return float(special.nctdtrit(freedom, z * sqrt(parts), 1 - confidence)) / sqrt(parts)


def _censored(y: Array, stopped: NDArray[np.bool_], z: float, p: float) -> float:
    """The quantile p of mean - z sd, for pulls in units of their own spread."""
    weight, size = _weights(y, stopped)
    below = np.concatenate(
        [np.zeros((SIZES.size, 1)), np.cumsum((weight[:, 1:] + weight[:, :-1]) / 2, axis=1)], axis=1
    )
    step = PLACES[1] - PLACES[0]

    def excess(bound: float) -> float:
        # mean - z sd <= bound, where the mean is place * sd
        place = np.clip((bound / size + z - PLACES[0]) / step, 0.0, PLACES.size - 1.000001)
        left = place.astype(int)
        rows = np.arange(SIZES.size)
        part = below[rows, left] + (place - left) * (below[rows, left + 1] - below[rows, left])
        return float(part.sum() / below[:, -1].sum()) - p

    low, high = -1.0, 1.0
    while excess(low) > 0 and low > -1e6:
        low *= 2
    while excess(high) < 0 and high < 1e6:
        high *= 2
    return float(optimize.brentq(excess, low, high, xtol=1e-10))


def _weights(y: Array, stopped: NDArray[np.bool_]) -> tuple[Array, Array]:
    """The likelihood with its measure, rows over the spread, columns over the place of the mean."""
    size = np.exp(SIZES)
    broken, halted = y[~stopped], y[stopped]
    r = broken.size
    centre = broken.mean()
    around = ((broken - centre) ** 2).sum()
    mean = PLACES * size[:, None]
    logs = -0.5 * (around + r * (mean - centre) ** 2) / size[:, None] ** 2 - (r - 1) * SIZES[:, None]
    for value, count in zip(*np.unique(halted, return_counts=True), strict=True):
        logs += count * special.log_ndtr(PLACES - value / size[:, None])
    weight = np.exp(logs - logs.max())
    return np.asarray(weight), np.asarray(size)


def pulls_for_normal(margin: float, share: float, confidence: float, most: int) -> int | None:
    """Fewest pulls whose bound lies at most `margin` deviations below the mean; None beyond `most`."""
    z = float(special.ndtri(share))
    if not margin > z:
        return None
    few, many = 1, 2
    while one_sided_factor(z, many, many - 1, confidence) > margin:
        few, many = many, many * 2
        if many > most:
            return None
    while many - few > 1:
        middle = (few + many) // 2
        if one_sided_factor(z, middle, middle - 1, confidence) > margin:
            few = middle
        else:
            many = middle
    return many

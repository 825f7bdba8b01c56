"""What mean squares leave open, as a set of equally likely variances (generalized pivotal quantities).

Each mean square over its expectation is chi-square over its freedom; dividing it by values that lie evenly
over that distribution gives the expectations it may come from. Fixed effects (the cavities of this tool, a
straight line) make a noncentral chi-square; turned round, it gives the noncentralities that may be behind it.
The values are the same at every call: evenly spread, in an order shuffled once for each source.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy import special

from offtool.core.values import Interval

Source = Literal["part", "shot", "again", "gauge", "cavity", "drift"]
_ORDER: dict[str, int] = {"part": 1, "shot": 2, "again": 3, "gauge": 4, "cavity": 5, "drift": 6}
DRAWS = 4000
Array = NDArray[np.float64]

ROOT_STEP = 0.25
NORMAL_STEP = 0.2
NORMAL_END = 4.0
FAR_ROOT = 12.0
"""Beyond it, past the root of the freedom, the root of a noncentral chi-square is as good as normal."""


@lru_cache(maxsize=8)
def _even(source: Source) -> Array:
    """Values evenly over (0, 1), shuffled with a seed of the source."""
    even = (np.arange(DRAWS) + 0.5) / DRAWS
    return np.random.default_rng(_ORDER[source]).permutation(even)


@lru_cache(maxsize=64)
def inverse_chi_square(source: Source, freedom: float) -> Array:
    """1 / chi-square: times a sum of squares, the variances that may be behind it."""
    return np.asarray(1 / np.maximum(special.chdtri(freedom, _even(source)), 1e-300))


def noncentralities(source: Source, squares: Array, freedom: int) -> Array:
    """The noncentralities that may be behind sums of squares in units of their variance, one for each."""
    z = special.ndtri(_even(source))
    root = np.sqrt(np.maximum(squares, 0.0))
    table = _noncentral_roots(freedom)
    top = (len(table) - 1) * ROOT_STEP
    across = np.clip(np.minimum(root, top) / ROOT_STEP, 0, len(table) - 1.000001)
    along = np.clip((z + NORMAL_END) / NORMAL_STEP, 0, table.shape[1] - 1.000001)
    i, j = across.astype(np.intp), along.astype(np.intp)
    u, v = across - i, along - j
    near = (1 - u) * ((1 - v) * table[i, j] + v * table[i, j + 1])
    near += u * ((1 - v) * table[i + 1, j] + v * table[i + 1, j + 1])
    # Sankaran 1959: sqrt(chi2' - (k - 1)/2) - sqrt(nc + (k - 1)/2) is nearly standard normal.
    shift = (freedom - 1) / 2
    far = (np.sqrt(np.maximum(squares - shift, 0.0)) - z) ** 2 - shift
    return np.asarray(np.where(root < top, near**2, np.maximum(far, 0.0)))


@lru_cache(maxsize=64)
def _noncentral_roots(freedom: int) -> Array:
    """Roots of noncentrality under which chi-square = root^2 lies at z of its distribution; [root, z]."""
    roots = np.arange(0.0, np.sqrt(freedom) + FAR_ROOT + ROOT_STEP, ROOT_STEP)
    tried = np.arange(0.0, roots[-1] + NORMAL_END + 1, 0.125)
    wanted = np.arange(-NORMAL_END, NORMAL_END + NORMAL_STEP / 2, NORMAL_STEP)
    below = special.chndtr((roots**2)[:, None], freedom, (tried**2)[None, :])
    z = special.ndtri(np.clip(below, 1e-300, 1 - 1e-16))
    return np.stack([np.interp(wanted, row[::-1], tried[::-1]) for row in z])


def interval(draws: Array, estimate: float, confidence: float) -> Interval:
    """The middle of the draws; holds the estimate in any case."""
    tail = (1 - confidence) / 2
    low = min(max(int(tail * len(draws)), 0), len(draws) - 1)
    ordered = np.partition(draws, (low, len(draws) - 1 - low))
    return Interval(
        low=min(float(ordered[low]), estimate),
        high=max(float(ordered[len(draws) - 1 - low]), estimate),
        confidence=confidence,
    )

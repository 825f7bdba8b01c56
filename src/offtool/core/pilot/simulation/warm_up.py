"""Where the warm-up ends: the cut after which the mean of what is left is known best (MSER-5)."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

BATCH = 5


def warm_up_marks(series: Array) -> int:
    """How many of the first values to leave out.

    The series is averaged in batches of 5; of all cuts d up to half of the n batches, that with the least
    sum of squares about the mean of what is left, over (n - d)². A cut at the half says that the
    series has not settled. Source: White, Cobb and Spratt (2000), from memory.
    """
    batches = series.size // BATCH
    if batches < 2:
        return 0
    means = series[: batches * BATCH].reshape(batches, BATCH).mean(axis=1)
    return BATCH * int(np.argmin(_spread_of_rest(means)[: batches // 2 + 1]))


def _spread_of_rest(means: Array) -> Array:
    """For each cut, the squared standard error of the mean of the rest."""
    left = np.arange(means.size, 0, -1)
    level = means - means.mean()  # so that squares of a high level do not drown its spread
    total, squares = np.cumsum(level[::-1])[::-1], np.cumsum(level[::-1] ** 2)[::-1]
    spread: Array = np.maximum(squares - total**2 / left, 0.0) / left**2
    return spread

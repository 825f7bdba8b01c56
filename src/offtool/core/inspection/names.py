"""Names of cavities, parts and operators as they come with the readings."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray


def names_in_order(names: Sequence[str] | NDArray[np.str_]) -> tuple[tuple[str, ...], NDArray[np.int64]]:
    """Each name once, in order of appearance, and the number of each reading's name."""
    once, first, code = np.unique(np.asarray(names, dtype=str), return_index=True, return_inverse=True)
    order = np.argsort(first)
    place = np.empty(order.size, dtype=np.int64)
    place[order] = np.arange(order.size)
    return tuple(str(one) for one in once[order]), place[code]

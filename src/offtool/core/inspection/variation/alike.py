"""The chance that cavities which seem to differ are alike, for arrays: asked of every size of a trial."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from offtool.core.inspection.variation.means import of_parts, of_readings
from offtool.core.inspection.variation.table import centred, parts_of


def chance_cavities_alike(
    values: NDArray[np.float64],
    codes: NDArray[np.intp],
    cavities: int,
    *,
    shots: NDArray[np.float64] | None,
) -> float | None:
    """`cavity_differences(...).alike_p` for cavities numbered 0, 1, …; None where nothing can be told."""
    found = None if shots is None else of_parts(parts_of(values, codes, shots))
    if found is None:
        apart, _ = centred(values)
        found = of_readings(apart, codes, tuple(map(str, range(cavities))))
    return None if found is None else found.alike_p

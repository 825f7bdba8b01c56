"""How probable a measured colour is: of a piece in a known colour, or in one that nobody recorded."""

from __future__ import annotations

from math import log, pi

import numpy as np
from numpy.typing import ArrayLike, NDArray

from offtool.core.colour.difference import ciede2000

GAMUT_VOLUME_DE = 1.76e5
"""How many cubic units of CIEDE2000 the colours of a screen fill: integrated numerically. In CIELAB they
fill 8.2e5, but a density by CIEDE2000 needs the volume by CIEDE2000."""
NO_COLOUR_LOG_DENSITY = -log(GAMUT_VOLUME_DE)
"""Of a piece in a colour of none of those recorded: any colour of a screen, each as likely."""
LEAST_SD_DE = 0.2
"""No two readings of a moulded surface agree better (common practice, no source)."""

FARTHER, WIDER = 0.1, 2.0
"""So large a share of pieces scatters so many times as far as was stated. Spreads are stated too small more
often than not; without this, one a third too small costs 7 right answers of 100, with it none. Our own."""


def colour_log_likelihood(
    lab: ArrayLike, uncertainty_de: float, reference_lab: ArrayLike, spread_de: ArrayLike
) -> NDArray[np.float64]:
    """The logarithm of the density of a measured colour, for each reference in the last axis but one.

    log(0.9 N(s) + 0.1 N(2 s)), log N(s) = -1.5 log(2 pi s²) - ΔE00² / (2 s²), s² = spread² + uncertainty²: a
    normal density in the three axes of CIEDE2000, and a wider one for a tenth of the pieces. Spread and
    uncertainty are standard deviations along each axis; a whole difference is √3 larger in the root mean
    square.

    Returns: one number for each reference. Compare it with `NO_COLOUR_LOG_DENSITY`.
    """
    spread = np.asarray(spread_de, dtype=float)
    variance = np.maximum(spread**2 + uncertainty_de**2, LEAST_SD_DE**2)
    squared = ciede2000(lab, reference_lab) ** 2
    near = log(1 - FARTHER) + _log_normal(squared, variance)
    return np.logaddexp(near, log(FARTHER) + _log_normal(squared, WIDER**2 * variance))


def _log_normal(squared: NDArray[np.float64], variance: NDArray[np.float64]) -> NDArray[np.float64]:
    """Along three axes at once."""
    return np.asarray(-1.5 * np.log(2 * pi * variance) - squared / (2 * variance))

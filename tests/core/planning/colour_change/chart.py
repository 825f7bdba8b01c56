"""Published reflectances of the 24 patches of a chart."""

from __future__ import annotations

import csv

import numpy as np
from numpy.typing import NDArray

from tests.published import lines


def chart() -> dict[str, NDArray[np.float64]]:
    """Reflectance, 400 to 700 nm every 10 nm, by the patch's name."""
    rows = list(csv.reader(lines("chart_24_spectra.csv")))
    return {row[0]: np.array(row[1:], dtype=float) for row in rows[1:]}

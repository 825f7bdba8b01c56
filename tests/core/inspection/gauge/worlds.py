"""Gauge studies for tests: the published one, and drawn ones with their labels."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from tests.published import table

Study = tuple[NDArray[np.float64], list[str], list[str]]
"""Values, parts, operators."""


def published_study() -> Study:
    rows = table("gauge_10x3x3.csv")
    return np.array([float(value) for *_, value in rows]), [row[2] for row in rows], [row[0] for row in rows]


def drawn_study(
    seed: int, parts: int = 6, operators: int = 3, repeats: int = 2, *, operator_sd: float = 0.3
) -> Study:
    rng = np.random.default_rng(seed)
    shape = (parts, operators, repeats)
    part, operator = (axis.ravel() for axis in np.indices(shape)[:2])
    values = (
        rng.normal(0, 1, (parts, 1, 1))
        + rng.normal(0, operator_sd, (1, operators, 1))
        + rng.normal(0, 0.1, (parts, operators, 1))
        + rng.normal(0, 0.2, shape)
    )
    return values.ravel(), [f"p{one}" for one in part], [f"o{one}" for one in operator]

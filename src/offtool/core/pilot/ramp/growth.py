"""Pieces made by a line that learns until it runs as planned, and the yield that grows beside it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from offtool.core.pilot.ramp.asked import exponent

Floats = NDArray[np.float64]


def made_by(
    hours: Floats, rate: Floats, learning: Floats, made_before: float, planned: float
) -> tuple[Floats, Floats]:
    """Pieces made at each hour, a row for each line, and the hour at which each runs as planned.

    dN/dt = r0 (N / N0)^m, m below 1: closed, so that no step of time enters. m = 0 is a straight line, which
    never reaches a plan above it.
    """
    m = np.array([exponent(one) for one in learning.tolist()])[:, None]
    r0, start, power = rate[:, None], made_before, 1 - m
    more = np.maximum(planned / r0, 1.0)  # the plan over the rate at the start
    with np.errstate(divide="ignore", over="ignore"):
        at_plan = np.where(more > 1, start * more ** (1 / m), start)
    reached = (at_plan / more - start) / (power * r0)
    learns = (start**power + power * r0 * start**-m * np.minimum(hours, reached)) ** (1 / power)
    after = np.maximum(hours - reached, 0.0) * planned
    return learns - start + np.where(hours > reached, after, 0.0), reached[:, 0]


def yield_by(days: Floats, start: Floats, planned: float, days_to_half: float) -> Floats:
    """Yield on each day, a row for each line: the gap to the plan halves every so many days."""
    return planned - (planned - start[:, None]) * 2.0 ** (-days / days_to_half)

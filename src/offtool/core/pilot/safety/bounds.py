"""That no turn in a cell fits, and which turns look best: for many cells at once.

Seen from above, weights on the points with the mean m and the spread r (r^2 the weighted mean square about m)
show that a circle about c that holds them all has at least the radius sqrt(r^2 + |c - m|^2). So r beyond the
wall does not fit; and the middle of the gauge lies no deeper than m by sqrt(R^2 - r^2), which the slanting
floor needs. The weights come nearer to those of the smallest circle with each step; every step is a proof.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from offtool.core.pilot.safety.gauge import DEPTH, FLOOR, RADIUS, SLANT, Floats, supports

STEPS = 12
SLIDES = np.linspace(0.0, 14.0, 8)
"""How far to the deep side a shape is tried, in mm."""
ROUNDING = 1e-9
"""In mm: a proof must be clear of rounding."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """Shapes seen in frames: a proven circle (middle, radius squared), one that holds all, and the length."""

    across: Floats
    along: Floats
    least2: Floats
    most2: Floats
    length: Floats
    """Top and bottom less the depth of the gauge: what is left for its middle to make up."""
    farthest_along: Floats


def seen(points: Floats, frames: Floats) -> Seen:
    """The circle about the points seen from above, and their length, in each frame."""
    across, along, up = supports(points, frames)
    rows = np.arange(len(frames))

    def distances2(a: Floats, b: Floats) -> Floats:
        return np.asarray((across - a[:, None]) ** 2 + (along - b[:, None]) ** 2)

    one = distances2(across.mean(axis=1), along.mean(axis=1)).argmax(axis=1)
    other = distances2(across[rows, one], along[rows, one]).argmax(axis=1)
    a = (across[rows, one] + across[rows, other]) / 2
    b = (along[rows, one] + along[rows, other]) / 2
    r2 = ((across[rows, one] - across[rows, other]) ** 2 + (along[rows, one] - along[rows, other]) ** 2) / 4
    most2 = np.full(len(frames), np.inf)
    for _ in range(STEPS):
        d2 = distances2(a, b)
        far = d2.argmax(axis=1)
        d2 = d2[rows, far]
        most2 = np.minimum(most2, d2)
        step = np.maximum(d2 - r2, 0) / np.maximum(2 * d2, 1e-300)
        r2 = (1 - step) * r2 + step * (1 - step) * d2
        a, b = a + step * (across[rows, far] - a), b + step * (along[rows, far] - b)
    return Seen(
        across=a,
        along=b,
        least2=r2,
        most2=most2,
        length=up.max(axis=1) + (-up - SLANT * along).max(axis=1) - DEPTH,
        farthest_along=along.max(axis=1),
    )


def too_wide(one: Seen, moved: Floats) -> NDArray[np.bool_]:
    """No turn by which points move so far gets the shape through the wall."""
    return np.asarray(one.least2 > (RADIUS + moved + ROUNDING) ** 2)


def never_fits(one: Seen, moved: Floats) -> NDArray[np.bool_]:
    """No turn by which points move so far gets the shape in: too wide, or too long for where it can lie."""
    room = np.sqrt(np.maximum((RADIUS + moved) ** 2 - one.least2, 0))
    deepest = np.maximum(one.along - room, one.farthest_along - RADIUS - moved)
    too_long = one.length + SLANT * deepest > (1 + FLOOR) * moved + ROUNDING
    return np.asarray(too_wide(one, moved) | too_long)


def promise(one: Seen) -> Floats:
    """About how far each turn stands out at best, to choose which to look at closely; no proof."""
    wall = np.sqrt(one.most2[:, None] + SLIDES**2) - RADIUS
    length = (one.length[:, None] + SLANT * (one.along[:, None] - SLIDES)) / (1 + FLOOR)
    return np.asarray(np.maximum(wall, length).min(axis=1))

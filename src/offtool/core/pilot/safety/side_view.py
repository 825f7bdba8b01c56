"""A part in the small-parts cylinder as it is seen from the side, for drawings."""

from __future__ import annotations

import numpy as np

from offtool.core.pilot.safety.gauge import Floats
from offtool.core.pilot.safety.small_parts import GaugeHeld

DIRECTIONS = 48
"""The outline is taken in so many directions; between them it is straight."""

Outline = tuple[tuple[float, float], ...]


def seen_from_the_side(vertices_mm: Floats, held: GaugeHeld) -> Outline:
    """The outline of a part with its hollows filled, in mm: from the shallow to the deep side, and up.

    The middle of the rim is 0, 0. Each corner is the one that lies farthest in one of the directions.
    """
    points = np.asarray(vertices_mm, dtype=float) - np.asarray(held.rim)
    seen = np.column_stack([points @ np.asarray(held.deep_side), points @ np.asarray(held.up)])
    turns = np.arange(DIRECTIONS) * 2 * np.pi / DIRECTIONS
    ways = np.column_stack([np.cos(turns), np.sin(turns)])
    farthest = np.argmax(ways @ seen.T, axis=1)
    corners = seen[list(dict.fromkeys(farthest.tolist()))]
    return tuple((round(float(x), 2), round(float(y), 2)) for x, y in corners)

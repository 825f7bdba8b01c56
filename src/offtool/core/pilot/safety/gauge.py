"""The small-parts cylinder as three walls, and how far a turned shape stands beyond them.

The gauge is open above. Its axis is u, pointing out; w points from the shallow to the deep side. With h = u·p
and x = w·p, measured from the middle of the rim, a point p is inside where

    |p - h u| <= R   the wall
    h <= 0           the rim
    -h - x <= D      the floor, slanting at 45 degrees

R = 15.875 mm and D = 41.275 mm: half of 1.25 in, and the mean of the depths 1.00 in and 2.25 in, whose
difference is the diameter. The space inside is convex, so that a shape fits where its hull does.

Every distance here is of a placed shape: how much larger the gauge would have to be at every wall. Below 0 is
room. It changes by no more than the points move: each wall's distance does.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from offtool.handbook.toy_law import SMALL_PARTS

Floats = NDArray[np.float64]

RADIUS = SMALL_PARTS.diameter_mm / 2
DEPTH = (SMALL_PARTS.shallow_mm + SMALL_PARTS.deep_mm) / 2
SLANT = (SMALL_PARTS.deep_mm - SMALL_PARTS.shallow_mm) / SMALL_PARTS.diameter_mm
"""Fall of the floor across the gauge: 1."""
FLOOR = float(np.hypot(1.0, SLANT))
"""Depth over distance from the floor."""
VOLUME = float(np.pi * RADIUS**2 * DEPTH)
LONGEST = float(np.hypot(SMALL_PARTS.diameter_mm, SMALL_PARTS.deep_mm))
"""From the rim on the shallow side to the deepest point: no longer straight line is inside."""


def supports(points: Floats, frames: Floats) -> tuple[Floats, Floats, Floats]:
    """Points seen in each frame: across the slant, along it, and up. A row a frame, a column a point."""
    seen = frames @ points.T
    return seen[:, 0], seen[:, 1], seen[:, 2]


def stands_out(points: Floats, frame: Floats, place: Floats) -> float:
    """How far the placed shape stands beyond the walls, in mm. `frame`: rows across, along the slant, up.

    `place` is the middle of the gauge as the frame sees it, across and along; up, rim and floor share alike.
    """
    across, along, up = (frame @ points.T) - np.append(place, 0.0)[:, None]
    wall = np.hypot(across, along).max() - RADIUS
    return float(max(wall, _length(up.max(), (-up - SLANT * along).max())))


def _length(top: float, bottom: float) -> float:
    """Beyond rim and floor, shared alike: top + t = e and bottom - t - D = e FLOOR give e."""
    return (top + bottom - DEPTH) / (1 + FLOOR)


def rim_of(points: Floats, frame: Floats, place: Floats) -> Floats:
    """The middle of the rim in the shape's own axes, rim and floor sharing what stands out."""
    seen = points @ frame.T - np.append(place, 0.0)
    top, bottom = seen[:, 2].max(), (-seen[:, 2] - SLANT * seen[:, 1]).max()
    return np.asarray(frame.T @ np.append(place, top - _length(top, bottom)))


def beyond(points: Floats, frame: Floats, rim: Floats) -> float:
    """How far points stand beyond the walls of a gauge so placed, each by itself: the check of a pose."""
    across, along, up = frame @ (points - rim).T
    wall = np.hypot(across, along).max() - RADIUS
    floor = ((-up - SLANT * along - DEPTH) / FLOOR).max()
    return float(max(wall, up.max(), floor))

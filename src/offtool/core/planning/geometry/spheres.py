"""The largest sphere inside a part that touches its surface at a point: what has to cool there.

From the point a bundle of rays looks for what could hold the sphere; each place that is met allows one sphere
through it, and the smallest stands. Rays then close in on the place that decided.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from offtool.core.planning.geometry.mesh import Flags, Floats
from offtool.core.planning.geometry.rays import Rays

WIDEST = float(np.radians(67.5))
"""What holds a sphere farther from straight ahead lies within 45° of where it touches, seen from its middle:
that is the same surface, cut into flat pieces."""
BUNDLE = 48
CLOSER = tuple(float(np.radians(degrees)) for degrees in (8, 3, 1))
"""Rings of rays about the deciding one, each narrower than the last."""
RING = 6
FACING = float(np.radians(33))
"""A wall has another side where something about straight ahead holds the sphere; at a square corner the
neighbour does, 45° off."""
AS_GOOD = 1.05
"""The sphere is held straight ahead, too, where that would allow it to be no larger than so many times."""


def largest_spheres(
    points: Floats, normals: Floats, rays: Rays, *, bundle: int = BUNDLE
) -> tuple[Floats, Flags]:
    """The diameter of the largest sphere that touches each point from inside, and whether a wall stands on
    its other side. Infinite where no ray meets anything.

    2 r = d / cos(a) for a place at the distance d, seen at the angle a from straight ahead.
    """
    frame = normals, *_across(normals)
    starts = points - normals * rays.step
    size = np.full(len(points), np.inf)
    ahead = np.full(len(points), np.inf)
    best_angle, best_turn = np.zeros(len(points)), np.zeros(len(points))
    for angle, turn in _bundle(bundle):
        through = _through(starts, frame, np.full(len(points), angle), np.full(len(points), turn), rays)
        if angle <= FACING:
            ahead = np.minimum(ahead, through)
        best_angle[through < size], best_turn[through < size] = angle, turn
        size = np.minimum(size, through)
    for width in CLOSER:
        size = _closer(starts, frame, best_angle, best_turn, size, width, rays)
    return size, np.asarray((ahead <= AS_GOOD * size) & np.isfinite(size))


def _bundle(many: int) -> Iterator[tuple[float, float]]:
    """Angle from straight ahead and turn about it, evenly over the bundle, straight ahead first."""
    yield 0.0, 0.0
    golden = np.pi * (3 - np.sqrt(5))
    for i in range(many):
        share = (i + 0.5) / many
        yield float(np.arccos(1 - share * (1 - np.cos(WIDEST)))), float(golden * i)


def _through(
    starts: Floats, frame: tuple[Floats, Floats, Floats], angle: Floats, turn: Floats, rays: Rays
) -> Floats:
    """The diameter of the sphere through what a ray meets."""
    ahead, right, up = frame
    sine = np.sin(angle)
    way = (
        -ahead * np.cos(angle)[:, None]
        + right * (sine * np.cos(turn))[:, None]
        + up * (sine * np.sin(turn))[:, None]
    )
    _, far = rays.first(starts, way)
    return np.maximum(far, 0.0) / np.cos(angle) + rays.step


def _closer(
    starts: Floats,
    frame: tuple[Floats, Floats, Floats],
    angle: Floats,
    turn: Floats,
    size: Floats,
    width: float,
    rays: Rays,
) -> Floats:
    """The smallest sphere over a ring of rays about the one that decided; `angle` and `turn` follow it."""
    middle_angle, middle_turn = angle.copy(), turn.copy()
    for i in range(RING):
        step, around = width * np.cos(2 * np.pi * i / RING), width * np.sin(2 * np.pi * i / RING)
        a = middle_angle + step
        t = middle_turn + around / np.maximum(np.sin(middle_angle), 0.1)
        is_inside = (np.abs(a) <= WIDEST) & np.isfinite(size)
        rows = np.flatnonzero(is_inside)
        some = tuple(part[rows] for part in frame)
        through = _through(starts[rows], some, a[rows], t[rows], rays)  # type: ignore[arg-type]
        is_smaller = through < size[rows]
        better = rows[is_smaller]
        size[better], angle[better], turn[better] = through[is_smaller], a[better], t[better]
    return size


def _across(normals: Floats) -> tuple[Floats, Floats]:
    """Two directions across each normal."""
    least = np.eye(3)[np.argmin(np.abs(normals), axis=1)]
    right = np.cross(least, normals)
    right /= np.maximum(np.linalg.norm(right, axis=1, keepdims=True), 1e-300)
    return right, np.cross(normals, right)

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
AT_ONCE = 20_000
"""Rays of one call, about: fewer cost more for the call than for the rays."""
ROUNDED = 1.001
"""A ray goes on a little behind the place that would matter: its reach is in single precision."""


def largest_spheres(
    points: Floats, normals: Floats, rays: Rays, *, bundle: int = BUNDLE
) -> tuple[Floats, Flags]:
    """The diameter of the largest sphere that touches each point from inside, and whether a wall stands on
    its other side. Infinite where no ray meets anything.

    2 r = d / cos(a) for a place at the distance d, seen at the angle a from straight ahead.
    """
    frame = normals, *_across(normals)
    starts = points - normals * rays.step
    size, ahead = np.full(len(points), np.inf), np.full(len(points), np.inf)
    best_angle, best_turn = np.zeros(len(points)), np.zeros(len(points))
    angles, turns = _bundle(bundle)
    for some in _batches(len(angles), len(points)):
        angle, turn = angles[some, None], turns[some, None]
        through = _through(starts, frame, angle, turn, AS_GOOD * size, rays)
        ahead = np.minimum(ahead, through[angles[some] <= FACING].min(axis=0, initial=np.inf))
        _follow(through, size, ((best_angle, angle), (best_turn, turn)))
    for width in CLOSER:
        _closer(starts, frame, best_angle, best_turn, size, width, rays)
    return size, np.asarray((ahead <= AS_GOOD * size) & np.isfinite(size))


def _bundle(many: int) -> tuple[Floats, Floats]:
    """Angle from straight ahead and turn about it, evenly over the bundle, straight ahead first."""
    share = (np.arange(many) + 0.5) / many
    angle = np.arccos(1 - share * (1 - np.cos(WIDEST)))
    golden = np.pi * (3 - np.sqrt(5))
    return np.concatenate([[0.0], angle]), np.concatenate([[0.0], golden * np.arange(many)])


def _batches(many: int, points: int) -> Iterator[slice]:
    """So many directions at once that the rays are worth a call: all of them for few points, one for many."""
    step = max(AT_ONCE // max(points, 1), 1)
    yield from (slice(start, min(start + step, many)) for start in range(0, many, step))


def _through(
    starts: Floats,
    frame: tuple[Floats, Floats, Floats],
    angle: Floats,
    turn: Floats,
    allowed: Floats,
    rays: Rays,
) -> Floats:
    """The diameter of the sphere through what each ray meets: a row a direction, a column a point.

    A ray ends where the sphere would be larger than `allowed`; it is infinite then.
    """
    ahead, right, up = frame
    sine, cosine = np.sin(angle)[..., None], np.cos(angle)
    across, along = sine * np.cos(turn)[..., None], sine * np.sin(turn)[..., None]
    way = -ahead * cosine[..., None] + right * across + up * along
    reach = (allowed * cosine * ROUNDED + 2 * rays.step).ravel()
    _, far = rays.first(np.broadcast_to(starts, way.shape).reshape(-1, 3), way.reshape(-1, 3), reach)
    return np.maximum(far.reshape(way.shape[:-1]), 0.0) / cosine + rays.step


def _closer(
    starts: Floats,
    frame: tuple[Floats, Floats, Floats],
    angle: Floats,
    turn: Floats,
    size: Floats,
    width: float,
    rays: Rays,
) -> None:
    """A ring of rays about the one that decided; `size`, `angle` and `turn` follow the smallest sphere."""
    round_it = 2 * np.pi * np.arange(RING)[:, None] / RING
    ring_angle = angle + width * np.cos(round_it)
    ring_turn = turn + width * np.sin(round_it) / np.maximum(np.sin(angle), 0.1)
    for some in _batches(RING, len(starts)):
        a, t = ring_angle[some], ring_turn[some]
        through = _through(starts, frame, a, t, size, rays)
        through[np.abs(a) > WIDEST] = np.inf
        _follow(through, size, ((angle, a), (turn, t)))


def _follow(through: Floats, size: Floats, seen: tuple[tuple[Floats, Floats], ...]) -> None:
    """Take over the first of the smallest spheres where it is smaller than before, and how it was seen."""
    first = np.argmin(through, axis=0)
    column = np.arange(len(size))
    better = np.flatnonzero(through[first, column] < size)
    size[better] = through[first[better], better]
    for kept, tried in seen:
        kept[better] = np.broadcast_to(tried, through.shape)[first[better], better]


def _across(normals: Floats) -> tuple[Floats, Floats]:
    """Two directions across each normal."""
    least = np.eye(3)[np.argmin(np.abs(normals), axis=1)]
    right = np.cross(least, normals)
    right /= np.maximum(np.linalg.norm(right, axis=1, keepdims=True), 1e-300)
    return right, np.cross(normals, right)

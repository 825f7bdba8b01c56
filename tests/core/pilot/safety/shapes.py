"""Shapes for the small-parts cylinder, as the corners of their hulls."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

R, D = 15.875, 41.275
"""Half of 1.25 in, and the mean of the depths 1.00 in and 2.25 in, in mm."""


def box(a: float, b: float, c: float) -> Floats:
    return np.array([[x, y, z] for x in (0, a) for y in (0, b) for z in (0, c)], dtype=float)


def ball(diameter: float, points: int, seed: int) -> Floats:
    """Points all over a ball, evenly on the whole and at random in the small."""
    v = np.random.default_rng(seed).normal(size=(points, 3))
    return np.asarray(diameter / 2 * v / np.linalg.norm(v, axis=1, keepdims=True))


def turned(points: Floats, seed: int) -> Floats:
    """The points turned and shifted at random."""
    random = np.random.default_rng(seed)
    q, _ = np.linalg.qr(random.normal(size=(3, 3)))
    return np.asarray(points @ (q * np.sign(np.linalg.det(q))) + random.normal(size=3) * 50)


def inside_gauge(points: int, seed: int, share: float = 1.0) -> Floats:
    """Points on walls, rim and floor of the gauge made smaller by a share, drawn at random."""
    random = np.random.default_rng(seed)
    turn = random.uniform(0, 2 * np.pi, points)
    radius = R * np.where(random.random(points) < 0.7, 1.0, np.sqrt(random.random(points)))
    x, y = radius * np.cos(turn), radius * np.sin(turn)
    where = np.where(radius < R, random.integers(0, 2, points), random.random(points))
    return share * np.column_stack([x, y, -where * (D + y)])


def out_of_gauge(points: Floats, frame: Floats, rim: Floats) -> float:
    """How far points are beyond rim, wall or floor, by the distance from each, written out once more."""
    local = (points - rim) @ frame.T
    wall = np.sqrt(local[:, 0] ** 2 + local[:, 1] ** 2) - R
    floor_normal = np.array([0.0, -1.0, -1.0]) / np.sqrt(2)
    floor = (local - [0.0, 0.0, -D]) @ floor_normal
    return float(np.max([wall, local[:, 2], floor]))

"""What of a shape counts in a space without hollows: its hull, where it is, and how large it is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from offtool.core.pilot.safety.gauge import Floats
from offtool.core.values import ImpossibleInput

FEW = 64
"""So many points stand for the hull where many turns are looked at."""
FLAT = 1e-9
"""A shape thinner than this share of its size has no inside: its points are what there is."""
MOST_POINTS = 5_000_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Hull:
    """The corners, about the middle of a small ball about them; volume, surface, and the ball inside.

    `few` are some of the corners: what does not fit of them does not fit of the whole.
    """

    points: Floats
    few: Floats
    middle: Floats
    reach_mm: float
    volume_mm3: float
    surface_mm2: float
    inside_mm: float
    """Radius of the largest ball inside."""
    longest_mm: float
    """The longest straight line between some corners: the shape is no shorter."""


def hull_of(vertices_mm: Floats) -> Hull:
    """The hull of points, a row each. Raises: ImpossibleInput for none, or for what is no point."""
    points = _checked(vertices_mm)
    corners, faces, volume, surface = _corners(points)
    middle = _middle(corners)
    corners = corners - middle
    few = _few(corners)
    between = few[:, None] - few[None]
    return Hull(
        points=corners,
        few=few,
        middle=middle,
        reach_mm=float(np.linalg.norm(corners, axis=1).max()),
        volume_mm3=volume,
        surface_mm2=surface,
        inside_mm=0.0 if faces is None else _ball_inside(faces),
        longest_mm=float(np.sqrt((between**2).sum(axis=2).max())),
    )


def _checked(vertices_mm: Floats) -> Floats:
    points = np.asarray(vertices_mm, dtype=float)
    if points.ndim != 2 or points.shape[1] != 3 or not len(points):
        raise ImpossibleInput(
            "vertices_mm", points.shape, "", "must be points, a row of three numbers each", "read a mesh"
        )
    if len(points) > MOST_POINTS:
        raise ImpossibleInput("vertices_mm", len(points), "points", f"must be at most {MOST_POINTS}")
    bad = np.flatnonzero(~np.isfinite(points).all(axis=1))
    if bad.size:
        raise ImpossibleInput("vertices_mm", points[bad[0]], "mm", f"must be finite, in row {bad[0] + 1}")
    return points


def _corners(points: Floats) -> tuple[Floats, Floats | None, float, float]:
    """Corners, planes of the faces, volume and surface; of a flat shape all of its points, and both sides."""
    from scipy.spatial import ConvexHull

    about = points - points.mean(axis=0)
    if len(points) < 4:
        return np.unique(points, axis=0), None, 0.0, 0.0
    _, sizes, axes = np.linalg.svd(about, full_matrices=False)
    dimensions = int((sizes > FLAT * max(float(sizes[0]), 1e-30)).sum())
    if dimensions == 3:
        hull = ConvexHull(points)
        return points[hull.vertices], hull.equations, float(hull.volume), float(hull.area)
    if dimensions == 2:
        hull = ConvexHull(about @ axes[:2].T)
        return points[hull.vertices], None, 0.0, 2 * float(hull.volume)
    along = about @ axes[0]
    return points[[int(along.argmin()), int(along.argmax())]], None, 0.0, 0.0


def _middle(points: Floats) -> Floats:
    """Near the middle of the smallest ball about the points: steps to the farthest, each shorter."""
    middle = points.mean(axis=0)
    for step in range(1, 200):
        farthest = points[((points - middle) ** 2).sum(axis=1).argmax()]
        middle = middle + (farthest - middle) / (step + 1)
    return np.asarray(middle)


def _few(points: Floats) -> Floats:
    """The corners farthest out in evenly spread directions."""
    if len(points) <= FEW:
        return points
    k = np.arange(FEW) + 0.5
    up, turn = 1 - 2 * k / FEW, np.pi * (1 + np.sqrt(5)) * k
    level = np.sqrt(1 - up**2)
    ways = np.stack([level * np.cos(turn), level * np.sin(turn), up])
    return np.asarray(points[np.unique((points @ ways).argmax(axis=0))])


def _ball_inside(faces: Floats) -> float:
    """The largest r with n·c + r <= -d for every face n·x + d <= 0 of unit n."""
    from scipy.optimize import linprog

    found = linprog(
        [0, 0, 0, -1],
        A_ub=np.column_stack([faces[:, :3], np.ones(len(faces))]),
        b_ub=-faces[:, 3],
        bounds=[(None, None)] * 3 + [(0, None)],
    )
    return float(found.x[3]) if found.success and found.x is not None else 0.0

"""Wall thickness over the whole surface, by two ways that fail differently: a ray and a sphere.

A ray goes straight in and says how far the other side is. It is right on flat walls and looks along a rib or
into an edge where it meets one. A sphere says what has to cool: it is right where walls meet, and small in
every outer corner. Where both agree the wall is known; where they do not, it is said why.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from offtool.core.planning.geometry.mesh import Flags, Floats, Mesh
from offtool.core.planning.geometry.rays import MISSED, Rays
from offtool.core.planning.geometry.samples import smooth_normals, spread_points
from offtool.core.planning.geometry.spheres import largest_spheres

POINTS = 20_000
LARGEST, CLOSELY = 600, 512
"""The largest spheres are measured again, each with so many rays."""
MOST_PLACES = 4
THICK = 1.5
"""Times the median: from here on a wall cools late and sinks; common practice, no source."""
PLACE_WORTH_NAMING = 1.2
"""Times the median, below which a thickest place is no news."""
SAME_PLACE = 0.8
"""Spheres of at least this share of the largest, without a gap between them, are one place."""
LONGER = 1.5
"""A ray so many times longer than the sphere has looked along something."""
BINS = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class WallSpread:
    """How wall thickness is spread over the surface, each piece of it counted by its area."""

    p5_mm: float
    median_mm: float
    p95_mm: float
    most_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ThickPlace:
    """A place where much has to cool: the middle of a large sphere inside the part."""

    x_mm: float
    y_mm: float
    z_mm: float
    thickness_mm: float
    ray_mm: float | None
    """What the ray says there; None where it left the part."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WallFinding:
    """Wall thickness of a part."""

    by_sphere: WallSpread
    """Over the surface that has another side."""
    by_ray: WallSpread
    """Over the same surface."""
    thickest: tuple[ThickPlace, ...]
    """Apart from each other, the thickest first."""
    thick_share: float
    """Share of the surface thicker than 1.5 times the median."""
    thin_mm: float | None
    thin_share: float | None
    """Share of the surface thinner than `thin_mm`; None where no limit is given."""
    disagree_share: float
    """Where the ray is more than 1.5 times as long as the sphere is wide."""
    corner_share: float
    """Where a neighbour holds the sphere and no other side: rims and outer corners, not counted as wall."""
    missed_share: float
    """Where the ray left the part through a hole of the mesh."""
    edges_mm: tuple[float, ...]
    shares: tuple[float, ...]
    """Share of the wall in each step between two edges, by the sphere."""
    points: int


@dataclass(frozen=True, kw_only=True)
class WallMap:
    """Each point that was measured; what the picture is coloured by."""

    points: Floats
    normals: Floats
    ray_mm: Floats
    """Infinite where the ray left the part."""
    sphere_mm: Floats
    is_wall: Flags
    """Whether there is another side, as against a rim or an outer corner."""


def map_walls(mesh: Mesh, rays: Rays, count: int = POINTS) -> WallMap:
    """Measure the wall at points spread evenly over the surface."""
    spread = spread_points(mesh, count)
    normals = smooth_normals(mesh, spread)
    met, far = rays.first(spread.points - normals * rays.step, -normals)
    ray = np.where(met == MISSED, np.inf, np.maximum(far, 0) + rays.step)
    sphere, has_another_side = largest_spheres(spread.points, normals, rays)
    largest = np.argsort(np.where(np.isfinite(sphere), sphere, 0))[-LARGEST:]
    sphere[largest], has_another_side[largest] = largest_spheres(
        spread.points[largest], normals[largest], rays, bundle=CLOSELY
    )
    return WallMap(
        points=spread.points,
        normals=normals,
        ray_mm=ray,
        sphere_mm=np.minimum(sphere, ray),
        is_wall=has_another_side & np.isfinite(ray),
    )


def find_walls(walls: WallMap, thin_mm: float | None = None) -> WallFinding | None:
    """What the points say together; None where no wall has another side."""
    wall = walls.sphere_mm[walls.is_wall]
    if not len(wall):
        return None
    ray = walls.ray_mm[walls.is_wall]
    spread = _spread(wall)
    edges, shares = _steps(wall)
    return WallFinding(
        by_sphere=spread,
        by_ray=_spread(ray),
        thickest=_thickest(walls, spread.median_mm),
        thick_share=float((wall > THICK * spread.median_mm).mean()),
        thin_mm=thin_mm,
        thin_share=None if thin_mm is None else float((wall < thin_mm).mean()),
        disagree_share=float((ray > LONGER * wall).mean()),
        corner_share=float((~walls.is_wall & np.isfinite(walls.ray_mm)).mean()),
        missed_share=float((~np.isfinite(walls.ray_mm)).mean()),
        edges_mm=edges,
        shares=shares,
        points=len(walls.points),
    )


def _spread(values: Floats) -> WallSpread:
    p5, median, p95 = np.quantile(values, [0.05, 0.5, 0.95])
    return WallSpread(
        p5_mm=float(p5), median_mm=float(median), p95_mm=float(p95), most_mm=float(values.max())
    )


def _steps(wall: Floats) -> tuple[tuple[float, ...], tuple[float, ...]]:
    counts, edges = np.histogram(wall, bins=BINS, range=(0, float(wall.max()) * (1 + 1e-9)))
    return tuple(map(float, edges)), tuple(float(one) for one in counts / len(wall))


def _thickest(walls: WallMap, median: float) -> tuple[ThickPlace, ...]:
    """The largest sphere of all, and others well above the median, each from a place of its own."""
    free = np.isfinite(walls.ray_mm)
    size = np.where(free, walls.sphere_mm, 0)
    centres = walls.points - walls.normals * (size / 2)[:, None]
    places: list[ThickPlace] = []
    while free.any() and len(places) < MOST_PLACES:
        top = int(np.argmax(np.where(free, size, -1)))
        if places and size[top] < PLACE_WORTH_NAMING * median:
            break
        places.append(_place(walls, centres[top], top))
        big = free & (size > SAME_PLACE * size[top])
        free[big] = ~_hangs_together(centres[big], centres[top], size[top])
        free &= np.linalg.norm(centres - centres[top], axis=1) > (size + size[top]) / 2
    return tuple(places)


def _hangs_together(centres: Floats, top: Floats, size: float) -> Flags:
    """Which of the spheres about as large as the top one hang together with it, as along a boss or a rib."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components
    from scipy.spatial import cKDTree

    cell = np.floor((centres - top) / (size / 2)).astype(np.int64)
    cells, number = np.unique(cell, axis=0, return_inverse=True)
    pairs = cKDTree(cells).query_pairs(1.8, output_type="ndarray")
    links = coo_array((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(len(cells), len(cells)))
    _, group = connected_components(links, directed=False)
    nearest = int(np.argmin(np.linalg.norm(centres - top, axis=1)))
    return np.asarray(group[number.ravel()] == group[number.ravel()[nearest]])


def _place(walls: WallMap, centre: Floats, row: int) -> ThickPlace:
    x, y, z = (float(one) for one in centre)
    size, ray = float(walls.sphere_mm[row]), float(walls.ray_mm[row])
    return ThickPlace(x_mm=x, y_mm=y, z_mm=z, thickness_mm=size, ray_mm=ray if np.isfinite(ray) else None)

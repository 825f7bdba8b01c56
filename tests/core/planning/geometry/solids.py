"""Solids whose sizes are known: made here or by trimesh, never by the code under test."""

from __future__ import annotations

import numpy as np
import trimesh
from shapely.geometry import Polygon

from offtool.core.planning.geometry import Inspected, Mesh, PartGeometry, inspect_mesh, measure_part

POINTS = 4000
"""Enough points for a test, and quick."""


def mesh(solid: trimesh.Trimesh) -> Mesh:
    """The triangles of a solid."""
    return Mesh(vertices=np.array(solid.vertices), faces=np.array(solid.faces))


def box(*sides: float) -> trimesh.Trimesh:
    """A box about the origin."""
    return trimesh.creation.box(sides)


def ball(radius: float = 10.0, subdivisions: int = 3) -> trimesh.Trimesh:
    """A sphere cut into flat faces."""
    return trimesh.creation.icosphere(subdivisions=subdivisions, radius=radius)


def ring(major: float, minor: float, *, around: int = 96, across: int = 48) -> trimesh.Trimesh:
    """A torus about z."""
    return trimesh.creation.torus(major, minor, major_sections=around, minor_sections=across)


def hollow(outer: tuple[float, float, float], wall: float) -> trimesh.Trimesh:
    """A closed box with an even wall."""
    inner = box(*(side - 2 * wall for side in outer))
    inner.invert()
    return trimesh.util.concatenate([box(*outer), inner])


def angle(leg: float, wall: float, length: float) -> trimesh.Trimesh:
    """Two legs at a right angle, drawn out along z."""
    rim = [(0, 0), (leg, 0), (leg, wall), (wall, wall), (wall, leg), (0, leg)]
    return trimesh.creation.extrude_polygon(Polygon(rim), length)


def without(solid: trimesh.Trimesh, faces: int) -> trimesh.Trimesh:
    """The solid with its last faces taken away."""
    return trimesh.Trimesh(solid.vertices, solid.faces[:-faces], process=False)


def looked_at(solid: trimesh.Trimesh) -> Inspected:
    """A solid as inspected."""
    return inspect_mesh(mesh(solid))


def measured(
    solid: trimesh.Trimesh,
    direction: tuple[float, float, float] = (0.0, 0.0, 1.0),
    *,
    points: int = POINTS,
    density: float | None = None,
    thin_mm: float | None = None,
) -> PartGeometry:
    """What a solid measures."""
    found = measure_part(
        looked_at(solid), direction=direction, points=points, density_g_cm3=density, thin_mm=thin_mm
    )
    return found.geometry

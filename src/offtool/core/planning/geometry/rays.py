"""Rays through a mesh: what each meets first, and how far away.

The rays run in single precision over a mesh that is moved to its middle; the distance is then computed anew
from the plane of the triangle, in double precision.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from offtool.core.planning.geometry.mesh import Floats, Indices, Mesh
from offtool.core.values import OfftoolError

STEP = 2e-6
"""How far a ray starts off its triangle, as a share of the part's size: more than single precision rounds."""
MISSED = -1


class Rays:
    """A mesh ready for rays; made once for all questions."""

    def __init__(self, mesh: Mesh) -> None:
        scenes, triangles = _embree()
        low, high = mesh.box
        self._mesh, self._middle = mesh, (low + high) / 2
        self.step = STEP * mesh.size_mm
        self._scene: Any = scenes.EmbreeScene()
        moved = (mesh.vertices - self._middle).astype(np.float32)
        triangles.TriangleMesh(self._scene, moved, mesh.faces.astype(np.int32))

    def first(self, starts: Floats, ways: Floats, reach: Floats | None = None) -> tuple[Indices, Floats]:
        """For each ray the triangle it meets first (-1 for none), and the distance to it (infinite).

        `ways` have length one; `reach` ends a ray.
        """
        if not len(starts):
            return np.empty(0, dtype=np.int64), np.empty(0)
        near = (starts - self._middle).astype(np.float32)
        told = {} if reach is None else {"dists": reach.astype(np.float32)}
        met = self._scene.run(near, ways.astype(np.float32), **told).astype(np.int64)
        return met, self._distances(met, starts, ways)

    def _distances(self, met: Indices, starts: Floats, ways: Floats) -> Floats:
        far = np.full(len(met), np.inf)
        hit = np.flatnonzero(met != MISSED)
        normal = self._mesh.normals[met[hit]]
        corner = self._mesh.vertices[self._mesh.faces[met[hit], 0]]
        along = np.einsum("ij,ij->i", normal, ways[hit])
        rise = np.einsum("ij,ij->i", normal, corner - starts[hit])
        # a ray that runs in the plane of its triangle meets it nowhere in particular
        far[hit] = np.divide(rise, along, out=np.full(len(hit), np.inf), where=np.abs(along) > 1e-9)
        return far


def _embree() -> tuple[Any, Any]:
    try:
        from embreex import mesh_construction, rtcore_scene
    except ImportError as error:
        raise geometry_missing("embreex") from error
    return rtcore_scene, mesh_construction


def geometry_missing(package: str) -> OfftoolError:
    """What to install where a mesh cannot be measured."""
    return OfftoolError(
        f"a mesh cannot be measured without {package}",
        remedy="install the extra: pip install 'offtool[geometry]'",
    )

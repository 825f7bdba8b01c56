"""A part as triangles: corners in mm, and the few sizes that follow from them at once."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from offtool.core.values import ImpossibleInput

Floats: TypeAlias = NDArray[np.float64]
Indices: TypeAlias = NDArray[np.int64]
Flags: TypeAlias = NDArray[np.bool_]

MOST_TRIANGLES = 4_000_000
"""A larger mesh is refused before it takes the memory of everybody else."""


@dataclass(frozen=True, kw_only=True)
class Mesh:
    """Triangles over shared corners; counter-clockwise seen from outside where the mesh is sound."""

    vertices: Floats
    """One row of x, y, z for each corner, in mm."""
    faces: Indices
    """One row of three corners for each triangle."""

    def __post_init__(self) -> None:
        object.__setattr__(self, "vertices", np.ascontiguousarray(self.vertices, dtype=np.float64))
        object.__setattr__(self, "faces", np.ascontiguousarray(self.faces, dtype=np.int64))
        _refuse_impossible(self.vertices, self.faces)

    @cached_property
    def normals_doubled(self) -> Floats:
        """For each triangle its normal, as long as twice its area."""
        a, b, c = self.corners()
        return np.cross(b - a, c - a)

    @cached_property
    def areas(self) -> Floats:
        """The area of each triangle, mm²."""
        return np.asarray(np.linalg.norm(self.normals_doubled, axis=1) / 2)

    @cached_property
    def normals(self) -> Floats:
        """For each triangle the direction it looks in; zero where it has no area."""
        length = 2 * self.areas[:, None]
        return np.divide(
            self.normals_doubled, length, out=np.zeros_like(self.normals_doubled), where=length > 0
        )

    @cached_property
    def box(self) -> tuple[Floats, Floats]:
        """The lowest and the highest corner of the box around what the triangles use."""
        used = self.used_vertices
        return used.min(axis=0), used.max(axis=0)

    @property
    def used_vertices(self) -> Floats:
        """The corners that some triangle has."""
        is_used = np.zeros(len(self.vertices), dtype=bool)
        is_used[self.faces.ravel()] = True
        return self.vertices if is_used.all() else self.vertices[is_used]

    @property
    def size_mm(self) -> float:
        """The diagonal of the box."""
        low, high = self.box
        return float(np.linalg.norm(high - low))

    def corners(self, which: Indices | slice | None = None) -> tuple[Floats, Floats, Floats]:
        """The three corners of all triangles, or of some."""
        faces = self.faces if which is None else self.faces[which]
        return self.vertices[faces[:, 0]], self.vertices[faces[:, 1]], self.vertices[faces[:, 2]]

    def signed_volume(self) -> float:
        """The volume that the triangles enclose, mm³, by the divergence theorem; negative where inside out.

        V = 1/6 sum a · (b x c), taken from the middle of the box, so that a part far from the origin loses
        no digits.
        """
        low, high = self.box
        a = self.vertices[self.faces[:, 0]] - (low + high) / 2
        return float(np.einsum("ij,ij->", a, self.normals_doubled) / 6)

    def with_faces(self, faces: Indices) -> Mesh:
        """The same corners under other triangles."""
        return Mesh(vertices=self.vertices, faces=faces)


def unit_vector(direction: tuple[float, float, float]) -> Floats:
    """A direction with length one. Raises ImpossibleInput for one that points nowhere."""
    vector = np.asarray(direction, dtype=float)
    length = float(np.linalg.norm(vector))
    if vector.shape != (3,) or not np.isfinite(length) or length == 0:
        remedy = "give three numbers such as 0, 0, 1"
        raise ImpossibleInput("direction", direction, "", "must point somewhere", remedy)
    return np.asarray(vector / length)


def _refuse_impossible(vertices: Floats, faces: Indices) -> None:
    if vertices.ndim != 2 or vertices.shape[1] != 3 or faces.ndim != 2 or faces.shape[1] != 3:
        raise ImpossibleInput("mesh", f"{vertices.shape}, {faces.shape}", "", "must be rows of three")
    if not len(faces):
        raise ImpossibleInput("mesh", "no triangle", "", "must have a triangle", "export the part once more")
    if len(faces) > MOST_TRIANGLES:
        remedy = "export it coarser: 0.01 mm from the true surface is enough"
        raise ImpossibleInput("mesh", len(faces), "triangles", f"at most {MOST_TRIANGLES:,}", remedy)
    if faces.min() < 0 or faces.max() >= len(vertices):
        raise ImpossibleInput("mesh", int(faces.max()), "", "names a corner that is not there")
    if not np.isfinite(vertices).all():
        raise ImpossibleInput("mesh", "a corner", "", "must have finite numbers", "export the part once more")

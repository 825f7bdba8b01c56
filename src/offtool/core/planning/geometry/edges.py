"""The edges of a mesh, sorted so that the triangles at each edge lie side by side."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from offtool.core.planning.geometry.mesh import Flags, Indices, Mesh


@dataclass(frozen=True, slots=True, kw_only=True)
class Edges:
    """Every side of every triangle, in the order of the edge it lies on."""

    low: Indices
    """The lower of its two corners."""
    high: Indices
    runs_up: Flags
    """Whether its triangle runs along it from the lower corner to the higher."""
    face: Indices
    starts: Indices
    """Where in these rows each edge begins."""
    triangles: Indices
    """How many triangles meet at each edge."""

    def rows_of(self, edge: Indices) -> Indices:
        """The first row of each of some edges."""
        return self.starts[edge]


def edges_of(mesh: Mesh) -> Edges:
    """All edges; triangles that use a corner twice have none of their own and must be gone before."""
    a = mesh.faces.ravel()
    b = mesh.faces[:, [1, 2, 0]].ravel()
    low, high = np.minimum(a, b), np.maximum(a, b)
    order = np.argsort(low * len(mesh.vertices) + high, kind="stable")
    low, high = low[order], high[order]
    is_new = np.ones(len(low), dtype=bool)
    is_new[1:] = (low[1:] != low[:-1]) | (high[1:] != high[:-1])
    starts = np.flatnonzero(is_new)
    return Edges(
        low=low,
        high=high,
        runs_up=(a < b)[order],
        face=order // 3,
        starts=starts,
        triangles=np.diff(np.append(starts, len(low))),
    )

"""Where a mesh runs through itself: its edges sent as rays against triangles that they do not belong to."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from offtool.core.planning.geometry.edges import Edges
from offtool.core.planning.geometry.mesh import Flags, Floats, Indices, Mesh
from offtool.core.planning.geometry.rays import MISSED, Rays

MOST_LOOKS = 6
"""How often a ray goes on behind a neighbour before it is given up."""
AT_THE_END = 1e-4
"""Share of an edge at both ends where what it meets is a touch, not a crossing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Crossings:
    """Edges that pass through a triangle they do not touch."""

    count: int
    where: tuple[float, float, float] | None
    """The place of the first."""


def find_crossings(mesh: Mesh, edges: Edges, rays: Rays) -> Crossings:
    """How many edges run through other triangles; at least so many, since what only touches is left out."""
    first = edges.starts
    tail, head = edges.low[first], edges.high[first]
    from_, along = mesh.vertices[tail], mesh.vertices[head] - mesh.vertices[tail]
    length = np.linalg.norm(along, axis=1)
    live = np.flatnonzero(length > 4 * rays.step)
    way = along[live] / length[live, None]
    gone = np.maximum(AT_THE_END * length[live], rays.step)
    crossed: list[Floats] = []
    for _ in range(MOST_LOOKS):
        start = from_[live] + way * gone[:, None]
        left = length[live] * (1 - AT_THE_END) - gone
        met, far = rays.first(start, way, left)
        reaches = (met != MISSED) & (far > 0) & (far < left)
        touches = reaches & _shares_a_corner(mesh, met, tail[live], head[live])
        real = reaches & ~touches
        crossed.append(start[real] + way[real] * far[real, None])
        goes_on = (met != MISSED) & ~real
        gone = gone[goes_on] + np.clip(far[goes_on], 0, left[goes_on]) + rays.step
        live, way = live[goes_on], way[goes_on]
        is_short = gone < length[live] * (1 - AT_THE_END)
        live, way, gone = live[is_short], way[is_short], gone[is_short]
        if not len(live):
            break
    places = np.concatenate(crossed)
    where = tuple(float(one) for one in places[0]) if len(places) else None
    return Crossings(count=len(places), where=where)  # type: ignore[arg-type]


def _shares_a_corner(mesh: Mesh, met: Indices, tail: Indices, head: Indices) -> Flags:
    """Whether the triangle that is met has a corner of the edge, or one that lies on it."""
    corners = mesh.faces[met]
    named = ((corners == tail[:, None]) | (corners == head[:, None])).any(axis=1)
    return np.asarray(named)

"""Triangles turned the right way round: each to its neighbours, each body to the outside."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from offtool.core.planning.geometry.edges import Edges
from offtool.core.planning.geometry.mesh import Flags, Floats, Indices, Mesh


@dataclass(frozen=True, slots=True, kw_only=True)
class Wound:
    """Triangles after they were turned, and what was turned."""

    faces: Indices
    body: Indices
    """For each triangle the body it belongs to, from 0."""
    bodies: int
    turned: int
    """Triangles that ran against most of their neighbours."""
    inside_out: int
    """Bodies that were turned as a whole."""
    one_sided: int
    """Bodies that have no inside at all, as a band that is twisted once."""


def wind(mesh: Mesh, edges: Edges) -> Wound:
    """Turn what can be turned safely: over edges where exactly two triangles meet."""
    left, right, agree = _neighbours(edges)
    bodies, body = _components(len(mesh.faces), left, right)
    flip, one_sided = _to_flip(len(mesh.faces), left, right, agree, body)
    faces = np.where(flip[:, None], mesh.faces[:, ::-1], mesh.faces)
    faces, inside_out = _outwards(mesh, faces, body, bodies)
    return Wound(
        faces=faces,
        body=body,
        bodies=bodies,
        turned=int(flip.sum()),
        inside_out=inside_out,
        one_sided=one_sided,
    )


def _neighbours(edges: Edges) -> tuple[Indices, Indices, Flags]:
    """Pairs of triangles at an edge of two, and whether they run along it in opposite ways, as is right."""
    first = edges.starts[edges.triangles == 2]
    agree = edges.runs_up[first] != edges.runs_up[first + 1]
    return edges.face[first], edges.face[first + 1], agree


def _components(count: int, left: Indices, right: Indices) -> tuple[int, Indices]:
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    links = coo_array((np.ones(len(left), dtype=np.int8), (left, right)), shape=(count, count))
    found, label = connected_components(links, directed=False)
    return int(found), label.astype(np.int64)


def _to_flip(count: int, left: Indices, right: Indices, agree: Flags, body: Indices) -> tuple[Flags, int]:
    """Which triangles to turn so that neighbours agree; in each body the smaller share.

    Every triangle stands twice, as it is and turned; neighbours that agree are joined as they are, others
    crosswise. A triangle whose two stand together has no right side.
    """
    if agree.all():
        return np.zeros(count, dtype=bool), 0
    turned_right = np.where(agree, right, right + count)
    turned_back = np.where(agree, right + count, right)
    ends = np.concatenate([left, left + count]), np.concatenate([turned_right, turned_back])
    _, label = _components(2 * count, *ends)
    root = np.zeros(int(body.max()) + 1, dtype=np.int64)
    root[body[::-1]] = np.arange(count)[::-1]
    flip = label[:count] != label[root[body]]
    has_no_side = label[:count] == label[count:]
    flip &= ~has_no_side
    most = np.bincount(body, weights=flip) > np.bincount(body) / 2
    flip ^= most[body] & ~has_no_side
    return flip, len(np.unique(body[has_no_side]))


def _outwards(mesh: Mesh, faces: Indices, body: Indices, bodies: int) -> tuple[Indices, int]:
    """Bodies that are inside out turned; one that lies within the box of another may be a hollow and stays.

    Where the whole has a negative volume, all is turned first.
    """
    volume = _volumes(mesh, faces, body, bodies)
    turned = 0
    if volume.sum() < 0:
        faces, volume, turned = faces[:, ::-1], -volume, bodies
    if not (volume < 0).any():
        return np.ascontiguousarray(faces), turned
    low, high = _boxes(mesh, body, bodies)
    wrong = [
        one
        for one in np.flatnonzero(volume < 0)
        if not ((low <= low[one]) & (high >= high[one]) & (volume > 0)[:, None]).all(axis=1).any()
    ]
    if wrong:
        faces = np.where(np.isin(body, wrong)[:, None], faces[:, ::-1], faces)
    return np.ascontiguousarray(faces), turned + len(wrong)


def _volumes(mesh: Mesh, faces: Indices, body: Indices, bodies: int) -> Floats:
    low, high = mesh.box
    a, b, c = (mesh.vertices[faces[:, i]] - (low + high) / 2 for i in range(3))
    six = np.einsum("ij,ij->i", a, np.cross(b, c))
    return np.asarray(np.bincount(body, weights=six / 6, minlength=bodies), dtype=float)


def _boxes(mesh: Mesh, body: Indices, bodies: int) -> tuple[Floats, Floats]:
    low, high = np.full((bodies, 3), np.inf), np.full((bodies, 3), -np.inf)
    for corner in mesh.corners():
        np.minimum.at(low, body, corner)
        np.maximum.at(high, body, corner)
    return low, high

"""Triangles turned the right way round: each to its neighbours, each body to the outside."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from offtool.core.planning.geometry.edges import Edges
from offtool.core.planning.geometry.mesh import Flags, Floats, Indices, Mesh

MOST_ASKED = 50
PLACES = 4
"""Places of a body that are asked whether they lie inside another: it does where all do."""
DEEP = 1e-4
"""So deep inside it, as a share of its size."""


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
    nested: int
    """Bodies that lie inside another and look outwards as it does."""
    one_sided: int
    """Bodies that have no inside at all, as a band that is twisted once."""


def wind(mesh: Mesh, edges: Edges) -> Wound:
    """Turn what can be turned safely: over edges where exactly two triangles meet."""
    left, right, agree = _neighbours(edges)
    bodies, body = _components(len(mesh.faces), left, right)
    flip, one_sided = _to_flip(len(mesh.faces), left, right, agree, body)
    faces = np.where(flip[:, None], mesh.faces[:, ::-1], mesh.faces)
    faces, inside_out, nested = _outwards(mesh, faces, body, bodies)
    return Wound(
        faces=faces,
        body=body,
        bodies=bodies,
        turned=int(flip.sum()),
        inside_out=inside_out,
        nested=nested,
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


def _outwards(mesh: Mesh, faces: Indices, body: Indices, bodies: int) -> tuple[Indices, int, int]:
    """Bodies that are inside out turned, unless they lie inside another: those are its hollows.

    Where the whole has a negative volume, all is turned first. Returned last: bodies that lie inside another
    and look outwards, so that what they hold counts twice.
    """
    volume = _volumes(mesh, faces, body, bodies)
    turned = 0
    if volume.sum() < 0:
        faces, volume, turned = faces[:, ::-1], -volume, bodies
    depth = _depths(mesh, faces, body, volume)
    wrong = np.flatnonzero((volume < 0) & (depth < 1))
    if len(wrong):
        faces = np.where(np.isin(body, wrong)[:, None], faces[:, ::-1], faces)
    return np.ascontiguousarray(faces), turned + len(wrong), int(((volume > 0) & (depth > 0)).sum())


def _depths(mesh: Mesh, faces: Indices, body: Indices, volume: Floats) -> Indices:
    """In how many others each body lies, hollows taken off; asked only of one within the box of another.

    Of very many only the largest are asked; of the rest one that looks inwards is taken for a hollow.
    """
    depth = np.zeros(len(volume), dtype=np.int64)
    if len(volume) == 1:
        return depth
    low, high = _boxes(mesh, body, len(volume))
    asked = 0
    for one in np.argsort(-np.abs(volume)):
        holds = ((low <= low[one]) & (high >= high[one])).all(axis=1)
        holds[one] = False
        if not holds.any():
            continue
        asked += 1
        if asked > MOST_ASKED:
            depth[one] = int(volume[one] < 0)
            continue
        own, around = faces[body == one], faces[holds[body]]
        depth[one] = min(_times_around(mesh, around, place) for place in _places_in(mesh, own, volume[one]))
    return depth


def _places_in(mesh: Mesh, faces: Indices, volume: float) -> Floats:
    """A few places just inside a body, so that none lies on another that it touches."""
    rows = np.linspace(0, len(faces) - 1, PLACES).astype(np.int64)
    some = mesh.with_faces(faces[rows])
    inwards = -some.normals if volume > 0 else some.normals
    return np.asarray(np.mean(some.corners(), axis=0) + DEEP * mesh.with_faces(faces).size_mm * inwards)


def _times_around(mesh: Mesh, faces: Indices, point: Floats) -> int:
    """How often closed faces go round a point that does not lie on them.

    Their solid angles, by the formula of Van Oosterom and Strackee, over 4 pi.
    """
    a, b, c = (mesh.vertices[faces[:, i]] - point for i in range(3))
    la, lb, lc = (np.linalg.norm(one, axis=1) for one in (a, b, c))
    volume = np.einsum("ij,ij->i", a, np.cross(b, c))
    ab, bc, ca = (np.einsum("ij,ij->i", one, two) for one, two in ((a, b), (b, c), (c, a)))
    angle = 2 * np.arctan2(volume, la * lb * lc + ab * lc + bc * la + ca * lb)
    return int(np.rint(angle.sum() / (4 * np.pi)))


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

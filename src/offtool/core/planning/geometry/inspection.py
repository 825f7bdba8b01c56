"""Inspect a mesh: is it closed, does it know inside from outside, does it run through itself; mend what is
safe to mend."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from offtool.core.planning.geometry.corners import join_near, merge_corners
from offtool.core.planning.geometry.crossings import find_crossings
from offtool.core.planning.geometry.edges import Edges, edges_of
from offtool.core.planning.geometry.inspected import FaultKind, Inspected, MeshFault, MeshFindings, Number
from offtool.core.planning.geometry.mesh import Flags, Floats, Indices, Mesh
from offtool.core.planning.geometry.rays import Rays
from offtool.core.planning.geometry.winding import Wound, wind
from offtool.core.values import ImpossibleInput

NO_AREA = 1e-13
"""A face smaller than this share of the square of the part's size has no area."""
FOLD = 1e-6
"""Two faces on each other, of less than this share of the surface, are a fold that an export left."""
NO_VOLUME = 1e-9
"""A mesh that encloses less than this share of the cube of its size is a sheet."""
EXPORT = "export the part again as one closed solid"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Cleaned:
    """A mesh without faces that say nothing, and how many there were."""

    mesh: Mesh
    flat: int
    double: int
    folded: int
    sheets: int


def inspect_mesh(mesh: Mesh) -> Inspected:
    """What is sound about a mesh, and the mesh with everything mended that can be mended safely.

    Mended and said: faces that are there twice or have no area, faces and bodies that look inwards, gaps that
    are narrower than a mould can show. Never mended: holes, sheets, and faces that pass through each other,
    since only its maker knows what was meant.

    Raises ImpossibleInput for a mesh of which no face is left.
    """
    cleaned, edges, gaps = _closed_where_possible(mesh)
    wound = wind(cleaned.mesh, edges)
    turned = cleaned.mesh.with_faces(wound.faces)
    rays = Rays(turned)
    faults = (
        *_holes(turned, edges),
        *_crossings(turned, edges, rays),
        *_nested(wound),
        *_sheets(turned, cleaned.sheets),
        *_many(turned, edges),
        *_wrong_way(wound),
        *_mended(cleaned, gaps),
    )
    low, high = turned.box
    x, y, z = (float(side) for side in high - low)
    return Inspected(
        mesh=turned,
        findings=MeshFindings(
            triangles=len(turned.faces),
            corners=len(turned.vertices),
            bodies=wound.bodies,
            is_closed=not (edges.triangles % 2).any(),
            faults=faults,
            box_mm=(x, y, z),
        ),
        rays=rays,
    )


def _closed_where_possible(mesh: Mesh) -> tuple[_Cleaned, Edges, int]:
    """The mesh over merged corners and its edges; the rims of gaps joined where that closes some."""
    cleaned = _clean(merge_corners(mesh))
    edges = edges_of(cleaned.mesh)
    open_edges = _count_open(edges)
    if not open_edges:
        return cleaned, edges, 0
    rows = edges.starts[edges.triangles == 1]
    rim = np.unique(np.concatenate([edges.low[rows], edges.high[rows]]))
    wider = _clean(join_near(cleaned.mesh, rim))
    wider_edges = edges_of(wider.mesh)
    closed = open_edges - _count_open(wider_edges)
    if closed <= 0:
        return cleaned, edges, 0
    counts = {name: getattr(cleaned, name) + getattr(wider, name) for name in ("flat", "double", "folded")}
    return replace(wider, **counts), wider_edges, closed


def _count_open(edges: Edges) -> int:
    return int((edges.triangles == 1).sum())


def _clean(mesh: Mesh) -> _Cleaned:
    faces = mesh.faces
    uses_twice = (faces == np.roll(faces, 1, axis=1)).any(axis=1)
    kept = faces[~uses_twice]
    if not len(kept):
        raise ImpossibleInput("mesh", "no face with an area", "", "must have a face", EXPORT)
    is_extra, pairs = _there_twice(kept)
    areas = mesh.with_faces(kept).areas
    is_fold = areas[pairs[:, 0]] <= FOLD * areas.sum()
    is_left = ~is_extra
    is_left[pairs[is_fold].ravel()] = False
    left = mesh.with_faces(kept[is_left])
    flat = int((left.areas <= NO_AREA * left.size_mm**2).sum())
    return _Cleaned(
        mesh=left,
        flat=flat + int(uses_twice.sum()),
        double=int(is_extra.sum()),
        folded=int(is_fold.sum()),
        sheets=int((~is_fold).sum()),
    )


def _there_twice(faces: Indices) -> tuple[Flags, Indices]:
    """Which faces repeat another that looks the same way, and the pairs that look opposite ways."""
    ordered = np.sort(faces, axis=1)
    order = np.lexsort(ordered.T)
    same = (ordered[order[1:]] == ordered[order[:-1]]).all(axis=1)
    is_extra = np.zeros(len(faces), dtype=bool)
    if not same.any():
        return is_extra, np.empty((0, 2), dtype=np.int64)
    rows = order[np.unique(np.concatenate([np.flatnonzero(same), np.flatnonzero(same) + 1]))]
    looks_up = _is_even(faces[rows])
    told_apart = np.column_stack([ordered[rows], looks_up])
    distinct, first = np.unique(told_apart, axis=0, return_index=True)
    is_extra[np.delete(rows, first)] = True
    kept = rows[first]  # in the order of `distinct`: those of one triple stand side by side
    meets = np.flatnonzero((distinct[1:, :3] == distinct[:-1, :3]).all(axis=1))
    return is_extra, np.column_stack([kept[meets], kept[meets + 1]])


def _is_even(faces: Indices) -> Flags:
    """Whether the corners stand in rising order up to turning them round."""
    first = np.argmin(faces, axis=1)
    row = np.arange(len(faces))
    return np.asarray(faces[row, (first + 1) % 3] < faces[row, (first + 2) % 3])


def _holes(mesh: Mesh, edges: Edges) -> Iterator[MeshFault]:
    is_open = np.flatnonzero(edges.triangles == 1)
    if not len(is_open):
        return
    row = edges.starts[is_open]
    ends = mesh.vertices[edges.low[row]], mesh.vertices[edges.high[row]]
    length = float(np.linalg.norm(ends[1] - ends[0], axis=1).sum())
    sheet = abs(mesh.signed_volume()) <= NO_VOLUME * mesh.size_mm**3
    what = ", a sheet without thickness" if sheet else ""
    yield MeshFault(
        kind=FaultKind.OPEN,
        count=len(is_open),
        where_mm=_place((ends[0][0] + ends[1][0]) / 2),
        spoils=(Number.VOLUME, Number.WEIGHT, Number.WALL),
        words=f"{_counted(len(is_open), 'edge')} with one face only, {length:.3g} mm of rim in all{what}: "
        "nothing says where the part ends there",
        remedy=f"close the surface in the drawing, then {EXPORT}",
    )


def _crossings(mesh: Mesh, edges: Edges, rays: Rays) -> Iterator[MeshFault]:
    found = find_crossings(mesh, edges, rays)
    if not found.count:
        return
    yield MeshFault(
        kind=FaultKind.CROSSING,
        count=found.count,
        where_mm=found.where,
        spoils=(Number.VOLUME, Number.WEIGHT, Number.SURFACE, Number.WALL),
        words=f"at least {_counted(found.count, 'edge')} run through another face: what lies in two bodies "
        "counts twice, and walls end inside the part",
        remedy=f"unite the bodies in the drawing, then {EXPORT}",
    )


def _nested(wound: Wound) -> Iterator[MeshFault]:
    if wound.nested:
        yield MeshFault(
            kind=FaultKind.NESTED,
            count=wound.nested,
            where_mm=None,
            spoils=(Number.VOLUME, Number.WEIGHT, Number.SURFACE, Number.WALL),
            words=f"{_counted(wound.nested, 'body', 'bodies')} inside another, looking outwards as it does: "
            "a hollow turned the wrong way, or a second part, and it counts twice",
            remedy="cut the hollow out of the solid, or leave the inner body out",
        )


def _sheets(mesh: Mesh, sheets: int) -> Iterator[MeshFault]:
    if not sheets:
        return
    is_all = abs(mesh.signed_volume()) <= NO_VOLUME * mesh.size_mm**3
    yield MeshFault(
        kind=FaultKind.SHEET,
        count=sheets,
        where_mm=None,
        spoils=(Number.VOLUME, Number.WEIGHT, Number.WALL) if is_all else (Number.WALL,),
        words=f"{_counted(sheets, 'face')} lie on one that looks the other way: a sheet without thickness",
        remedy="give the sheet its wall in the drawing",
    )


def _many(mesh: Mesh, edges: Edges) -> Iterator[MeshFault]:
    crowded = np.flatnonzero(edges.triangles > 2)
    if not len(crowded):
        return
    is_odd = bool((edges.triangles[crowded] % 2).any())
    yield MeshFault(
        kind=FaultKind.MANY,
        count=len(crowded),
        where_mm=_place(mesh.vertices[edges.low[edges.starts[crowded[0]]]]),
        spoils=(Number.VOLUME, Number.WEIGHT) if is_odd else (),
        words=f"{_counted(len(crowded), 'edge')} with more than two faces: bodies touch there, or a face is "
        "left inside",
        remedy="unite the bodies in the drawing" if is_odd else "",
    )


def _wrong_way(wound: Wound) -> Iterator[MeshFault]:
    if wound.one_sided:
        yield MeshFault(
            kind=FaultKind.ONE_SIDED,
            count=wound.one_sided,
            where_mm=None,
            spoils=(Number.VOLUME, Number.WEIGHT, Number.WALL),
            words="a surface has no inside: it is twisted into itself",
            remedy=EXPORT,
        )
    if wound.turned:
        yield _mended_fault(
            FaultKind.TURNED, wound.turned, "face", "looked the other way than its neighbours; turned"
        )
    if wound.inside_out:
        yield _mended_fault(
            FaultKind.INSIDE_OUT, wound.inside_out, "body", "was inside out; turned", "bodies"
        )


def _mended(cleaned: _Cleaned, gaps: int) -> Iterator[MeshFault]:
    if cleaned.double:
        yield _mended_fault(FaultKind.DOUBLE, cleaned.double, "face", "was there twice; left out")
    if cleaned.folded:
        yield _mended_fault(FaultKind.FOLDED, cleaned.folded, "pair", "of next to no area; left out")
    if cleaned.flat:
        yield _mended_fault(FaultKind.FLAT, cleaned.flat, "face", "without area; does no harm")
    if gaps:
        yield _mended_fault(
            FaultKind.GAPS, gaps, "open edge", "closed: its gap is narrower than a mould shows"
        )


def _mended_fault(kind: FaultKind, count: int, thing: str, done: str, things: str = "") -> MeshFault:
    words = f"{_counted(count, thing, things)}: {done}"
    return MeshFault(kind=kind, count=count, where_mm=None, spoils=(), words=words, remedy="", is_mended=True)


def _place(point: Floats) -> tuple[float, float, float]:
    x, y, z = (float(one) for one in point)
    return x, y, z


def _counted(count: int, thing: str, things: str = "") -> str:
    return f"{count:,} {thing if count == 1 else things or thing + 's'}"

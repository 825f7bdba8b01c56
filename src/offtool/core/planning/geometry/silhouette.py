"""The shadow of a part along a direction: what the melt pushes on, and what the clamp must hold.

Every triangle is turned so that it runs counter-clockwise as it is seen. Sides that two triangles run along
in opposite ways cancel; what is left runs round the shadow, and round what lies over it more than once. The
area where these loops turn at least once is the shadow, holes left out. That needs no closed mesh.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from offtool.core.planning.geometry.mesh import Floats, Indices, Mesh
from offtool.core.planning.geometry.rays import geometry_missing

PLACES = 7
"""Decimals of a mm to which the shadow is drawn."""


def silhouette_mm2(mesh: Mesh, way: Floats, *, is_closed: bool) -> float:
    """The true area of the shadow along `way`, mm².

    Of a closed mesh the triangles that look towards the viewer cast the whole shadow; of an open one all do.
    """
    return float(sum(_area(loop) for loop in silhouette(mesh, way, is_closed=is_closed)))


def silhouette(mesh: Mesh, way: Floats, *, is_closed: bool) -> list[Floats]:
    """The rim of the shadow as loops in the plane across `way`, holes running clockwise."""
    try:
        from manifold3d import CrossSection, FillRule
    except ImportError as error:
        raise geometry_missing("manifold3d") from error
    flat = np.round(mesh.vertices @ np.column_stack(plane_across(way)), PLACES)
    faces = _counter_clockwise(flat, mesh.faces, keep_away=not is_closed)
    loops = [flat[loop] for loop in _loops(_left_over(faces, len(flat)))]
    loops = [loop for loop in loops if len(loop) >= 3]
    if not loops:
        return []
    return [np.asarray(one) for one in CrossSection(loops, FillRule.Positive).to_polygons()]


def plane_across(way: Floats) -> tuple[Floats, Floats]:
    """Two directions across `way`, right-handed with it."""
    least = np.zeros(3)
    least[int(np.argmin(np.abs(way)))] = 1.0
    right = np.cross(least, way)
    right /= np.linalg.norm(right)
    return right, np.cross(way, right)


def _counter_clockwise(flat: Floats, faces: Indices, *, keep_away: bool) -> Indices:
    a, b, c = (flat[faces[:, i]] for i in range(3))
    turn = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])
    seen = faces[turn > 0]
    return np.concatenate([seen, faces[turn < 0][:, ::-1]]) if keep_away else seen


def _left_over(faces: Indices, corners: int) -> Indices:
    """The sides that no other triangle runs along backwards, as pairs of corners, each as often as left."""
    a, b = faces.ravel(), faces[:, [1, 2, 0]].ravel()
    key = np.minimum(a, b) * corners + np.maximum(a, b)
    order = np.argsort(key, kind="stable")
    key, up = key[order], np.where(a < b, 1, -1)[order]
    starts = np.flatnonzero(np.concatenate([[True], key[1:] != key[:-1]])) if len(key) else np.empty(0, int)
    net = np.add.reduceat(up, starts) if len(starts) else np.empty(0, int)
    low, high = key[starts] // corners, key[starts] % corners
    times = np.abs(net)
    tail, head = np.where(net > 0, low, high), np.where(net > 0, high, low)
    return np.column_stack([np.repeat(tail, times), np.repeat(head, times)])


def _loops(sides: Indices) -> Iterator[Indices]:
    """Sides strung together: at each corner as many come in as go out, so that each has one to follow it."""
    if not len(sides):
        return
    out = np.argsort(sides[:, 0], kind="stable")
    into = np.argsort(sides[:, 1], kind="stable")
    follows = np.empty(len(sides), dtype=np.int64)
    follows[into] = out
    after = follows.tolist()
    tails = sides[:, 0].tolist()
    is_done = bytearray(len(after))
    for start in range(len(after)):
        loop, side = [], start
        while not is_done[side]:
            is_done[side] = 1
            loop.append(tails[side])
            side = after[side]
        if loop:
            yield np.asarray(loop)


def _area(loop: Floats) -> float:
    x, y = loop[:, 0] - loop[0, 0], loop[:, 1] - loop[0, 1]
    return float((x * np.roll(y, -1) - y * np.roll(x, -1)).sum() / 2)

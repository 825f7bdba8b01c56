"""A part small enough for a page: fewer triangles, each corner with its wall thickness, in a few bytes.

The bytes, little end first: `OTP1`; corners n and triangles m as two whole numbers of 4 bytes; the lowest and
the highest corner of the box and the greatest thickness in mm as seven numbers of 4 bytes (float). Then the
corners as 3 n whole numbers of 2 bytes, from 0 at the low side of the box to 65535 at the high one; the
thickness of each corner as n numbers of 2 bytes, from 0 to 65534 for the greatest, 65535 where no wall was
measured; and, at a multiple of 4, the triangles as 3 m numbers of 4 bytes.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass

import numpy as np

from offtool.core.planning.geometry.corners import merge_corners
from offtool.core.planning.geometry.mesh import Floats, Indices, Mesh
from offtool.core.planning.geometry.walls import WallMap
from offtool.core.values import ImpossibleInput

MOST = 60_000
"""Triangles of a picture."""
FINE = 20_000
"""A part of fewer is cut finer, so that its colours can change within a face."""
HEAD = struct.Struct("<4sII7f")
MAGIC = b"OTP1"
FULL = 65535
NOT_MEASURED = 65535
NEAREST = 4
REACH = 3.0
"""A corner farther from every measured wall than so many steps between points has none of its own."""


@dataclass(frozen=True, kw_only=True)
class PartPicture:
    """Triangles with a thickness at each corner; not a number where none was measured."""

    vertices: Floats
    faces: Indices
    thickness_mm: Floats

    def coarser(self, most: int) -> PartPicture:
        """The same part with at most so many triangles."""
        mesh = Mesh(vertices=self.vertices, faces=self.faces)
        number, faces = _clustered(mesh, most)
        count = int(number.max()) + 1
        known = np.isfinite(self.thickness_mm)
        times = np.bincount(number[known], minlength=count)
        total = np.bincount(number[known], weights=self.thickness_mm[known], minlength=count)
        return PartPicture(
            vertices=_means(mesh, number, count),
            faces=faces,
            thickness_mm=np.divide(total, times, out=np.full(count, np.nan), where=times > 0),
        )

    def as_bytes(self) -> bytes:
        """The bytes that the page reads."""
        low, high = self.vertices.min(axis=0), self.vertices.max(axis=0)
        known = self.thickness_mm[np.isfinite(self.thickness_mm)]
        most = float(known.max()) if len(known) else 0.0
        room = np.where(high > low, high - low, 1.0)
        places = np.rint((self.vertices - low) / room * FULL).astype("<u2")
        share = np.nan_to_num(self.thickness_mm, nan=0.0) / (most or 1.0) * (NOT_MEASURED - 1)
        thickness = np.where(np.isfinite(self.thickness_mm), np.rint(share), NOT_MEASURED).astype("<u2")
        head = HEAD.pack(MAGIC, len(self.vertices), len(self.faces), *low, *high, most)
        body = head + places.tobytes() + thickness.tobytes()
        return bytes(body + bytes(-len(body) % 4) + self.faces.astype("<u4").tobytes())


def read_picture(content: bytes) -> PartPicture:
    """The picture that bytes hold. Raises ImpossibleInput for bytes that are none."""
    if len(content) < HEAD.size or content[:4] != MAGIC:
        raise ImpossibleInput("picture", content[:4], "", "is not a picture of a part", "measure it again")
    _, corners, triangles, *numbers = HEAD.unpack_from(content)
    low, high, most = np.array(numbers[:3]), np.array(numbers[3:6]), numbers[6]
    places = np.frombuffer(content, "<u2", 3 * corners, HEAD.size).reshape(-1, 3)
    thickness = np.frombuffer(content, "<u2", corners, HEAD.size + 6 * corners)
    start = HEAD.size + 8 * corners
    faces = np.frombuffer(content, "<u4", 3 * triangles, start + -start % 4).reshape(-1, 3)
    return PartPicture(
        vertices=low + places / FULL * (high - low),
        faces=faces.astype(np.int64),
        thickness_mm=np.where(thickness == NOT_MEASURED, np.nan, thickness / (NOT_MEASURED - 1) * most),
    )


def make_picture(mesh: Mesh, walls: WallMap, *, most: int = MOST) -> PartPicture:
    """The part with few enough triangles, and the wall measured nearest to each of its corners."""
    drawn = mesh if len(mesh.faces) >= FINE else merge_corners(_finer(mesh, FINE))
    number, faces = _clustered(drawn, most)
    vertices = _means(drawn, number, int(number.max()) + 1)
    return PartPicture(vertices=vertices, faces=faces, thickness_mm=_thickness(mesh, vertices, walls))


def _thickness(mesh: Mesh, places: Floats, walls: WallMap) -> Floats:
    from scipy.spatial import cKDTree

    found = np.full(len(places), np.nan)
    known = walls.sphere_mm[walls.is_wall]
    many = min(NEAREST, len(known))
    if not many:
        return found
    away, rows = cKDTree(walls.points[walls.is_wall]).query(places, k=many, workers=-1)
    away, rows = (np.asarray(one).reshape(len(places), many) for one in (away, rows))
    weight = 1 / (away + 1e-9 * mesh.size_mm)
    step = np.sqrt(float(mesh.areas.sum()) / len(walls.points))
    near = away[:, 0] <= REACH * step
    found[near] = ((weight * known[rows]).sum(axis=1) / weight.sum(axis=1))[near]
    return found


def _finer(mesh: Mesh, about: int) -> Mesh:
    """Triangles halved across their longest side until none is long; sides may then be cut on one face only,
    which a picture does not show."""
    longest = 2 * np.sqrt(float(mesh.areas.sum()) / about)
    corners = np.stack(mesh.corners(), axis=1)
    done = []
    for _ in range(40):
        sides = np.linalg.norm(corners - np.roll(corners, -1, axis=1), axis=2)
        is_long = sides.max(axis=1) > longest
        done.append(corners[~is_long])
        if not is_long.any():
            break
        turned = np.take_along_axis(
            corners[is_long],
            ((np.argmax(sides[is_long], axis=1)[:, None] + np.arange(3)) % 3)[:, :, None],
            axis=1,
        )
        a, b, c = turned[:, 0], turned[:, 1], turned[:, 2]
        middle = (a + b) / 2
        corners = np.concatenate([np.stack([a, middle, c], axis=1), np.stack([middle, b, c], axis=1)])
    soup = np.concatenate(done)
    return Mesh(vertices=soup.reshape(-1, 3), faces=np.arange(3 * len(soup)).reshape(-1, 3))


def _clustered(mesh: Mesh, most: int) -> tuple[Indices, Indices]:
    """For each corner the number of its cluster, and the triangles between clusters, at most so many."""
    if len(mesh.faces) <= most:
        used, number = np.unique(mesh.faces, return_inverse=True)
        back = np.full(len(mesh.vertices), 0, dtype=np.int64)
        back[used] = np.arange(len(used))
        return back, number.reshape(-1, 3)
    low, _ = mesh.box
    cell = float(np.sqrt(2 * mesh.areas.sum() / most)) or mesh.size_mm / 100
    while True:
        where = np.floor((mesh.vertices - low) / cell).astype(np.int64)
        where -= where.min(axis=0)
        many = where.max(axis=0) + 1
        key = (where[:, 0] * many[1] + where[:, 1]) * many[2] + where[:, 2]
        _, number = np.unique(key, return_inverse=True)
        faces = _distinct(number.ravel()[mesh.faces])
        if len(faces) <= most:
            return number.ravel(), faces
        cell *= 1.15


def _distinct(faces: Indices) -> Indices:
    """Triangles that still have three corners, each once."""
    real = faces[(faces != np.roll(faces, 1, axis=1)).all(axis=1)]
    if not len(real):
        return np.asarray(real)
    turned = np.take_along_axis(real, (np.argmin(real, axis=1)[:, None] + np.arange(3)) % 3, axis=1)
    order = np.lexsort(turned.T)
    turned = turned[order]
    keep = np.ones(len(turned), dtype=bool)
    keep[1:] = (turned[1:] != turned[:-1]).any(axis=1)
    return np.asarray(turned[keep])


def _means(mesh: Mesh, number: Indices, count: int) -> Floats:
    times = np.maximum(np.bincount(number, minlength=count), 1)
    return np.column_stack(
        [np.bincount(number, weights=mesh.vertices[:, i], minlength=count) / times for i in range(3)]
    )

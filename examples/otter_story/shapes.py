"""The shapes of a few parts of the harbour otter, drawn here from spheres, cylinders and boxes: invented,
near the drawing, the same bytes every time.

The torso has a boss that is far thicker than its wall, as first drawings do: it is there to be found.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

Vector = tuple[float, float, float]
AROUND = 48
"""Flat pieces of a whole turn."""
HEAD = b"harbour otter, an invented part, in mm".ljust(80)


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """The shape of one part, and the way its tool opens."""

    part: str
    file_name: str
    direction: Vector
    make: Callable[[], Any]


def otter_meshes() -> dict[str, bytes]:
    """The file of each shape, as binary STL."""
    return {shape.file_name: _as_stl(shape.make()) for shape in SHAPES}


def _as_stl(solid: Any) -> bytes:
    """The triangles in an order of their own, so that the bytes do not hang on how the solid was made."""
    mesh = solid.to_mesh()
    corners = np.asarray(mesh.vert_properties, dtype="<f4")[:, :3][np.asarray(mesh.tri_verts)]
    corners = np.round(corners.astype(float), 4).astype("<f4") + np.float32(0)  # no minus zero
    first = (
        np.lexsort(np.moveaxis(corners, 2, 0)[::-1].reshape(3, -1)).argsort().reshape(-1, 3).argmin(axis=1)
    )
    corners = np.take_along_axis(corners, (first[:, None] + np.arange(3))[:, :, None] % 3, axis=1)
    corners = corners[np.lexsort(corners.reshape(-1, 9).T[::-1])]
    records = np.zeros(
        len(corners), np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("spare", "<u2")])
    )
    records["corners"] = corners
    return HEAD + len(corners).to_bytes(4, "little") + records.tobytes()


def _ball(radii: Vector, at: Vector = (0, 0, 0)) -> Any:
    from manifold3d import Manifold

    return Manifold.sphere(1.0, AROUND).scale(radii).translate(at)


def _rod(radius: float, start: Vector, end: Vector) -> Any:
    from manifold3d import Manifold

    way = np.subtract(end, start)
    length = float(np.linalg.norm(way))
    up = Manifold.cylinder(length, radius, radius, AROUND)
    lean = float(np.degrees(np.arccos(way[2] / length)))
    turn = float(np.degrees(np.arctan2(way[1], way[0])))
    return up.rotate((0, lean, 0)).rotate((0, 0, turn)).translate(start)


def _block(size: Vector, at: Vector) -> Any:
    from manifold3d import Manifold

    return Manifold.cube(size, True).translate(at)


def _hull(*solids: Any) -> Any:
    from manifold3d import Manifold

    return Manifold.batch_hull(list(solids))


def arm() -> Any:
    """HO-04: a bent limb 34 mm long and 5 mm thick, a peg of 4 mm at the shoulder, a slot in the paw."""
    upper = _hull(_ball((3.9, 3.9, 2.5), (3.9, 0, 0)), _ball((3.4, 3.4, 2.5), (17, 1.5, 0)))
    lower = _hull(_ball((3.4, 3.4, 2.5), (17, 1.5, 0)), _ball((3.2, 3.2, 2.4), (30.8, 0, 0)))
    peg = _rod(2.0, (3.9, 0, 0), (3.9, 0, 2.5 + 6.2))
    bore = _rod(1.0, (27, 0.4, -4), (27, 0.4, 4))
    slot = _block((5, 1.5, 8), (33.2, 0, 0))
    return upper + lower + peg - bore - slot


def torso_front() -> Any:
    """HO-02: half a shell 62 mm long with a wall of 1.8 mm, sockets for two arms, and a boss that is too
    thick."""
    outer, inner = _ball((31, 25, 25)), _ball((29.2, 23.2, 23.2))
    half = _block((80, 60, 40), (0, 0, 20))
    sockets = _rod(4.2, (17, -15.5, 4.6), (17, 15.5, 4.6)) - _block((20, 19, 30), (17, 0, 0))
    bores = _rod(2.0, (17, -30, 4.6), (17, 30, 4.6))
    boss = _rod(2.6, (-8, 0, 0.5), (-8, 0, 24))
    ribs = sum((_block((1.1, 48, 16), (x, 0, 17)) for x in (-17, 4)), _block((50, 1.1, 9), (0, 0, 17)))
    pins = _rod(1.2, (-20, 0, -1.5), (-20, 0, 18)) + _rod(1.2, (4, 0, -1.5), (4, 0, 23))
    shell = outer - inner
    return ((shell + (sockets + boss + ribs) ^ outer) ^ half) + (pins ^ outer) - bores


def leg() -> Any:
    """HO-05: a limb 40 mm long with a broad foot, a peg of 4 mm at the hip, a slot for the flipper."""
    thigh = _hull(_ball((4.2, 4.4, 2.7), (4.2, 0, 0)), _ball((4.0, 4.0, 2.8), (20, 1.2, 0)))
    shank = _hull(_ball((4.0, 4.0, 2.8), (20, 1.2, 0)), _ball((4.0, 5.5, 2.3), (36, 0, 0)))
    peg = _rod(2.0, (4.2, 0, 0), (4.2, 0, 2.7 + 6.2))
    bore = _rod(1.0, (30, 0.4, -4), (30, 0.4, 4))
    slot = _block((7, 2.0, 8), (37.5, 0, 0))
    return thigh + shank + peg - bore - slot


def torso_back() -> Any:
    """HO-03: the other half of the shell, with the socket of the tail and the ribs it is welded along."""
    outer, inner = _ball((31, 25, 22)), _ball((29.3, 23.3, 20.3))
    half = _block((80, 60, 40), (0, 0, 20))
    socket = _rod(4.1, (-31, 0, 6), (-19.4, 0, 6)) ^ outer
    ribs = sum((_block((1.0, 48, 13), (x, 0, 14)) for x in (-9, 9)), _block((50, 1.0, 8), (0, 0, 14)))
    return ((outer - inner) + ((socket + ribs) ^ outer) ^ half) - _rod(2.5, (-33, 0, 6), (-21, 0, 6))


def head() -> Any:
    """HO-01: a hollow head 36 mm long with a wall of 1.8 mm, open below, the socket of the neck inside."""
    outer, inner = (
        _hull(_ball(radii), _ball(radii, (0, 0, -20))) for radii in ((18, 15, 13), (16.2, 13.2, 11.2))
    )
    ears = _ball((3, 1.6, 3), (-6, 9, 10)) + _ball((3, 1.6, 3), (-6, -9, 10))
    above = _block((60, 60, 40), (0, 0, 8))
    socket = _rod(4.6, (0, 0, -12), (0, 0, -3.9))
    ribs = sum((_block((1.0, 30, 40), (x, 0, 0)) for x in (-9, 0, 9)), _block((34, 1.0, 40), (0, 0, 0)))
    shell = (outer + ears - inner) + ((socket + ribs) ^ outer)
    return (shell ^ above) - _rod(3.0, (0, 0, -14), (0, 0, -5.5))


def tail() -> Any:
    """HO-06: a flat solid paddle, 48 mm long, 12 mm wide at the root, 2.4 mm thick at the tip, and a peg."""
    root, middle = _ball((5, 6, 2.6), (5, 0, 0)), _ball((13, 13, 3.0), (24, 0, 0))
    tip = _ball((7, 10, 1.2), (41, 0, 0))
    return _hull(root, middle) + _hull(middle, tip) + _rod(2.5, (-6.8, 0, 0), (5, 0, 0))


def clam() -> Any:
    """HO-07: a shell of 22 by 16 mm with a wall of 1.5 mm, ribs inside and a pin for the hinge."""
    outer, inner = _ball((11, 8, 16)), _ball((9.5, 6.5, 14.5))
    half = _block((40, 40, 40), (0, 0, 20))
    across = (_block((1.0, 14, 30), (x, 0, 15)) for x in (-4.5, 0, 4.5))
    ribs = sum(across, _block((20, 1.0, 30), (0, 0, 15))) ^ outer
    pin = _rod(1.25, (-9.7, -4, 1.25), (-9.7, 4, 1.25))
    return (((outer - inner) + ribs) ^ half) + pin


SHAPES = (
    Shape(part="HO-02", file_name="HO-02_torso_front.stl", direction=(0.0, 0.0, 1.0), make=torso_front),
    Shape(part="HO-04", file_name="HO-04_arm.stl", direction=(0.0, 0.0, 1.0), make=arm),
    Shape(part="HO-05", file_name="HO-05_leg.stl", direction=(0.0, 0.0, 1.0), make=leg),
    Shape(part="HO-03", file_name="HO-03_torso_back.stl", direction=(0.0, 0.0, 1.0), make=torso_back),
    Shape(part="HO-01", file_name="HO-01_head.stl", direction=(0.0, 0.0, 1.0), make=head),
    Shape(part="HO-06", file_name="HO-06_tail.stl", direction=(0.0, 0.0, 1.0), make=tail),
    Shape(part="HO-07", file_name="HO-07_clam.stl", direction=(0.0, 0.0, 1.0), make=clam),
)

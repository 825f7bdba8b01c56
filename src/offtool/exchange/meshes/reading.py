"""The triangles of a file, whatever its kind; told by what is in it, not by its name.

Of the three kinds only 3MF says the unit of its numbers. For the others it is not known, and is not guessed
here.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from offtool.exchange.meshes.obj import looks_like_obj, read_obj
from offtool.exchange.meshes.refusing import refused
from offtool.exchange.meshes.stl import (
    looks_like_ascii_stl,
    looks_like_binary_stl,
    read_ascii_stl,
    read_binary_stl,
)
from offtool.exchange.meshes.threemf import looks_like_3mf, read_3mf
from offtool.exchange.readings.limits import refuse_beyond

MOST_TRIANGLES = 4_000_000


@dataclass(frozen=True, kw_only=True)
class MeshRead:
    """Corners and triangles as the file has them."""

    kind: str
    """STL, OBJ or 3MF."""
    unit: str | None
    """mm, cm, m or in where the file says it; else None."""
    vertices: NDArray[np.float64]
    faces: NDArray[np.int64]
    notes: tuple[str, ...] = ()
    """What the reader wants known."""


Triangles = tuple[NDArray[np.float64], NDArray[np.int64]]
_WITHOUT_UNIT: tuple[tuple[str, Callable[[bytes], bool], Callable[[bytes, str], Triangles]], ...] = (
    ("STL", looks_like_binary_stl, read_binary_stl),
    ("STL", looks_like_ascii_stl, read_ascii_stl),
    ("OBJ", looks_like_obj, read_obj),
)


def read_mesh(content: bytes, name: str) -> MeshRead:
    """Read a shape. Raises FileRefused for bytes that are none of the three kinds, or broken."""
    refuse_beyond("bytes", len(content), where=name)
    if not content:
        raise refused(name, "the file is empty", "export the part once more")
    if looks_like_3mf(content):
        vertices, faces, unit, notes = read_3mf(content, name)
        return _checked(MeshRead(kind="3MF", unit=unit, vertices=vertices, faces=faces, notes=notes), name)
    for kind, is_it, read in _WITHOUT_UNIT:
        if is_it(content):
            vertices, faces = read(content, name)
            return _checked(MeshRead(kind=kind, unit=None, vertices=vertices, faces=faces), name)
    raise refused(name, "is no STL, OBJ or 3MF", "export the part as one of these")


def _checked(read: MeshRead, name: str) -> MeshRead:
    if not len(read.faces):
        raise refused(name, "has no triangle in it", "export the solid, not its lines or points")
    if len(read.faces) > MOST_TRIANGLES:
        what = f"{len(read.faces):,} triangles, at most {MOST_TRIANGLES:,} are read"
        raise refused(name, what, "export it coarser: 0.01 mm from the true surface is enough")
    if not np.isfinite(read.vertices).all():
        raise refused(name, "a corner is not a finite number", "export the part once more")
    if not np.ptp(read.vertices, axis=0).any():
        raise refused(name, "all its corners are at one place", "export the part once more")
    return read

"""OBJ: corners and faces in text, without a unit; lines, textures and materials are passed over."""

from __future__ import annotations

import io
import re

import numpy as np
from numpy.typing import NDArray

from offtool.exchange.meshes.refusing import geometry_missing, refused

_CORNER = re.compile(rb"^v[ \t]+[-+.\d]", re.MULTILINE)
_FACE = re.compile(rb"^f[ \t]+[-\d]", re.MULTILINE)


def looks_like_obj(content: bytes) -> bool:
    """Whether a line names a corner and one a face."""
    return b"\x00" not in content[:4096] and bool(_CORNER.search(content)) and bool(_FACE.search(content))


def read_obj(content: bytes, name: str) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    """The triangles of an OBJ; faces of more corners are cut into triangles. Raises FileRefused."""
    try:
        import trimesh
    except ImportError as error:
        raise geometry_missing() from error
    try:
        shape = trimesh.load_mesh(
            io.BytesIO(content), file_type="obj", process=False, skip_materials=True, maintain_order=True
        )
        faces = np.asarray(shape.faces, dtype=np.int64)
        return np.asarray(shape.vertices, dtype=np.float64), faces
    except Exception as error:  # the reader has no error of its own for a broken file
        raise refused(name, "cannot be read as OBJ", "export the part once more") from error

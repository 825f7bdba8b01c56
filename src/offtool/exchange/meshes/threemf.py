"""3MF: a packed folder with the shape in XML, which says its unit.

The packed size is checked before anything is unpacked, and an XML that defines entities of its own is
refused: no part needs them.
"""

from __future__ import annotations

import io
import re
import zipfile

import numpy as np
from numpy.typing import NDArray

from offtool.exchange.meshes.refusing import geometry_missing, refused
from offtool.exchange.readings.limits import refuse_beyond

UNITS = {"millimeter": "mm", "centimeter": "cm", "meter": "m", "inch": "in"}
INTO_MM = {"micron": 0.001, "foot": 304.8}
"""Units that are turned into mm at once."""
USUAL = "millimeter"
"""What the format means where a file names none."""
_UNIT = re.compile(rb"<model\b[^>]*\bunit\s*=\s*[\"']([a-z]+)[\"']", re.IGNORECASE)
Found = tuple[NDArray[np.float64], NDArray[np.int64], str, tuple[str, ...]]


def looks_like_3mf(content: bytes) -> bool:
    """Whether it is a packed folder."""
    return content[:4] == b"PK\x03\x04"


def read_3mf(content: bytes, name: str) -> Found:
    """The triangles of all that is to be built, the unit, and what is to be known. Raises FileRefused."""
    said = _unit(content, name)
    unit = said or USUAL
    vertices, faces = _triangles(content, name)
    if unit in INTO_MM:
        notes = (f"written in {unit}, read as mm",)
        return vertices * INTO_MM[unit], faces, "mm", notes
    return vertices, faces, UNITS[unit], () if said else ("it names no unit: by the format that means mm",)


def _unit(content: bytes, name: str) -> str:
    """The unit that the file names; empty where it names none."""
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as packed:
            refuse_beyond("unpacked bytes", sum(one.file_size for one in packed.infolist()), where=name)
            models = [one for one in packed.namelist() if one.lower().endswith(".model")]
            texts = [packed.read(one) for one in models]
    except (zipfile.BadZipFile, NotImplementedError, RuntimeError, OSError, EOFError) as error:
        raise refused(name, "is packed, and cannot be unpacked", "send the whole file") from error
    if not texts:
        raise refused(name, "is packed, and has no shape in it", "export the part as 3MF, STL or OBJ")
    if any(b"<!DOCTYPE" in text or b"<!ENTITY" in text for text in texts):
        raise refused(name, "defines entities of its own, which no part needs", "export it once more")
    said = {found[1].decode().lower() for text in texts if (found := _UNIT.search(text))}
    if len(said) > 1:
        raise refused(name, f"names {' and '.join(sorted(said))} as its units", "export it in millimetres")
    unit = next(iter(said), "")
    if unit and unit not in UNITS and unit not in INTO_MM:
        raise refused(name, f"names {unit} as its unit", "export it in millimetres")
    return unit


def _triangles(content: bytes, name: str) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    try:
        import trimesh
    except ImportError as error:
        raise geometry_missing() from error
    try:
        shape = trimesh.load_scene(io.BytesIO(content), file_type="3mf", process=False).to_mesh()
        return np.asarray(shape.vertices, dtype=np.float64), np.asarray(shape.faces, dtype=np.int64)
    except Exception as error:  # the reader has no error of its own for a broken file
        raise refused(name, "cannot be read as 3MF", "export the part once more") from error

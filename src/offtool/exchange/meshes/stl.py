"""STL, binary and as text: triangles without a unit, each with corners of its own."""

from __future__ import annotations

import re

import numpy as np
from numpy.typing import NDArray

from offtool.exchange.meshes.refusing import refused

HEAD, COUNT, RECORD = 80, 4, 50
"""Bytes of the heading, of the number of triangles, of each triangle: a normal, three corners, two spare."""
_VERTEX = re.compile(rb"vertex\s+(\S+)\s+(\S+)\s+(\S+)", re.IGNORECASE)
_RECORD = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("spare", "<u2")])


def looks_like_binary_stl(content: bytes) -> bool:
    """Whether the size fits the number of triangles that the file says: text never does."""
    if len(content) < HEAD + COUNT:
        return False
    told = int.from_bytes(content[HEAD : HEAD + COUNT], "little")
    fits = HEAD + COUNT + RECORD * told
    return fits == len(content) or (not looks_like_ascii_stl(content) and _is_cut_off(content, fits))


def _is_cut_off(content: bytes, fits: int) -> bool:
    """A binary file that ends early: bytes that no text has, and fewer than it says."""
    return b"\x00" in content[: HEAD + COUNT] and len(content) < fits < 2**33


def read_binary_stl(content: bytes, name: str) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    """The triangles of a binary STL. Raises FileRefused for one that ends early."""
    told = int.from_bytes(content[HEAD : HEAD + COUNT], "little")
    if len(content) < HEAD + COUNT + RECORD * told:
        there = (len(content) - HEAD - COUNT) // RECORD
        raise refused(name, f"says {told:,} triangles and ends after {there:,}", "send the whole file")
    records = np.frombuffer(content, _RECORD, told, HEAD + COUNT)
    return _soup(records["corners"].reshape(-1, 3).astype(np.float64))


def looks_like_ascii_stl(content: bytes) -> bool:
    """Whether it begins as such a file does and has a facet near its beginning."""
    head = content[:4096].lstrip().lower()
    return head.startswith(b"solid") and (b"facet" in head or b"endsolid" in head)


def read_ascii_stl(content: bytes, name: str) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    """The triangles of an STL in text. Raises FileRefused for a number that is none, or a facet cut off."""
    found = _VERTEX.findall(content)
    try:
        corners = np.array(found, dtype="S32").astype(np.float64).reshape(-1, 3)
    except ValueError as error:
        raise refused(name, "a corner is no number", "export the part once more") from error
    if len(corners) % 3:
        raise refused(name, "a facet has not three corners", "send the whole file")
    return _soup(corners)


def _soup(corners: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    return corners, np.arange(len(corners), dtype=np.int64).reshape(-1, 3)

"""Shapes of three kinds are read as what they are, and broken ones are refused in words."""

from __future__ import annotations

import io
import zipfile

import numpy as np
import pytest
import trimesh

from offtool.exchange.meshes import read_mesh
from offtool.exchange.readings import FileRefused

BOX = trimesh.creation.box((40, 30, 20))


def exported(kind: str) -> bytes:
    written = BOX.export(file_type=kind)
    return written.encode() if isinstance(written, str) else written


def packed(model: bytes) -> bytes:
    """The box as 3MF, with another model in it."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(exported("3mf"))) as old, zipfile.ZipFile(out, "w") as new:
        for name in old.namelist():
            new.writestr(name, model if name.endswith(".model") else old.read(name))
    return out.getvalue()


def model() -> bytes:
    with zipfile.ZipFile(io.BytesIO(exported("3mf"))) as box:
        return next(box.read(name) for name in box.namelist() if name.endswith(".model"))


@pytest.mark.parametrize(
    ("written", "kind", "unit"),
    [("stl", "STL", None), ("stl_ascii", "STL", None), ("obj", "OBJ", None), ("3mf", "3MF", "mm")],
)
def test_each_kind_is_known_by_what_is_in_it(written: str, kind: str, unit: str | None) -> None:
    found = read_mesh(exported(written), "part.dat")
    assert (found.kind, found.unit, len(found.faces)) == (kind, unit, 12)
    read = trimesh.Trimesh(found.vertices, found.faces)
    assert (read.volume, read.is_watertight) == (pytest.approx(24_000, rel=1e-6), True)


@pytest.mark.parametrize(
    ("said", "unit", "longest"),
    [
        ("inch", "in", 40),
        ("centimeter", "cm", 40),
        ("meter", "m", 40),
        ("micron", "mm", 0.04),
        ("foot", "mm", 12192),
    ],
)
def test_the_unit_of_a_3mf_is_read(said: str, unit: str, longest: float) -> None:
    found = read_mesh(packed(model().replace(b'"millimeter"', f'"{said}"'.encode())), "part.3mf")
    assert found.unit == unit
    assert np.ptp(found.vertices, axis=0).max() == pytest.approx(longest, rel=1e-5)
    assert bool(found.notes) is (said in ("micron", "foot"))


def test_a_3mf_that_names_no_unit_is_in_mm_by_its_format_and_says_so() -> None:
    found = read_mesh(packed(model().replace(b' unit="millimeter"', b"")), "part.3mf")
    assert (found.unit, found.notes) == ("mm", ("it names no unit: by the format that means mm",))
    assert read_mesh(packed(model()), "part.3mf").notes == ()


def test_a_binary_file_whose_heading_begins_like_text_is_still_binary() -> None:
    content = b"solid of revolution".ljust(80) + exported("stl")[80:]
    assert len(read_mesh(content, "part.stl").faces) == 12


def test_a_face_of_four_corners_is_cut_into_two_triangles() -> None:
    square = b"v 0 0 0\nv 1 0 0\nv 1 1 0\nv 0 1 0\nf 1 2 3 4\n"
    assert len(read_mesh(square, "part.obj").faces) == 2


BOMB = b'<?xml version="1.0"?><!DOCTYPE m [<!ENTITY a "aaaa">]><model unit="millimeter">&a;</model>'


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "the file is empty"),
        (b"no shape at all", "is no STL, OBJ or 3MF"),
        (exported("stl")[:300], "says 12 triangles and ends after 4"),
        (exported("stl_ascii").replace(b"vertex", b"vertex x", 1), "no number"),
        (b"solid a\nfacet\nvertex 0 0 0\nvertex 1 0 0\nendfacet", "not three corners"),
        (b"solid a\nendsolid a\n", "has no triangle"),
        (exported("stl")[:84].replace(b"\x0c\x00\x00\x00", bytes(4)), "has no triangle"),
        (exported("3mf")[:200], "cannot be unpacked"),
        (packed(model().replace(b'"millimeter"', b'"furlong"')), "names furlong"),
        (packed(BOMB), "entities of its own"),
        (packed(b"<model"), "cannot be read as 3MF"),
    ],
)
def test_what_cannot_be_read_is_refused_with_its_name_and_a_remedy(content: bytes, said: str) -> None:
    with pytest.raises(FileRefused, match=said) as refused:
        read_mesh(content, "part.xyz")
    assert refused.value.where == "part.xyz"
    assert refused.value.remedy


def test_a_corner_that_is_no_finite_number_is_refused() -> None:
    content = bytearray(exported("stl"))
    content[84 + 12 : 84 + 16] = np.float32(np.nan).tobytes()
    with pytest.raises(FileRefused, match="not a finite number"):
        read_mesh(bytes(content), "part.stl")

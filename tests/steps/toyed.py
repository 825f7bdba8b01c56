"""The clip of `tests.steps.clip` as a toy: for whom it is, its shapes, and the files of toy tests."""

from __future__ import annotations

from datetime import date
from typing import Any

import trimesh

from offtool.records.models import Programme
from offtool.steps.keep_toy_test import ToyTestAbout, ToyTestKept, keep_toy_test
from offtool.steps.read_mesh import MeshAbout, keep_mesh_file
from offtool.steps.toy_market import say_market
from tests.steps.clip import NOON, SLUG

TRIED_ON = date(2026, 3, 4)
LAW_NM = 4 * 0.0254 * 4.4482216152605
"""The torque of 16 CFR 1500.53(e): 4 in·lbf."""


def sold(programme: Programme, markets: str = "US", from_months: float = 36.0, **more: Any) -> None:
    """For whom it is."""
    columns = {"markets": markets, "from_months": from_months, "to_months": 96.0, "mass_kg": 0.05, **more}
    say_market(programme.slug, columns, made_by="tester")


def torque_file(stood: int, failed: int = 0, *, part: str = "P1") -> bytes:
    """Pieces that were turned to the law and held, and pieces that came apart before."""
    rows = [f"{i},{part},>0.46,yes," for i in range(1, stood + 1)]
    rows += [f"{stood + i},{part},0.30,no,22" for i in range(1, failed + 1)]
    return ("Piece,Part,Torque [N·m],Held,Came off [mm]\n" + "\n".join(rows) + "\n").encode()


def drop_file(whole: int, broken: int = 0, *, drops: int = 4, height_m: float = 0.92) -> bytes:
    """Pieces that fell as the law says."""
    rows = [f"{i},{drops},{height_m},{'yes' if i <= whole else 'no'}" for i in range(1, whole + broken + 1)]
    return ("Piece,Drops,Height [m],Held\n" + "\n".join(rows) + "\n").encode()


def keep(content: bytes, name: str = "L1", **about: Any) -> ToyTestKept:
    """Keep a toy test of the clip."""
    told = ToyTestAbout(**{"market": "US", "done_on": TRIED_ON, **about})
    return keep_toy_test(
        content, f"{name}.csv", programme=SLUG, test_name=name, about=told, read_at=NOON, read_by="tester"
    )


def keep_shape(part: str, *size_mm: float) -> None:
    """The shape of a part: a block."""
    content = bytes(trimesh.creation.box(size_mm).export(file_type="stl"))
    about = MeshAbout(unit="mm")
    keep_mesh_file(
        content, f"{part}.stl", programme=SLUG, part=part, about=about, read_at=NOON, read_by="tester"
    )

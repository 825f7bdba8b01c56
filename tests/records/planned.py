"""What is planned around the small invented product, one row at a time, for tests."""

from __future__ import annotations

from datetime import timedelta
from itertools import count
from typing import Any

from offtool.records.models import (
    ColourChange,
    ColourShot,
    EngineersThere,
    PartMesh,
    PressOff,
    TrialRequest,
    TrialWant,
)
from tests.records.example import NOON, Example
from tests.records.sampled import press_of

_number = count(1)

TIME = {"begins_at": NOON, "ends_at": NOON + timedelta(hours=4)}
READ = {"file_name": "shots.csv", "content": b"x", "read_at": NOON, "read_by": "Ada"}
_ENDS = {"from_lightness": 24.0, "from_a": 0.0, "from_b": 0.0, "to_lightness": 80.0, "to_a": 1.0, "to_b": 2.0}


def press_off_of(e: Example, **changed: Any) -> PressOff:
    """A press of its own that stands for four hours."""
    told = TIME | changed
    return PressOff.objects.create(**{"press": told.get("press") or press_of(e)} | told)


def engineers_of(e: Example, **changed: Any) -> EngineersThere:
    """Somebody who is there for four hours."""
    return EngineersThere.objects.create(**{"programme": e.programme, **TIME} | changed)


def mesh_of(e: Example, **changed: Any) -> PartMesh:
    """A shape of the body, each read a minute after the one before."""
    told: dict[str, Any] = {"part": e.body, "file_name": "body.stl", "sha256": f"{next(_number):064x}"}
    told |= {"content": b"solid", "size": 5, "kind": "STL", "unit": "mm", "read_by": "Ada"}
    return PartMesh.objects.create(**told | {"read_at": NOON + timedelta(minutes=next(_number))} | changed)


def change_of(e: Example, **changed: Any) -> ColourChange:
    """A change from dark to light on a press of its own."""
    told = {"name": f"C{next(_number)}", "sha256": f"{next(_number):064x}", "shot_g": 25.0, **READ, **_ENDS}
    told |= {"tool": e.tool} | changed
    return ColourChange.objects.create(**{"press": told.get("press") or press_of(e)} | told)


def colour_shot_of(e: Example, **changed: Any) -> ColourShot:
    """One shot of a change of its own."""
    told = {"number": 1, "lightness": 50.0, "a": 1.0, "b": 2.0, "row": 2} | changed
    return ColourShot.objects.create(**{"change": told.get("change") or change_of(e)} | told)


def request_of(e: Example, **changed: Any) -> TrialRequest:
    """A trial of the first tool that is asked for, each with a name of its own."""
    return TrialRequest.objects.create(**{"tool": e.tool, "name": f"T{next(_number) + 9}"} | changed)


def want_of(e: Example, **changed: Any) -> TrialWant:
    """One purpose of a request of its own."""
    told = {"purpose": "sizes"} | changed
    return TrialWant.objects.create(**{"request": told.get("request") or request_of(e)} | told)

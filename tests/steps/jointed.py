"""The clip of `tests.steps.clip` with what joints need: a bore in its lid, two trials, and a joint."""

from __future__ import annotations

from datetime import date
from typing import Any

from offtool.records.models import Characteristic, Part, Programme, Tool, ToolState, Trial
from offtool.steps.define_joint import JointDefined, define_joint
from offtool.steps.define_seam import SeamDefined, define_seam
from offtool.steps.sizes_given import Said

PEG_SIZES: dict[str, Said] = {
    "peg_diameter": "P1 1",
    "socket_bore": "P2 2",
    "socket_outer": 8.0,
    "contact_length": (6.0, 0.1),
}


def with_bore(clip: Programme) -> Programme:
    """The clip with a bore in its lid, an angle, and two trials of its tool."""
    lid = Part.objects.get(programme=clip, code="P2")
    for number, name, unit, kind, nominal in (
        ("2", "Bore", "mm", "diameter", 4.0),
        ("3", "Slope", "deg", "angle", 4.0),
    ):
        Characteristic.objects.create(
            part=lid, number=number, name=name, kind=kind, unit=unit, nominal=nominal,
            lower=nominal - 0.05, upper=nominal + 0.05,
        )  # fmt: skip
    tool = Tool.objects.get(programme=clip, code="M1")
    state = ToolState.objects.get(tool=tool)
    for name, day in (("T1", 2), ("T2", 9)):
        Trial.objects.create(tool=tool, name=name, state=state, shot_on=date(2026, 3, day))
    return clip


def defined(**changed: Any) -> JointDefined:
    given: dict[str, Any] = {"code": "hinge", "kind": "peg in socket", "sizes": PEG_SIZES} | changed
    return JointDefined(**given)


def a_joint(**changed: Any) -> str:
    """The clip's peg in the lid's bore."""
    return define_joint("clip", defined(**changed), made_by="tester")


def a_seam(**changed: Any) -> str:
    """The clip welded to its lid."""
    return define_seam("clip", seam_defined(**changed), made_by="tester")


def seam_defined(**changed: Any) -> SeamDefined:
    given: dict[str, Any] = {
        "code": "rim",
        "kind": "ridge",
        "top_part": "P1",
        "bottom_part": "P2",
        "sizes": {"joint_width": 1.6, "seam_length": "P2 1", "ridge_height": 0.5},
    } | changed
    return SeamDefined(**given)

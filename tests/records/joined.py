"""Joints and seams of the small invented product, one row at a time, for tests of the record."""

from __future__ import annotations

from itertools import count
from typing import Any

from offtool.records.models import (
    Joint,
    JointDemand,
    JointReading,
    JointSize,
    JointTest,
    Seam,
    SeamSize,
    WeldRun,
    WeldStudy,
)
from tests.records.example import NOON, Example

_number = count(1)

READ = {"file_name": "J1.csv", "content": b"x", "read_at": NOON, "read_by": "Ada"}


def joint_of(e: Example, **changed: Any) -> Joint:
    """A peg in a socket, each with a code of its own."""
    told = {"programme": e.programme, "code": f"hip-{next(_number)}", "kind": "peg in socket"} | changed
    return Joint.objects.create(**told)


def joint_size_of(e: Example, **changed: Any) -> JointSize:
    """The bore of the body as a size of a joint of its own."""
    told = {"role": "socket_bore", "characteristic": e.bore} | changed
    return JointSize.objects.create(**{"joint": told.get("joint") or joint_of(e)} | told)


def joint_test_of(e: Example, **changed: Any) -> JointTest:
    """A test of a joint of its own, of pieces from the first trial."""
    told = {"name": f"J{next(_number)}", "sha256": f"{next(_number):064x}", **READ}
    told |= {"gauge": e.gauge, "inner_trial": e.trial, "outer_trial": e.trial} | changed
    return JointTest.objects.create(**{"joint": told.get("joint") or joint_of(e)} | told)


def joint_reading_of(e: Example, **changed: Any) -> JointReading:
    """A torque of limb in body, in a test of its own."""
    told: dict[str, Any] = {"piece": "P1", "inner_cavity": e.limb_cavity, "outer_cavity": e.cavities[0]}
    told |= {
        "what": "breakaway torque",
        "condition": "fresh",
        "value": 0.043,
        "row": 2,
        "column": 3,
    } | changed
    return JointReading.objects.create(**{"test": told.get("test") or joint_test_of(e)} | told)


def demand_of(e: Example, **changed: Any) -> JointDemand:
    """What a joint of its own asks of the bore, which is one of its sizes."""
    told: dict[str, Any] = {"characteristic": e.bore, "target": 3.98, "lower": 3.96, "upper": 4.0}
    told |= {"reason": "loose in every pair", "made_at": NOON, "made_by": "Ada"} | changed
    if "joint" not in told:
        told["joint"] = joint_size_of(e).joint
    return JointDemand.objects.create(**told)


def seam_of(e: Example, **changed: Any) -> Seam:
    """Body and limb welded together, each seam with a code of its own."""
    told: dict[str, Any] = {"programme": e.programme, "code": f"torso-{next(_number)}", "kind": "ridge"}
    return Seam.objects.create(**told | {"top_part": e.body, "bottom_part": e.limb} | changed)


def seam_size_of(e: Example, **changed: Any) -> SeamSize:
    """The width of a seam of its own, as a number."""
    told: dict[str, Any] = {"role": "joint_width", "value": 1.2} | changed
    return SeamSize.objects.create(**{"seam": told.get("seam") or seam_of(e)} | told)


def weld_study_of(e: Example, **changed: Any) -> WeldStudy:
    """A study of a seam of its own, with pieces from the first trial."""
    told = {"name": f"W{next(_number)}", "sha256": f"{next(_number):064x}", **READ}
    told |= {"gauge": e.gauge, "top_trial": e.trial, "bottom_trial": e.trial} | changed
    return WeldStudy.objects.create(**{"seam": told.get("seam") or seam_of(e)} | told)


def weld_run_of(e: Example, **changed: Any) -> WeldRun:
    """One run of a study of its own."""
    told: dict[str, Any] = {"piece": "A", "top_cavity": e.cavities[0], "bottom_cavity": e.limb_cavity}
    told |= {"time_s": 0.4, "strength_n": 110.0, "row": 2} | changed
    return WeldRun.objects.create(**{"study": told.get("study") or weld_study_of(e)} | told)

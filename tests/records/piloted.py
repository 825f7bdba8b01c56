"""A line, a pilot and what a release rests on around the small invented product, one row at a time."""

from __future__ import annotations

from datetime import timedelta
from itertools import count
from typing import Any

from offtool.records.models import (
    ChangeMade,
    Concession,
    Evidence,
    EvidenceState,
    LimitSample,
    Line,
    LineBreak,
    LineEquipment,
    LinePair,
    LinePress,
    LineStation,
    LineStationHas,
    LineTask,
    LineTaskAfter,
    LineTaskNeeds,
    Pilot,
    PilotAudit,
    PilotCount,
    PilotDefect,
    PilotFile,
    PilotTime,
    PilotTrial,
    ReleaseLine,
    Signature,
    StepDays,
    ToyTestPiece,
    ToyTestRun,
)
from tests.records.example import NOON, Example
from tests.records.joined import joint_of
from tests.records.sampled import sample_of

_number = count(1)


def _read() -> dict[str, Any]:
    return {
        "file_name": "sheet.csv",
        "sha256": f"{next(_number):064x}",
        "content": b"x",
        "read_at": NOON,
        "read_by": "Ada",
    }


def line_of(e: Example, **changed: Any) -> Line:
    """A line with a name of its own."""
    return Line.objects.create(**{"programme": e.programme, "name": f"line {next(_number)}"} | changed)


def equipment_of(e: Example, **changed: Any) -> LineEquipment:
    """Equipment of a line of its own."""
    told = {"name": f"welder {next(_number)}"} | changed
    return LineEquipment.objects.create(**{"line": told.get("line") or line_of(e)} | told)


def station_of(e: Example, **changed: Any) -> LineStation:
    """A station of a line of its own."""
    told = {"number": next(_number)} | changed
    return LineStation.objects.create(**{"line": told.get("line") or line_of(e)} | told)


def has_of(e: Example, **changed: Any) -> LineStationHas:
    """Equipment at a station of one line."""
    station = changed.get("station") or station_of(e)
    told = {"station": station, "equipment": changed.get("equipment") or equipment_of(e, line=station.line)}
    return LineStationHas.objects.create(**told)


def break_of(e: Example, **changed: Any) -> LineBreak:
    """A break of a line of its own."""
    told = {"begins_h": 2.0, "ends_h": 2.25} | changed
    return LineBreak.objects.create(**{"line": told.get("line") or line_of(e)} | told)


def task_of(e: Example, **changed: Any) -> LineTask:
    """A task of a line of its own."""
    told = {"name": f"task {next(_number)}", "time_s": 12.0} | changed
    return LineTask.objects.create(**{"line": told.get("line") or line_of(e)} | told)


def after_of(e: Example, **changed: Any) -> LineTaskAfter:
    """One task of a line after another."""
    task = changed.get("task") or task_of(e)
    before = changed.get("before") or task_of(e, line=task.line)
    return LineTaskAfter.objects.create(task=task, before=before)


def needs_of(e: Example, **changed: Any) -> LineTaskNeeds:
    """A task and equipment of one line."""
    task = changed.get("task") or task_of(e)
    equipment = changed.get("equipment") or equipment_of(e, line=task.line)
    return LineTaskNeeds.objects.create(task=task, equipment=equipment)


def pair_of(e: Example, **changed: Any) -> LinePair:
    """Two tasks of one line."""
    one = changed.get("one") or task_of(e)
    told = {"one": one, "other": changed.get("other") or task_of(e, line=one.line), "kind": "together"}
    return LinePair.objects.create(**told | changed)


def feeds_of(e: Example, **changed: Any) -> LinePress:
    """The first tool feeding a line of its own."""
    told = {"tool": e.tool, "cycle_s": 30.0} | changed
    return LinePress.objects.create(**{"line": told.get("line") or line_of(e)} | told)


def pilot_of(e: Example, **changed: Any) -> Pilot:
    """A pilot of a line of its own."""
    told = {"name": f"P{next(_number)}"} | changed
    return Pilot.objects.create(**{"line": told.get("line") or line_of(e)} | told)


def pilot_trial_of(e: Example, **changed: Any) -> PilotTrial:
    """The first trial in a pilot of its own."""
    return PilotTrial.objects.create(
        **{"pilot": changed.get("pilot") or pilot_of(e), "trial": e.trial} | changed
    )


def sheet_of(e: Example, **changed: Any) -> PilotFile:
    """A sheet of counts of a pilot of its own."""
    told = _read() | {"kind": "counts", "name": f"S{next(_number)}"} | changed
    return PilotFile.objects.create(**{"pilot": told.get("pilot") or pilot_of(e)} | told)


def _on_sheet(e: Example, kind: str, changed: dict[str, Any]) -> dict[str, Any]:
    file = changed.get("file") or sheet_of(e, kind=kind)
    return {"file": file, "station": changed.get("station") or station_of(e, line=file.pilot.line), "row": 2}


def count_of(e: Example, **changed: Any) -> PilotCount:
    """Pieces tried at a station of the pilot's line."""
    told = _on_sheet(e, "counts", changed) | {"tried": 100, "good_first": 90, "reworked_good": 6, "hour": 1}
    return PilotCount.objects.create(**told | changed)


def defect_of(e: Example, **changed: Any) -> PilotDefect:
    """A defect found at a station of the pilot's line."""
    told = _on_sheet(e, "defects", changed) | {"defect": "flash", "count": 4, "hour": 1}
    return PilotDefect.objects.create(**told | changed)


def time_of(e: Example, **changed: Any) -> PilotTime:
    """A cycle timed at a station of the pilot's line."""
    told = _on_sheet(e, "times", changed) | {"time_s": 22.5, "hour": 1}
    return PilotTime.objects.create(**told | changed)


def audit_of(e: Example, **changed: Any) -> PilotAudit:
    """A joint turned in a pilot."""
    told = {"row": 2, "hour": 1, "value": 0.05, "unit": "N·m"} | changed
    told = {"file": told.get("file") or sheet_of(e, kind="audits")} | told
    if "joint" not in told:
        told["joint"] = joint_of(e)
    return PilotAudit.objects.create(**told)


def release_line_of(e: Example, **changed: Any) -> ReleaseLine:
    """A line of the programme's own list."""
    told = {"programme": e.programme, "code": f"own {next(_number)}", "fed_by": "open findings"}
    return ReleaseLine.objects.create(**told | changed)


def evidence_of(e: Example, **changed: Any) -> Evidence:
    """A paper given, each a minute after the one before."""
    told = {"programme": e.programme, "code": "packaging", "says": "holds", "tested_on": NOON.date()}
    told |= {"file_name": "drop.txt", "sha256": "1" * 64, "content": b"x", "given_by": "Ada"}
    return Evidence.objects.create(**told | {"given_at": NOON + timedelta(minutes=next(_number))} | changed)


def evidence_state_of(e: Example, **changed: Any) -> EvidenceState:
    """A paper on the first tool's steel."""
    told = {"evidence": changed.get("evidence") or evidence_of(e), "state": e.state}
    return EvidenceState.objects.create(**told | changed)


def change_made_of(e: Example, **changed: Any) -> ChangeMade:
    """A change told, each a minute after the one before."""
    told = {"programme": e.programme, "what": "mask", "on": NOON.date(), "words": "new mask"}
    told |= {"told_by": "Ada", "told_at": NOON + timedelta(minutes=next(_number))}
    return ChangeMade.objects.create(**told | changed)


def step_days_of(e: Example, **changed: Any) -> StepDays:
    """How long a step takes."""
    told = {"programme": e.programme, "step": f"step {next(_number)}", "low_days": 2.0, "high_days": 4.0}
    return StepDays.objects.create(**told | changed)


def concession_of(e: Example, **changed: Any) -> Concession:
    """A concession for some pieces."""
    told = {"programme": e.programme, "code": "sizes", "item": f"item {next(_number)}", "amount": "0.05 mm"}
    told |= {"pieces": 500, "reason": "not seen", "approved_by": "Ada", "given_on": NOON.date()}
    return Concession.objects.create(**told | changed)


def limit_sample_of(e: Example, **changed: Any) -> LimitSample:
    """A kept sample that shows a limit."""
    told = {"programme": e.programme, "sample": changed.get("sample") or sample_of(e), "kind": "limit"}
    told |= {"area": f"area {next(_number)}", "signed_by": "Ada", "signed_on": NOON.date()}
    return LimitSample.objects.create(**told | changed)


def signature_of(e: Example, **changed: Any) -> Signature:
    """A signature, each a minute after the one before."""
    told = {"programme": e.programme, "role": "tooling", "person": "Ada", "states": "released"}
    told |= {"signed_at": NOON + timedelta(minutes=next(_number)), "fingerprint": "a" * 64}
    return Signature.objects.create(**told | changed)


def toy_test_of(e: Example, **changed: Any) -> ToyTestRun:
    """A torque test of the law."""
    told = {"programme": e.programme, "name": f"torque {next(_number)}", "market": "US", "test": "torque"}
    return ToyTestRun.objects.create(**_read() | told | changed)


def toy_piece_of(e: Example, **changed: Any) -> ToyTestPiece:
    """One piece of a test of its own."""
    told = {"piece": "1", "held": True, "row": 2, "value": 0.45, "drops": 4, "height_m": 0.9}
    return ToyTestPiece.objects.create(
        **{"run": changed.get("run") or toy_test_of(e)} | told | {"came_off_mm": 12.0} | changed
    )

"""The demo: the invented harbour otter is loaded, the third trials are read, one is inspected and corrected,
joints and seams are judged, the next trial is planned, two pieces without a tag are told where they are from,
and the line, its pilot and the release review say how far the otter is from production.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from datetime import date, datetime
from pathlib import Path
from typing import Any

from offtool.core.values import OfftoolError
from offtool.exchange.programme import ProgrammeFolder, read_folder
from offtool.exchange.programme.rows import PredictionRow
from offtool.places import examples_folder
from offtool.records.models import JointTest, Programme
from offtool.steps.balance_line import line_as_adopted
from offtool.steps.correct_tool import correct_tool
from offtool.steps.dossier import Dossier, dossier_of
from offtool.steps.dump_programme import programme_as_rows
from offtool.steps.findings import TrialFindings
from offtool.steps.identify_sample import identify_sample
from offtool.steps.inspect_trial import inspect_trial
from offtool.steps.joint_found import JointsFound
from offtool.steps.judge_joint import judge_joints
from offtool.steps.judge_pilot import pilots_of_programme
from offtool.steps.judge_seam import judge_seams
from offtool.steps.keep_joint_test import JointTestAbout, keep_joint_test
from offtool.steps.latest_sizes import SizesMeasured
from offtool.steps.line_found import LineFound
from offtool.steps.load_programme import load_programme
from offtool.steps.order_samples import LotFound, order_of_samples
from offtool.steps.pilot_found import PilotsFound
from offtool.steps.plan_found import TrialPlanned
from offtool.steps.plan_trial import plan_trial
from offtool.steps.read_readings import TrialAbout, keep_readings, preview_readings
from offtool.steps.reading_preview import ReadingPreview, ReadingsKept
from offtool.steps.review_release import review_release
from offtool.steps.sample_found import SampleFound
from offtool.steps.seam_found import SeamsFound
from offtool.steps.steel_changes import ToolCorrection
from offtool.steps.way_found import WayToRelease
from offtool.steps.way_to_release import way_to_release

PROGRAMME, TOOL, TRIAL = "harbour-otter", "M3", "T3"
GAUGE_ROOM = "harbour_otter_gauge_room"
FILES: Mapping[str, str] = {
    "M1": "M1_T3_Messprotokoll.csv",
    "M2": "M2_T3_readings.csv",
    "M3": "M3_T3_data.xlsx",
}
"""The third trials by tool. Joints are made of parts of two tools, so all are read."""
FILE = Path(GAUGE_ROOM, FILES[TOOL])
ABOUT: Mapping[str, TrialAbout] = {
    "M1": TrialAbout(
        shot_on=date(2026, 3, 17),
        press="150 t, no. 4",
        colour="otter brown",
        resin_lot="A-0130",
        age_h=24.0,
    ),
    "M2": TrialAbout(
        shot_on=date(2026, 3, 18),
        press="120 t, no. 2",
        colour="otter brown",
        resin_lot="A-0130",
        age_h=24.0,
    ),
    "M3": TrialAbout(
        shot_on=date(2026, 3, 19), press="80 t, no. 9", colour="natural", resin_lot="P-0911", age_h=72.0
    ),
}
"""What the invented engineer wrote on the bags of samples."""
JOINT, TORQUES = "shoulder", "shoulder_T3_torque.csv"
ABOUT_TORQUES = JointTestAbout(
    gauge="TRQ-04",
    inner_trial="M3 T3",
    outer_trial="M1 T3",
    done_on=date(2026, 3, 23),
    note="aged: 24 h at 60 °C",
)
"""Arms of the third trial in fronts of the third trial, turned by hand."""
NEXT_TRIAL, PLANNED_ON = "T4", date(2026, 3, 23)
"""The trial that is asked for next, and the day on which the demo stands."""
PIECES, LOT_PART = ("0417", "0418"), "HO-04"
"""Two pieces without a tag from the sample room's drawer, and the part whose loose pieces are ordered."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DemoResult:
    """What the demo did; `read` is None where an earlier demo had read the files into this record.

    `understood`, `read`, `findings` and `correction` are of the one tool that is shown in depth.
    """

    programme: str
    programme_title: str
    understood: ReadingPreview
    read: ReadingsKept | None
    findings: TrialFindings
    correction: ToolCorrection
    joints: JointsFound
    seams: SeamsFound
    plan: TrialPlanned
    pieces: tuple[SampleFound, ...]
    lot: LotFound
    line: LineFound
    pilots: PilotsFound
    dossier: Dossier
    way: WayToRelease


def run_demo(*, read_at: datetime, read_by: str) -> DemoResult:
    """Load the demo into the open record, read the third trials, correct a tool, judge joints, plan a trial.

    One file holds one cell that cannot be read; it is left out, as a user would do after the preview. Nothing
    is decided: the corrections are proposed. A record that holds the demo already is gone on with. Sheet,
    workbook and reports are written by the command from this result, since reports come after steps.

    Raises OfftoolError where the record has another programme of that name, or one that went on from here.
    """
    folder = examples_folder()
    content = {tool: (folder / GAUGE_ROOM / file).read_bytes() for tool, file in FILES.items()}
    torques = (folder / GAUGE_ROOM / TORQUES).read_bytes()
    programme = Programme.objects.filter(slug=PROGRAMME).first()
    if programme is None:
        load_programme(folder / "harbour_otter", loaded_by=read_by)
    else:
        _refuse_another(programme, read_folder(folder / "harbour_otter"), {*map(_sha256, content.values())})
    understood = preview_readings(content[TOOL], FILES[TOOL], programme=PROGRAMME, tool=TOOL)
    read = {
        tool: _read(tool, one, read_at=read_at, read_by=read_by)
        for tool, one in content.items()
        if not _is_read(one)
    }
    if not JointTest.objects.filter(joint__programme__slug=PROGRAMME, sha256=_sha256(torques)).exists():
        _keep_torques(torques, read_at=read_at, read_by=read_by)
    findings = inspect_trial(PROGRAMME, TOOL, TRIAL)
    measured = SizesMeasured()
    dossier = dossier_of(PROGRAMME, PLANNED_ON, review_release(PROGRAMME, PLANNED_ON, measured))
    return DemoResult(
        programme=PROGRAMME,
        programme_title=findings.programme_title,
        understood=understood,
        read=read.get(TOOL),
        findings=findings,
        correction=correct_tool(PROGRAMME, TOOL, TRIAL),
        joints=judge_joints(PROGRAMME, measured),
        seams=judge_seams(PROGRAMME, measured),
        plan=plan_trial(PROGRAMME, TOOL, NEXT_TRIAL, on=PLANNED_ON),
        pieces=tuple(identify_sample(PROGRAMME, number) for number in PIECES),
        lot=order_of_samples(PROGRAMME, LOT_PART),
        line=line_as_adopted(PROGRAMME),
        pilots=pilots_of_programme(PROGRAMME),
        dossier=dossier,
        way=way_to_release(PROGRAMME, PLANNED_ON, dossier.review),
    )


def _read(tool: str, content: bytes, *, read_at: datetime, read_by: str) -> ReadingsKept:
    return keep_readings(
        content,
        FILES[tool],
        programme=PROGRAMME,
        tool=tool,
        trial=TRIAL,
        read_at=read_at,
        read_by=read_by,
        leave_out=True,
        about=ABOUT[tool],
    )


def _keep_torques(content: bytes, *, read_at: datetime, read_by: str) -> None:
    keep_joint_test(
        content,
        TORQUES,
        programme=PROGRAMME,
        joint=JOINT,
        test=TRIAL,
        about=ABOUT_TORQUES,
        read_at=read_at,
        read_by=read_by,
    )


def _sha256(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def _is_read(content: bytes) -> bool:
    return Programme.objects.filter(slug=PROGRAMME, source_files__sha256=_sha256(content)).exists()


def _refuse_another(programme: Programme, told: ProgrammeFolder, read: set[str]) -> None:
    """Go on only where the record holds what the folder says, and at most what this demo added beside it."""
    kept = _before_the_demo(programme_as_rows(programme), read)
    # readings follow from the files they came from, which are compared by checksum
    names = [each.name for each in fields(told) if each.name not in ("readings", "original_of")]
    differing = [
        name.replace("_", " ") for name in names if _as_set(getattr(told, name)) != _as_set(kept[name])
    ]
    if differing:
        raise OfftoolError(
            f"there is a programme {PROGRAMME!r} already that is not the demo's as it begins: "
            f"{', '.join(differing)} differ",
            remedy="name a new record for the demo",
        )


def _before_the_demo(kept: ProgrammeFolder, read: set[str]) -> dict[str, Any]:
    """The tables of the record without what an earlier run of this demo added."""
    tables = {table.name: getattr(kept, table.name) for table in fields(kept)}
    return tables | {
        "trials": [row for row in kept.trials if not (row.tool in FILES and row.name == TRIAL)],
        "sources": [row for row in kept.sources if row.sha256 not in read],
        "predictions": [_not_judged_here(row) for row in kept.predictions],
        "joint_tests": [row for row in kept.joint_tests if (row.joint, row.name) != (JOINT, TRIAL)],
        "joint_readings": [row for row in kept.joint_readings if (row.joint, row.test) != (JOINT, TRIAL)],
    }


def _not_judged_here(row: PredictionRow) -> PredictionRow:
    return replace(row, judged_in="", outcome="") if row.judged_in == TRIAL else row


def _as_set(rows: Any) -> set[str]:
    return {repr(replace(row, line=0)) for row in (rows if isinstance(rows, tuple | list) else [rows])}

"""The demo: the invented harbour otter is loaded, a third trial is read, inspected and corrected."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, fields, replace
from datetime import date, datetime
from pathlib import Path
from typing import Any

from offtool.core.values import OfftoolError
from offtool.exchange.programme import ProgrammeFolder, read_folder
from offtool.exchange.programme.rows import PredictionRow
from offtool.places import examples_folder
from offtool.records.models import Programme
from offtool.steps.correct_tool import correct_tool
from offtool.steps.dump_programme import programme_as_rows
from offtool.steps.findings import TrialFindings
from offtool.steps.inspect_trial import inspect_trial
from offtool.steps.load_programme import load_programme
from offtool.steps.read_readings import TrialAbout, keep_readings, preview_readings
from offtool.steps.reading_preview import ReadingPreview, ReadingsKept
from offtool.steps.steel_changes import ToolCorrection

PROGRAMME, TOOL, TRIAL = "harbour-otter", "M3", "T3"
FILE = Path("harbour_otter_gauge_room", "M3_T3_data.xlsx")
ABOUT = TrialAbout(
    shot_on=date(2026, 3, 19), press="80 t, no. 9", colour="natural", resin_lot="P-0911", age_h=72.0
)
"""What the invented engineer wrote on the bag of samples."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DemoResult:
    """What the demo did; `read` is None where an earlier demo had read the file into this record."""

    programme: str
    programme_title: str
    understood: ReadingPreview
    read: ReadingsKept | None
    findings: TrialFindings
    correction: ToolCorrection


def run_demo(*, read_at: datetime, read_by: str) -> DemoResult:
    """Load the demo programme into the open record, read the third trial of the arm and leg tool, correct it.

    The file holds one cell that cannot be read; it is left out, as a user would do after the preview. Nothing
    is decided: the corrections are proposed. A record that holds the demo already is gone on with. Sheet and
    workbook are written by the command from this result, since reports come after steps.

    Raises OfftoolError where the record has another programme of that name, or one that went on from here.
    """
    folder = examples_folder()
    content = (folder / FILE).read_bytes()
    programme = Programme.objects.filter(slug=PROGRAMME).first()
    if programme is None:
        load_programme(folder / "harbour_otter", loaded_by=read_by)
    else:
        _refuse_another(programme, read_folder(folder / "harbour_otter"), content)
    understood = preview_readings(content, FILE.name, programme=PROGRAMME, tool=TOOL)
    read = None if _is_read(content) else _read(content, read_at=read_at, read_by=read_by)
    findings = inspect_trial(PROGRAMME, TOOL, TRIAL)
    return DemoResult(
        programme=PROGRAMME,
        programme_title=findings.programme_title,
        understood=understood,
        read=read,
        findings=findings,
        correction=correct_tool(PROGRAMME, TOOL, TRIAL),
    )


def _read(content: bytes, *, read_at: datetime, read_by: str) -> ReadingsKept:
    return keep_readings(
        content,
        FILE.name,
        programme=PROGRAMME,
        tool=TOOL,
        trial=TRIAL,
        read_at=read_at,
        read_by=read_by,
        leave_out=True,
        about=ABOUT,
    )


def _is_read(content: bytes) -> bool:
    sha256 = hashlib.sha256(content).hexdigest()
    return Programme.objects.filter(slug=PROGRAMME, source_files__sha256=sha256).exists()


def _refuse_another(programme: Programme, told: ProgrammeFolder, content: bytes) -> None:
    """Go on only where the record holds what the folder says, and at most this demo's own trial beside it."""
    kept = _before_the_demo(programme_as_rows(programme), hashlib.sha256(content).hexdigest())
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


def _before_the_demo(kept: ProgrammeFolder, sha256: str) -> dict[str, Any]:
    """The tables of the record without what an earlier run of this demo added."""
    tables = {table.name: getattr(kept, table.name) for table in fields(kept)}
    return tables | {
        "trials": [row for row in kept.trials if (row.tool, row.name) != (TOOL, TRIAL)],
        "sources": [row for row in kept.sources if row.sha256 != sha256],
        "predictions": [_not_judged_here(row) for row in kept.predictions],
    }


def _not_judged_here(row: PredictionRow) -> PredictionRow:
    return replace(row, judged_in="", outcome="") if (row.tool, row.judged_in) == (TOOL, TRIAL) else row


def _as_set(rows: Any) -> set[str]:
    return {repr(replace(row, line=0)) for row in (rows if isinstance(rows, tuple | list) else [rows])}

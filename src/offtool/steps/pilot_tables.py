"""How pilots and their sheets answer each other in a programme folder and in the record.

The name of a file inside the folder is left blank here: it depends on all the other files.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from offtool.exchange.programme.pilot_rows import (
    OnSheetRow,
    PilotAuditRow,
    PilotCountRow,
    PilotDefectRow,
    PilotFileRow,
    PilotRow,
    PilotTimeRow,
    PilotTrialRow,
)
from offtool.records.models import (
    Pilot,
    PilotAudit,
    PilotCount,
    PilotDefect,
    PilotFile,
    PilotTime,
    PilotTrial,
    Programme,
)
from offtool.steps.answering import Known, Table
from offtool.steps.line_tables import station_of

PILOTS = Table(
    name="pilots",
    row=PilotRow,
    model=Pilot,
    kept=lambda programme: Pilot.objects.filter(line__programme=programme).select_related("line"),
    names=lambda pilot: {"in_line": pilot.line.name},
    links=lambda row, known: {"line": known.lines[(row.in_line,)]},
)
PILOT_TRIALS = Table(
    name="pilot_trials",
    row=PilotTrialRow,
    model=PilotTrial,
    kept=lambda programme: PilotTrial.objects.filter(pilot__line__programme=programme).select_related(
        "pilot__line", "trial__tool"
    ),
    names=lambda one: {
        "in_line": one.pilot.line.name,
        "pilot": one.pilot.name,
        "tool": one.trial.tool.code,
        "trial": one.trial.name,
    },
    links=lambda row, known: {
        "pilot": known.pilots[row.in_line, row.pilot],
        "trial": known.trials[row.tool, row.trial],
    },
)
PILOT_FILES = Table(
    name="pilot_files",
    row=PilotFileRow,
    model=PilotFile,
    kept=lambda programme: (
        PilotFile.objects.filter(pilot__line__programme=programme)
        .select_related("pilot__line")
        .defer("content")
    ),
    names=lambda file: {"in_line": file.pilot.line.name, "pilot": file.pilot.name, "file": ""},
    links=lambda row, known: {"pilot": known.pilots[row.in_line, row.pilot]},
    settled=("done_on", "note", "file_name", "sha256", "read_at", "read_by"),
)


def _on_sheet(one: Any) -> dict[str, Any]:
    pilot = one.file.pilot
    return {"in_line": pilot.line.name, "pilot": pilot.name, "sheet": one.file.name}


def _at_station(one: Any) -> dict[str, Any]:
    return {**_on_sheet(one), "station": one.station.number}


def _sheet(row: OnSheetRow, known: Known) -> dict[str, Any]:
    return {"file": known.pilot_files[row.in_line, row.pilot, row.kind, row.sheet]}


def _station(row: OnSheetRow, known: Known) -> dict[str, Any]:
    return {**_sheet(row, known), "station": station_of(row, "station", known)}


def _kept(model: Any, *beside: str) -> Callable[[Programme], Iterable[Any]]:
    """The rows of a programme, their sheets without bytes and what else they point at beside them."""
    return lambda programme: (
        model.objects.filter(file__pilot__line__programme=programme)
        .select_related("file__pilot__line", *beside)
        .defer("file__content")
    )


PILOT_COUNTS = Table(
    name="pilot_counts",
    row=PilotCountRow,
    model=PilotCount,
    kept=_kept(PilotCount, "station"),
    names=_at_station,
    links=_station,
    settled=("station", "station_text", "hour", "tried", "good_first", "reworked_good", "scrapped"),
)
PILOT_DEFECTS = Table(
    name="pilot_defects",
    row=PilotDefectRow,
    model=PilotDefect,
    kept=_kept(PilotDefect, "station"),
    names=_at_station,
    links=_station,
    settled=("station", "hour", "defect", "count", "scrapped", "rework_minutes"),
)
PILOT_TIMES = Table(
    name="pilot_times",
    row=PilotTimeRow,
    model=PilotTime,
    kept=_kept(PilotTime, "station", "task"),
    names=lambda one: {**_at_station(one), "task": one.task.name if one.task else ""},
    links=lambda row, known: {
        **_station(row, known),
        "task": known.line_tasks[row.in_line, row.task] if row.task else None,
    },
    settled=("station", "hour", "task", "time_s", "operator"),
)
PILOT_AUDITS = Table(
    name="pilot_audits",
    row=PilotAuditRow,
    model=PilotAudit,
    kept=_kept(PilotAudit, "seam", "joint"),
    names=lambda one: {
        **_on_sheet(one),
        "seam": one.seam.code if one.seam else "",
        "joint": one.joint.code if one.joint else "",
    },
    links=lambda row, known: {
        **_sheet(row, known),
        "seam": known.seams[(row.seam,)] if row.seam else None,
        "joint": known.joints[(row.joint,)] if row.joint else None,
    },
    settled=("seam", "joint", "hour", "value", "unit"),
)

ON_SHEETS = (PILOT_COUNTS, PILOT_DEFECTS, PILOT_TIMES, PILOT_AUDITS)
PILOTED = (PILOTS, PILOT_TRIALS, PILOT_FILES, *ON_SHEETS)
"""All tables of pilots, each after what it points at; lines stand before them."""

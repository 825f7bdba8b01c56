"""Pilots: what is said of them, and the sheets of counts, defects, times and audits, kept once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from datetime import datetime
from typing import Any

from django.db import transaction

from offtool.core.values import NotEnoughData
from offtool.handbook.terms import PilotFileKind
from offtool.records.acting import acting_as
from offtool.records.models import (
    Joint,
    Line,
    LineStation,
    LineTask,
    Pilot,
    PilotAudit,
    PilotCount,
    PilotDefect,
    PilotFile,
    PilotTime,
    PilotTrial,
    Seam,
    Trial,
)
from offtool.records.operations.defining import plain_columns, written_row
from offtool.records.operations.line import only_of
from offtool.records.operations.tested import FileOfTest, Kept
from offtool.records.plain import plain_name
from offtool.records.refusals import refusals_in_words

PILOT_COLUMNS = ("ran_on", "pieces", "hours", "people", "note")
"""What is said of a pilot, beside the runs that its parts came from."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NewPilotCount:
    """What became of the pieces that a station tried, and the cell it was read from."""

    station: LineStation
    station_text: str = ""
    """The station as the file has it."""
    hour: int | None = None
    tried: int
    good_first: int
    reworked_good: int = 0
    scrapped: int | None = None
    row: int
    column: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class NewPilotDefect:
    """How often a defect was found at a station, and the cell it was read from."""

    station: LineStation
    defect: str
    count: int
    scrapped: int | None = None
    rework_minutes: float | None = None
    hour: int | None = None
    row: int
    column: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class NewPilotTime:
    """One cycle that was timed, of a task or of all that a station does, and the cell it was read from."""

    station: LineStation
    task: LineTask | None = None
    time_s: float
    operator: str = ""
    hour: int | None = None
    row: int
    column: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class NewPilotAudit:
    """A piece that was torn or turned, of a seam or of a joint, and the cell it was read from."""

    seam: Seam | None = None
    joint: Joint | None = None
    hour: int | None = None
    value: float
    unit: str = ""
    row: int
    column: int = 1


NewPilotRow = NewPilotCount | NewPilotDefect | NewPilotTime | NewPilotAudit
_KEPT_AS: Mapping[PilotFileKind, tuple[type[NewPilotRow], type[Any]]] = {
    PilotFileKind.COUNTS: (NewPilotCount, PilotCount),
    PilotFileKind.DEFECTS: (NewPilotDefect, PilotDefect),
    PilotFileKind.TIMES: (NewPilotTime, PilotTime),
    PilotFileKind.AUDITS: (NewPilotAudit, PilotAudit),
}


def define_pilot(
    line: Line,
    name: str,
    columns: Mapping[str, Any],
    *,
    made_by: str,
    trials: Sequence[Trial] | None = None,
) -> Pilot:
    """Write a pilot of a line: a new one, or the one of this name.

    `columns` are of PILOT_COLUMNS; those not named stay. `trials` are the runs that its parts came from;
    None: as they were. Raises OfftoolError for a number that cannot be, and for a run of another programme.
    """
    only_of(PILOT_COLUMNS, columns)
    plain = plain_name(name, "the name of the pilot")
    with refusals_in_words(f"pilot {plain}"), acting_as(made_by), transaction.atomic():
        pilot = line.pilots.filter(name=plain).first() or Pilot(line=line, name=plain)
        written_row(pilot, columns)
        if trials is not None:
            _put_trials(pilot, trials)
    return pilot


def _put_trials(pilot: Pilot, trials: Sequence[Trial]) -> None:
    asked = {one.pk for one in trials}
    kept = {one.trial_id: one for one in pilot.trials.all()}
    for key in kept.keys() - asked:
        kept[key].delete()
    for trial in trials:
        if trial.pk not in kept:
            PilotTrial.objects.create(pilot=pilot, trial=trial)


def kept_files_of(pilot: Pilot, kind: PilotFileKind) -> Kept[PilotFile]:
    """The sheets of one kind that a pilot has, to be kept once and set aside."""
    return Kept(PilotFile, f"sheet of {kind}", pilot, "pilot", among={"kind": kind.value})


def keep_pilot_file(
    pilot: Pilot,
    kind: PilotFileKind,
    file: FileOfTest,
    rows: Sequence[NewPilotRow],
    *,
    read_at: datetime,
    read_by: str,
) -> PilotFile:
    """Keep a sheet of a pilot and all its rows, in one transaction. Returns it as kept.

    Raises NotEnoughData without rows; AlreadyKept for bytes that count as a sheet of this kind;
    OfftoolError for a name that is taken, a row from elsewhere, or a value that cannot be.
    """
    wanted, model = _KEPT_AS[kind]
    if not rows:
        remedy = "read a file with a row for each entry"
        raise NotEnoughData(f"no {kind} in it", where=file.file_name, remedy=remedy)
    if not all(isinstance(one, wanted) for one in rows):
        raise TypeError(f"a sheet of {kind} has rows of {wanted.__name__}")
    return kept_files_of(pilot, kind).store(
        file, lambda kept: [_row(model, kept, one) for one in rows], read_at=read_at, read_by=read_by
    )


def _row(model: type[Any], file: PilotFile, one: NewPilotRow) -> Any:
    return model(file=file, **plain_columns({each.name: getattr(one, each.name) for each in fields(one)}))


def set_pilot_file_aside(file: PilotFile, reason: str, *, made_by: str) -> None:
    """Let a sheet count no longer; it stays in the record with the reason.

    Raises OfftoolError without a reason, and for one that is set aside already.
    """
    kept_files_of(file.pilot, PilotFileKind(file.kind)).set_aside(file.name, reason, made_by=made_by)

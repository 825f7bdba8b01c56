"""Pilots, their sheets, and the rows of those that count."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet

from offtool.core.values import nearest
from offtool.handbook.terms import PilotFileKind
from offtool.records.models import (
    Line,
    Pilot,
    PilotAudit,
    PilotCount,
    PilotDefect,
    PilotFile,
    PilotTime,
    Programme,
    Trial,
)
from offtool.records.queries.finding import NotInRecord
from offtool.records.queries.joints import when_done


def pilots_of(programme: Programme) -> tuple[Pilot, ...]:
    """All pilots by line, then in order of time; their lines beside them."""
    pilots = Pilot.objects.filter(line__programme=programme).select_related("line__programme")
    return tuple(sorted(pilots, key=lambda one: (one.line.name, str(one.ran_on or "9999"), one.name)))


def find_pilot(line: Line, name: str | None = None) -> Pilot:
    """The pilot of this line with this name; without a name the latest. Raises NotInRecord."""
    pilots = [one for one in pilots_of(line.programme) if one.line_id == line.pk]
    if not pilots:
        raise NotInRecord(f"no pilot of line {line.name}", remedy="define one first")
    if name is None:
        return pilots[-1]
    found = next((one for one in pilots if one.name == name), None)
    if found is None:
        remedy = nearest(name, [one.name for one in pilots])
        raise NotInRecord(f"no pilot {name!r} of line {line.name}", remedy=remedy)
    return found


def trials_of_pilot(pilot: Pilot) -> tuple[Trial, ...]:
    """The runs that its parts came from, by tool; tools and states beside them."""
    trials = Trial.objects.filter(in_pilots__pilot=pilot).select_related("tool", "state")
    return tuple(trials.order_by("tool__code", "name"))


def pilot_files(pilot: Pilot, *, counting: bool = False) -> tuple[PilotFile, ...]:
    """The sheets of a pilot, newest first, without their bytes; those not set aside where `counting`."""
    files = PilotFile.objects.filter(pilot=pilot, **({"set_aside": ""} if counting else {}))
    return tuple(sorted(files.defer("content"), key=when_done, reverse=True))


def find_pilot_file(pilot: Pilot, kind: PilotFileKind, name: str) -> PilotFile:
    """The sheet of this kind and name, without its bytes. Raises NotInRecord."""
    files = [one for one in pilot_files(pilot) if one.kind == kind]
    found = next((one for one in files if one.name == name), None)
    if found is None:
        remedy = nearest(name, [one.name for one in files])
        raise NotInRecord(f"no sheet of {kind} {name!r} of pilot {pilot.name}", remedy=remedy)
    return found


def pilot_counts(pilot: Pilot) -> tuple[PilotCount, ...]:
    """All counts that count, by station and hour; stations and files beside them."""
    rows = _that_count(PilotCount.objects, pilot).select_related("station")
    return tuple(rows.order_by("station__number", "hour", "row"))


def pilot_defects(pilot: Pilot) -> tuple[PilotDefect, ...]:
    """All defects that count, by station, in the order of the files; stations and files beside them."""
    rows = _that_count(PilotDefect.objects, pilot).select_related("station")
    return tuple(rows.order_by("station__number", "file", "row", "column"))


def pilot_times(pilot: Pilot) -> tuple[PilotTime, ...]:
    """All times that count, by station, in the order of the files; stations, tasks and files beside them."""
    rows = _that_count(PilotTime.objects, pilot).select_related("station", "task")
    return tuple(rows.order_by("station__number", "file", "row", "column"))


def pilot_audits(pilot: Pilot) -> tuple[PilotAudit, ...]:
    """All audits that count, in the order of the files; seams, joints and files beside them."""
    rows = _that_count(PilotAudit.objects, pilot).select_related("seam", "joint")
    return tuple(rows.order_by("file", "row", "column"))


def _that_count(rows: Any, pilot: Pilot) -> QuerySet[Any]:
    counting = rows.filter(file__pilot=pilot, file__set_aside="").select_related("file")
    return counting.defer("file__content")  # type: ignore[no-any-return]  # a manager of any of four models

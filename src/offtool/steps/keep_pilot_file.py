"""Read a sheet of a pilot: first shown as it is understood, then kept, in whole or not at all."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from typing import Any

from offtool.core.values import Caution, nearest
from offtool.exchange.pilot_files import (
    AuditRead,
    CountRead,
    DefectRead,
    PilotTable,
    TimeRead,
    read_pilot_audits,
    read_pilot_counts,
    read_pilot_defects,
    read_pilot_times,
)
from offtool.exchange.pilot_files.hours import ClockTime, hour_in_text
from offtool.exchange.readings import RefusedCell
from offtool.exchange.readings.ledger import quote
from offtool.handbook.joint_kinds import JOINT_KINDS
from offtool.handbook.terms import JointKind, PilotFileKind
from offtool.records.models import Joint, LineStation, LineTask, Pilot, Seam
from offtool.records.operations.pilot import (
    NewPilotAudit,
    NewPilotCount,
    NewPilotDefect,
    NewPilotRow,
    NewPilotTime,
    set_pilot_file_aside,
)
from offtool.records.operations.pilot import keep_pilot_file as store
from offtool.records.operations.tested import FileOfTest
from offtool.records.queries import (
    find_pilot_file,
    find_programme,
    joints_of,
    pilot_files,
    seams_of,
    stations_of,
    tasks_of,
)
from offtool.steps.pilot_file_preview import PilotFileKept, PilotFilePreview, seen_in
from offtool.steps.pilot_in_record import PilotInRecord, pilot_named
from offtool.steps.pilot_layouts import PILOT_SHEETS
from offtool.steps.read_readings import CannotKeep, refuse_problems
from offtool.steps.sentences import count

FORCE = "N"
_NUMBER, _ZEROS = re.compile(r"[0-9]"), re.compile(r"\b0+(?=[0-9])")
"""A station that is called by its number: no other number is near it. Zeros before it are of no account."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetAbout:
    """What a sheet does not say itself. `begins` is when hour 1 began, where its hours are on the clock."""

    begins: str = ""
    note: str = ""


def preview_pilot_file(
    content: bytes,
    name: str,
    *,
    programme: str,
    pilot: str,
    kind: PilotFileKind,
    about: SheetAbout,
    sheet: str | None = None,
) -> PilotFilePreview:
    """How a sheet would be read; nothing is kept.

    Raises FileRefused for a file that cannot be read, NotInRecord for an unknown programme or pilot,
    CannotKeep for a beginning that is no time.
    """
    found = pilot_named(find_programme(programme), pilot)
    return _Understood(content, name, found, kind, about, sheet).preview()


def keep_pilot_file(
    content: bytes,
    name: str,
    *,
    programme: str,
    pilot: str,
    kind: PilotFileKind,
    about: SheetAbout,
    read_at: datetime,
    read_by: str,
    called: str = "",
    sheet: str | None = None,
    leave_out: bool = False,
) -> PilotFileKept:
    """Keep a sheet of a pilot; it is called as the next of its kind where it has no name.

    Raises what `preview_pilot_file` raises; CannotKeep for a sheet without a row that can be kept, and for
    refused cells unless `leave_out`; AlreadyKept for bytes that count already. Nothing is kept then.
    """
    found = pilot_named(find_programme(programme), pilot)
    understood = _Understood(content, name, found, kind, about, sheet)
    seen = understood.preview()
    refuse_problems(seen.file.name, seen.problems, seen.refused, leave_out=leave_out)
    file = understood.as_kept(called or next_name(found, kind))
    kept = store(found, kind, file, understood.rows, read_at=read_at, read_by=read_by)
    return PilotFileKept(
        programme=found.line.programme.slug,
        pilot=found.name,
        kind=kind.value,
        name=kept.name,
        file=kept.file_name,
        rows=seen.rows,
        repairs=len(seen.file.repairs),
        left_out=len(seen.refused),
        file_id=kept.pk,
    )


def set_sheet_aside(programme: str, pilot: str, kind: str, name: str, *, reason: str, made_by: str) -> None:
    """Let a sheet count no longer; it stays visible with the reason.

    Raises NotInRecord for names that are not there; OfftoolError without a reason or the second time.
    """
    found = pilot_named(find_programme(programme), pilot)
    set_pilot_file_aside(find_pilot_file(found, PilotFileKind(kind), name), reason, made_by=made_by)


def next_name(pilot: Pilot, kind: PilotFileKind) -> str:
    """The next free number among the sheets of a kind."""
    taken = {one.name for one in pilot_files(pilot) if one.kind == kind}
    return next(str(n) for n in range(1, len(taken) + 2) if str(n) not in taken)


def begins_at(text: str) -> ClockTime | None:
    """The time at which hour 1 began; None for none. Raises CannotKeep."""
    if not text.strip():
        return None
    found = hour_in_text(text.strip())
    if isinstance(found, ClockTime):
        return found
    raise CannotKeep(f"{text!r} is no time", where="begins", remedy="write it on the clock, such as 8:00")


class _Understood:
    """A sheet with what it is matched to in the record."""

    def __init__(
        self,
        content: bytes,
        name: str,
        pilot: Pilot,
        kind: PilotFileKind,
        about: SheetAbout,
        sheet: str | None,
    ) -> None:
        self._content, self._pilot, self._kind, self._about = content, pilot, kind, about
        self._refused: list[RefusedCell] = []
        told: dict[str, Any] = {"sheet": sheet, "begins": begins_at(about.begins)}
        self._table, make = self._read(content, name, told)
        self.rows: list[NewPilotRow] = [made for one in self._table.rows if (made := make(one)) is not None]
        self._look_up_refused()

    def _look_up_refused(self) -> None:
        """The stations of rows of which another cell was refused: all that is wrong is said at once."""
        refused = {one.row for one in self._table.file.refused} - {one.row for one in self._table.rows}
        for row, station in self._table.named:
            if row in refused:
                self._station(station, row)

    def _read(
        self, content: bytes, name: str, told: Mapping[str, Any]
    ) -> tuple[PilotTable[Any], Callable[[Any], NewPilotRow | None]]:
        """The table of the sheet, and how one of its rows is matched to the record."""
        match self._kind:
            case PilotFileKind.COUNTS:
                return read_pilot_counts(content, name, **told), self._count
            case PilotFileKind.DEFECTS:
                return read_pilot_defects(content, name, **told), self._defect
            case PilotFileKind.TIMES:
                return read_pilot_times(content, name, **told), self._time
            case PilotFileKind.AUDITS:
                return read_pilot_audits(content, name, units=self._units, **told), self._audit

    @cached_property
    def _stations(self) -> dict[str, LineStation]:
        """The stations by every way in which a sheet may call them."""
        found: dict[str, LineStation] = {}
        for one in stations_of(self._pilot.line):
            for called in (str(one.number), f"station {one.number}", one.name):
                if called:
                    found.setdefault(called.casefold(), one)
                    found.setdefault(_ZEROS.sub("", called.casefold()), one)
        return found

    @cached_property
    def _known(self) -> list[str]:
        """The stations where something is done, as people call them."""
        return [one.name for one in PilotInRecord(self._pilot).stations.values()]

    def _station(self, name: str, row: int) -> LineStation | None:
        """The station of that name or number; None where there is none, which is then refused."""
        called = name.casefold()
        found = self._stations.get(called) or self._stations.get(_ZEROS.sub("", called))
        if found is None:
            known = self._known
            remedy = f"known are: {', '.join(known)}" if _NUMBER.search(name) else nearest(name, known)
            self._refuse(row, name, f"is no station of line {self._pilot.line.name}", remedy)
        return found

    def _refuse(self, row: int, found: str, why: str, remedy: str, column: int | None = None) -> None:
        place = column or self._table.name_column or 1
        self._refused.append(RefusedCell(row, place, quote(found), why, remedy))

    def _count(self, one: CountRead) -> NewPilotCount | None:
        station = self._station(one.station, one.row)
        if station is None:
            return None
        return NewPilotCount(
            station=station, station_text=one.station, hour=one.hour, tried=one.tried,
            good_first=one.good_first, reworked_good=one.reworked_good, scrapped=one.scrapped, row=one.row,
            column=one.column,
        )  # fmt: skip

    def _defect(self, one: DefectRead) -> NewPilotDefect | None:
        station = self._station(one.station, one.row)
        if station is None:
            return None
        return NewPilotDefect(
            station=station, defect=one.defect, count=one.count, scrapped=one.scrapped,
            rework_minutes=one.rework_minutes, hour=one.hour, row=one.row, column=one.column,
        )  # fmt: skip

    @cached_property
    def _tasks(self) -> dict[str, LineTask]:
        return {one.name.casefold(): one for one in tasks_of(self._pilot.line)}

    def _time(self, one: TimeRead) -> NewPilotTime | None:
        station, task = self._station(one.station, one.row), self._tasks.get(one.task.casefold())
        if one.task and task is None:
            known = [each.name for each in self._tasks.values()]
            why = f"is no task of line {self._pilot.line.name}"
            self._refuse(one.row, one.task, why, nearest(one.task, known), self._table.task_column)
        if station is None or (one.task and task is None):
            return None
        return NewPilotTime(
            station=station, task=task, time_s=one.time_s, operator=one.operator, hour=one.hour, row=one.row,
            column=one.column,
        )  # fmt: skip

    @cached_property
    def _seams(self) -> dict[str, Seam]:
        return {one.code: one for one in seams_of(self._pilot.line.programme)}

    @cached_property
    def _joints(self) -> dict[str, Joint]:
        return {one.code: one for one in joints_of(self._pilot.line.programme)}

    @property
    def _units(self) -> dict[str, str]:
        """The unit of each seam and joint. Raises CannotKeep for a code that both have."""
        both = self._seams.keys() & self._joints.keys()
        if both:
            raise CannotKeep(
                f"{sorted(both)[0]} is a seam and a joint", remedy="give one of the two another code"
            )
        joints = {code: JOINT_KINDS[JointKind(one.kind)].unit for code, one in self._joints.items()}
        return {**dict.fromkeys(self._seams, FORCE), **joints}

    def _audit(self, one: AuditRead) -> NewPilotAudit:
        return NewPilotAudit(
            seam=self._seams.get(one.what), joint=self._joints.get(one.what), hour=one.hour, value=one.value,
            unit=one.unit, row=one.row, column=one.column,
        )  # fmt: skip

    @property
    def refused(self) -> tuple[RefusedCell, ...]:
        """The refused cells of the sheet and of what is not in the record, in the sheet's order."""
        found = dict.fromkeys([*self._table.file.refused, *self._refused])
        return tuple(sorted(found, key=lambda cell: (cell.row, cell.column)))

    def preview(self) -> PilotFilePreview:
        """What was understood."""
        thing = PILOT_SHEETS[self._kind].thing
        none = f"no {thing} is of a station of this line"
        if self._table.file.refused:
            none = f"no {thing} can be taken: each row has a cell that is refused"
        problems = () if self.rows else (none,)
        return PilotFilePreview(
            pilot=self._pilot.name,
            kind=self._kind.value,
            rows=len(self.rows),
            seen=tuple(seen_in(self.rows)),
            gauge="",
            sha256=hashlib.sha256(self._content).hexdigest(),
            size=len(self._content),
            file=self._table.file,
            refused=self.refused,
            problems=problems,
            cautions=(*self._table.file.cautions, *self._cautions()),
        )

    def _cautions(self) -> Iterator[Caution]:
        counting = [one for one in pilot_files(self._pilot, counting=True) if one.kind == self._kind]
        if counting:
            yield Caution(
                f"sheet {counting[0].name} of {self._kind} counts too, and the two are added up; set it "
                "aside if this one replaces it"
            )

    def as_kept(self, name: str) -> FileOfTest:
        """The sheet as the record keeps it: the note says too what of it was not taken as it stands."""
        return FileOfTest(
            name=name,
            done_on=self._pilot.ran_on,
            note=". ".join(filter(None, [self._about.note.strip(), *self._odd()])),
            file_name=self._table.file.name,
            content=self._content,
        )

    def _odd(self) -> Iterator[str]:
        if self._table.file.repairs:
            yield f"{count(len(self._table.file.repairs), 'cell')} repaired"
        if self.refused:
            yield f"{count(len(self.refused), 'cell')} left out: " + "; ".join(map(str, self.refused[:3]))
        yield from map(str, self._table.file.cautions)

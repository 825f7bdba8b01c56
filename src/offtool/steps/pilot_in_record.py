"""A pilot as it stands in the record: its line, its sheets that count, and their rows by station."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from offtool.core.values import OfftoolError, nearest
from offtool.handbook.terms import PilotFileKind
from offtool.records.models import (
    LineStation,
    LineTask,
    Pilot,
    PilotAudit,
    PilotCount,
    PilotDefect,
    PilotFile,
    PilotTime,
    Programme,
)
from offtool.records.queries import (
    latest_state,
    pilot_audits,
    pilot_counts,
    pilot_defects,
    pilot_files,
    pilot_times,
    pilots_of,
    stations_of,
    tasks_of,
    trials_of_pilot,
)
from offtool.records.queries.finding import NotInRecord
from offtool.steps.line_in_record import rate_needed, stations_with_tasks
from offtool.steps.pilot_found import PilotFileSeen, PilotTrialSeen


def pilot_named(programme: Programme, name: str) -> Pilot:
    """The pilot of this name. Raises NotInRecord; OfftoolError where two lines have one of that name."""
    pilots = pilots_of(programme)
    found = [one for one in pilots if one.name == name]
    if not found:
        remedy = nearest(name, [one.name for one in pilots])
        raise NotInRecord(f"no pilot {name!r} in {programme.slug}", remedy=remedy)
    if len(found) > 1:
        lines = " and ".join(str(one.line) for one in found)
        raise OfftoolError(
            f"lines {lines} both have a pilot {name}", where=programme.slug, remedy="rename one of the two"
        )
    return found[0]


def newest_first(programme: Programme) -> list[Pilot]:
    """All pilots, the newest first; one without a day has not run yet and counts as newest."""
    return sorted(pilots_of(programme), key=lambda one: (one.ran_on or date.max, one.pk), reverse=True)


def station_in_words(station: LineStation) -> str:
    """What people call it."""
    return station.name or f"station {station.number}"


@dataclass(frozen=True, slots=True, kw_only=True)
class StationPlanned:
    """A station with what is planned of it; `work_s` is None where no task is placed there."""

    number: int
    name: str
    people: int
    at_once: int
    """Pieces that are worked on side by side: where two sides work on one piece it is one."""
    work_s: float | None
    tasks: Mapping[str, float]
    """The tasks placed there, with their planned times."""


class PilotInRecord:
    """Reads what is asked of it once."""

    def __init__(self, pilot: Pilot) -> None:
        self.pilot, self.line = pilot, pilot.line
        self.programme: Programme = pilot.line.programme

    @cached_property
    def stations(self) -> dict[int, StationPlanned]:
        """The stations where something is done, in the order of the line, by their key in the record."""
        tasks: Mapping[int, list[LineTask]] = defaultdict(list)
        for task in tasks_of(self.line):
            place = task.placed_at_id or task.fixed_station_id
            if place is not None:
                tasks[place].append(task)
        worked = {one.pk for one in stations_with_tasks(self.line)} | self._stations_told
        return {one.pk: _planned(one, tasks[one.pk]) for one in stations_of(self.line) if one.pk in worked}

    @property
    def _stations_told(self) -> set[int]:
        """Stations that its sheets name, though the line may have no task there any more."""
        return {one.station_id for one in (*self.counts, *self.defects, *self.times)}

    @property
    def needed_per_h(self) -> float | None:
        """Pieces an hour that every station must let through, so that the planned good ones come out."""
        return rate_needed(self.line)

    @cached_property
    def files(self) -> tuple[PilotFile, ...]:
        """All sheets, those set aside too, without their bytes."""
        return pilot_files(self.pilot)

    @cached_property
    def counts(self) -> tuple[PilotCount, ...]:
        return pilot_counts(self.pilot)

    @cached_property
    def defects(self) -> tuple[PilotDefect, ...]:
        return pilot_defects(self.pilot)

    @cached_property
    def times(self) -> tuple[PilotTime, ...]:
        return pilot_times(self.pilot)

    @cached_property
    def audits(self) -> tuple[PilotAudit, ...]:
        return pilot_audits(self.pilot)

    @property
    def kinds_read(self) -> set[str]:
        """The kinds of sheets that count."""
        return {one.kind for one in self.files if not one.set_aside}

    def trials_seen(self) -> tuple[PilotTrialSeen, ...]:
        """The runs from which its parts came."""
        return tuple(
            PilotTrialSeen(
                tool=one.tool.code,
                trial=one.name,
                state=one.state.label,
                shot_on=one.shot_on,
                cut_since=(latest := latest_state(one.tool)) is not None and latest.pk != one.state_id,
            )
            for one in trials_of_pilot(self.pilot)
        )

    def files_seen(self) -> tuple[PilotFileSeen, ...]:
        """Its sheets, with how many rows were read of each."""
        rows = {
            PilotFileKind.COUNTS.value: PilotCount,
            PilotFileKind.DEFECTS.value: PilotDefect,
            PilotFileKind.TIMES.value: PilotTime,
            PilotFileKind.AUDITS.value: PilotAudit,
        }
        return tuple(
            PilotFileSeen(
                file_id=one.pk,
                kind=one.kind,
                name=one.name,
                file=one.file_name,
                sha256=one.sha256,
                rows=rows[one.kind]._default_manager.filter(file=one).count(),
                done_on=one.done_on,
                read_by=one.read_by,
                note=one.note,
                set_aside=one.set_aside,
            )
            for one in sorted(self.files, key=lambda one: list(rows).index(one.kind))
        )


def _planned(station: LineStation, tasks: Sequence[LineTask]) -> StationPlanned:
    people = station.people or 1
    return StationPlanned(
        number=station.number,
        name=station_in_words(station),
        people=people,
        at_once=1 if station.two_sided else people,
        work_s=sum(one.time_s for one in tasks) or None,
        tasks={one.name: one.time_s for one in tasks},
    )

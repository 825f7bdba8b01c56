"""What was understood of a sheet of a pilot, before and after it is kept."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from offtool.records.operations.pilot import (
    NewPilotAudit,
    NewPilotCount,
    NewPilotDefect,
    NewPilotRow,
    NewPilotTime,
)
from offtool.steps.assembled_pieces import FilePreview
from offtool.steps.pilot_in_record import station_in_words


@dataclass(frozen=True, slots=True, kw_only=True)
class StationInFile:
    """What a sheet says of one station, or of one seam or joint, at a glance."""

    name: str
    rows: int
    hours: tuple[int, ...]
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PilotFilePreview(FilePreview):
    """How a sheet is read; nothing is kept."""

    pilot: str
    kind: str
    rows: int
    seen: tuple[StationInFile, ...]

    @property
    def can_be_kept(self) -> bool:
        """Whether nothing stands in the way but cells to leave out."""
        return not self.problems and self.rows > 0


@dataclass(frozen=True, slots=True, kw_only=True)
class PilotFileKept:
    """A sheet that is now in the record."""

    programme: str
    pilot: str
    kind: str
    name: str
    file: str
    rows: int
    repairs: int
    left_out: int
    file_id: int


def seen_in(rows: Sequence[NewPilotRow]) -> Iterator[StationInFile]:
    """The rows by what they are of, in the order of the sheet."""
    by_name: dict[str, list[NewPilotRow]] = {}
    for one in rows:
        by_name.setdefault(_of(one), []).append(one)
    for name, of_it in by_name.items():
        hours = sorted({one.hour for one in of_it if one.hour is not None})
        yield StationInFile(name=name, rows=len(of_it), hours=tuple(hours), says=_says(of_it))


def _of(one: NewPilotRow) -> str:
    if isinstance(one, NewPilotAudit):
        what = one.seam or one.joint
        return what.code if what is not None else ""
    return station_in_words(one.station)


def _says(rows: Sequence[NewPilotRow]) -> str:
    """The sums or the span of the values."""
    counts = [one for one in rows if isinstance(one, NewPilotCount)]
    if counts:
        tried, good = sum(one.tried for one in counts), sum(one.good_first for one in counts)
        return (
            f"{good} of {tried} good the first time, {sum(one.reworked_good for one in counts)} after rework"
        )
    defects = [one for one in rows if isinstance(one, NewPilotDefect)]
    if defects:
        kinds = len({one.defect.casefold() for one in defects})
        return f"{sum(one.count for one in defects)} found, {kinds} different"
    times = [one.time_s for one in rows if isinstance(one, NewPilotTime)]
    if times:
        return f"{min(times):g} to {max(times):g} s"
    audits = [one for one in rows if isinstance(one, NewPilotAudit)]
    values = [one.value for one in audits]
    return f"{min(values):g} to {max(values):g} {audits[0].unit}"

"""The rows of pilots: when they ran, the sheets that were filled in, and what stands on these."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Annotated, ClassVar

from offtool.exchange.programme.cells import Day, Moment, Name, Number, Text, Whole, Word, sha256
from offtool.exchange.programme.line_rows import Count, HowMany, People
from offtool.exchange.programme.rows import Row
from offtool.handbook.terms import LONGEST_FILE_NAME, NOT_NEGATIVE, POSITIVE, PilotFileKind


@dataclass(frozen=True, slots=True, kw_only=True)
class PilotRow(Row):
    """A pilot of a line."""

    table: ClassVar = "pilots.csv"
    key: ClassVar = ("in_line", "name")
    in_line: Annotated[str, Name()]
    name: Annotated[str, Name()]
    ran_on: Annotated[date | None, Day()]
    pieces: HowMany
    hours: Annotated[float | None, Number(ends=POSITIVE, unit="h", may_be_blank=True)]
    people: People
    note: Annotated[str, Text()]


@dataclass(frozen=True, slots=True, kw_only=True)
class PilotTrialRow(Row):
    """A run of a tool from which the parts of a pilot came."""

    table: ClassVar = "pilot_trials.csv"
    key: ClassVar = ("in_line", "pilot", "tool", "trial")
    in_line: Annotated[str, Name()]
    pilot: Annotated[str, Name()]
    tool: Annotated[str, Name()]
    trial: Annotated[str, Name()]


@dataclass(frozen=True, slots=True, kw_only=True)
class PilotFileRow(Row):
    """A sheet of a pilot as it came; `file` lies in pilot_files/."""

    table: ClassVar = "pilot_files.csv"
    folder: ClassVar = "pilot_files"
    key: ClassVar = ("in_line", "pilot", "kind", "name")
    in_line: Annotated[str, Name()]
    pilot: Annotated[str, Name()]
    kind: Annotated[str, Word(words=PilotFileKind)]
    name: Annotated[str, Name()]
    done_on: Annotated[date | None, Day()]
    note: Annotated[str, Text()]
    file: Annotated[str, Name(longest=LONGEST_FILE_NAME)]
    file_name: Annotated[str, Text(may_be_blank=False, longest=LONGEST_FILE_NAME)]
    sha256: Annotated[str, sha256()]
    read_at: Annotated[datetime, Moment()]
    read_by: Annotated[str, Name(may_be_blank=True)]
    set_aside: Annotated[str, Text()]


@dataclass(frozen=True, slots=True, kw_only=True)
class OnSheetRow(Row):
    """What stands in one cell or row of a sheet of a pilot; `kind` is that of the sheet."""

    kind: ClassVar[str]
    key: ClassVar = ("in_line", "pilot", "kind", "sheet", "row", "column")
    in_line: Annotated[str, Name()]
    pilot: Annotated[str, Name()]
    sheet: Annotated[str, Name()]
    hour: HowMany
    row: Annotated[int, Whole(at_least=1)]
    column: Annotated[int, Whole(at_least=1, may_be_blank=True, blank=1)]


@dataclass(frozen=True, slots=True, kw_only=True)
class PilotCountRow(OnSheetRow):
    """What became of the pieces that a station tried."""

    table: ClassVar = "pilot_counts.csv"
    kind: ClassVar = PilotFileKind.COUNTS.value
    station: Annotated[int, Whole(at_least=1)]
    station_text: Annotated[str, Name(may_be_blank=True)]
    tried: Annotated[int, Whole()]
    good_first: Annotated[int, Whole()]
    reworked_good: Annotated[int, Whole(may_be_blank=True, blank=0)]
    scrapped: Count


@dataclass(frozen=True, slots=True, kw_only=True)
class PilotDefectRow(OnSheetRow):
    """How often a defect was found at a station."""

    table: ClassVar = "pilot_defects.csv"
    kind: ClassVar = PilotFileKind.DEFECTS.value
    station: Annotated[int, Whole(at_least=1)]
    defect: Annotated[str, Name()]
    count: Annotated[int, Whole()]
    scrapped: Count
    rework_minutes: Annotated[float | None, Number(ends=NOT_NEGATIVE, unit="min", may_be_blank=True)]


@dataclass(frozen=True, slots=True, kw_only=True)
class PilotTimeRow(OnSheetRow):
    """One cycle that was timed; of one task, or of all that the station does."""

    table: ClassVar = "pilot_times.csv"
    kind: ClassVar = PilotFileKind.TIMES.value
    station: Annotated[int, Whole(at_least=1)]
    task: Annotated[str, Name(may_be_blank=True)]
    time_s: Annotated[float, Number(ends=POSITIVE, unit="s")]
    operator: Annotated[str, Name(may_be_blank=True)]


@dataclass(frozen=True, slots=True, kw_only=True)
class PilotAuditRow(OnSheetRow):
    """A piece that was torn or turned: of a seam or of a joint."""

    table: ClassVar = "pilot_audits.csv"
    kind: ClassVar = PilotFileKind.AUDITS.value
    seam: Annotated[str, Name(may_be_blank=True)]
    joint: Annotated[str, Name(may_be_blank=True)]
    value: Annotated[float, Number()]
    unit: Annotated[str, Name(may_be_blank=True)]

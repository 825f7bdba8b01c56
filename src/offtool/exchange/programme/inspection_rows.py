"""The rows of what was seen at the press, of gauge studies, and of readings that were left out."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Annotated, ClassVar

from offtool.exchange.programme.cells import (
    Changes,
    Day,
    Flag,
    Moment,
    Name,
    Number,
    Text,
    Whole,
    Word,
    sha256,
)
from offtool.exchange.programme.rows import Row
from offtool.handbook.terms import (
    LONGEST_FILE_NAME,
    NOT_NEGATIVE,
    POSITIVE,
    PictureType,
    StudyKind,
    WeightClass,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class DefectRow(Row):
    """A kind of flaw in the programme's own words.

    `list_changes` says when it came onto the list or went off it. Blank, as in folders of before: nothing is
    known of a change.
    """

    table: ClassVar = "defects.csv"
    key: ClassVar = ("code",)
    code: Annotated[str, Name()]
    name: Annotated[str, Name()]
    meaning: Annotated[str, Text()]
    weight_class: Annotated[str, Word(words=WeightClass, may_be_blank=True, blank=WeightClass.MAJOR.value)]
    is_listed: Annotated[bool, Flag(blank=True)]
    list_changes: Annotated[dict[str, bool], Changes()] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class LookRow(Row):
    """Pieces that were looked at; `number` counts the looks of a trial, so that flaws can name theirs.

    The number is the folder's own. The record knows a look by what was looked at, by whom and when, so that
    two people who each add a look do not overwrite one another.
    """

    table: ClassVar = "looks.csv"
    key: ClassVar = ("tool", "trial", "number")
    tool: Annotated[str, Name()]
    trial: Annotated[str, Name()]
    number: Annotated[int, Whole(at_least=1)]
    part: Annotated[str, Name(may_be_blank=True)]
    cavity: Annotated[str, Name(may_be_blank=True)]
    shot_number: Annotated[int | None, Whole(may_be_blank=True, at_most=2**62)]
    pieces: Annotated[int, Whole(at_least=1, at_most=1_000_000)]
    note: Annotated[str, Text()]
    looked_at: Annotated[datetime, Moment()]
    looked_by: Annotated[str, Name(may_be_blank=True)]
    set_aside: Annotated[str, Text()]


@dataclass(frozen=True, slots=True, kw_only=True)
class FlawRow(Row):
    """A defect that was seen in a look, and where on the part."""

    table: ClassVar = "flaws.csv"
    key: ClassVar = ("tool", "trial", "look", "defect", "flaw_place")
    tool: Annotated[str, Name()]
    trial: Annotated[str, Name()]
    look: Annotated[int, Whole(at_least=1)]
    defect: Annotated[str, Name()]
    flaw_place: Annotated[str, Name(may_be_blank=True)]
    pieces: Annotated[int, Whole(at_least=1)]
    note: Annotated[str, Text()]


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotographRow(Row):
    """A picture of a look; defect and flaw_place name the flaw it shows. `file` lies in photographs/."""

    table: ClassVar = "photographs.csv"
    folder: ClassVar = "photographs"
    key: ClassVar = ("tool", "trial", "look", "sha256")
    tool: Annotated[str, Name()]
    trial: Annotated[str, Name()]
    look: Annotated[int, Whole(at_least=1)]
    defect: Annotated[str, Name(may_be_blank=True)]
    flaw_place: Annotated[str, Name(may_be_blank=True)]
    file: Annotated[str, Name(longest=LONGEST_FILE_NAME)]
    name: Annotated[str, Text(may_be_blank=False, longest=LONGEST_FILE_NAME)]
    sha256: Annotated[str, sha256()]
    media_type: Annotated[str, Word(words=PictureType)]
    width: Annotated[int, Whole(at_least=1)]
    height: Annotated[int, Whole(at_least=1)]
    note: Annotated[str, Text()]


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugeStudyRow(Row):
    """A gauge study as it was carried out; `file` lies in gauge_studies/."""

    table: ClassVar = "gauge_studies.csv"
    folder: ClassVar = "gauge_studies"
    key: ClassVar = ("gauge", "name")
    gauge: Annotated[str, Name()]
    name: Annotated[str, Name()]
    kind: Annotated[str, Word(words=StudyKind)]
    part: Annotated[str, Name(may_be_blank=True)]
    characteristic: Annotated[str, Name(may_be_blank=True)]
    tolerance: Annotated[float | None, Number(ends=POSITIVE, may_be_blank=True)]
    reference_uncertainty: Annotated[float, Number(ends=NOT_NEGATIVE, may_be_blank=True, blank=0.0)]
    done_on: Annotated[date | None, Day()]
    note: Annotated[str, Text()]
    file: Annotated[str, Name(longest=LONGEST_FILE_NAME)]
    file_name: Annotated[str, Text(may_be_blank=False, longest=LONGEST_FILE_NAME)]
    sha256: Annotated[str, sha256()]
    read_at: Annotated[datetime, Moment()]
    read_by: Annotated[str, Name(may_be_blank=True)]
    set_aside: Annotated[str, Text()]


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugeReadingRow(Row):
    """One reading of a gauge study; `part` is the part as marked."""

    table: ClassVar = "gauge_readings.csv"
    key: ClassVar = ("gauge", "study", "part", "operator", "repeat")
    gauge: Annotated[str, Name()]
    study: Annotated[str, Name()]
    part: Annotated[str, Name()]
    operator: Annotated[str, Name(may_be_blank=True)]
    repeat: Annotated[int, Whole(at_least=1)]
    reference: Annotated[float | None, Number(may_be_blank=True)]
    value: Annotated[float, Number()]
    row: Annotated[int, Whole(at_least=1)]
    column: Annotated[int, Whole(at_least=1)]


@dataclass(frozen=True, slots=True, kw_only=True)
class ExclusionRow(Row):
    """A reading left out, or taken back in; the last row of a reading counts.

    The reading is named by its cell: file as in sources.csv (which stands for its bytes and sheet), row and
    column as in the trial's readings.
    """

    table: ClassVar = "exclusions.csv"
    file: Annotated[str, Name(longest=LONGEST_FILE_NAME)]
    row: Annotated[int, Whole(at_least=1)]
    column: Annotated[int, Whole(at_least=1)]
    is_left_out: Annotated[bool, Flag(may_be_blank=False)]
    reason: Annotated[str, Text(may_be_blank=False)]
    made_at: Annotated[datetime, Moment()]
    made_by: Annotated[str, Name(may_be_blank=True)]

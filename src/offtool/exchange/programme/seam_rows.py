"""The rows of welded seams: what they are made of, and the runs of the welder on them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Annotated, ClassVar

from offtool.exchange.programme.cells import Day, Moment, Name, Number, Text, Whole, Word, sha256
from offtool.exchange.programme.rows import Row
from offtool.handbook.terms import (
    LONGEST_FILE_NAME,
    NOT_NEGATIVE,
    POSITIVE,
    Appearance,
    Ends,
    Failure,
    Ridge,
    SeamKind,
)

POWER_PCT: Ends = {"above": 0, "at_most": 100}


@dataclass(frozen=True, slots=True, kw_only=True)
class SeamRow(Row):
    """A joint closed by ultrasonic welding; amplitudes are peak-to-peak."""

    key: ClassVar = ("code",)
    code: Annotated[str, Name()]
    name: Annotated[str, Name(may_be_blank=True)]
    kind: Annotated[str, Word(words=SeamKind)]
    top_part: Annotated[str, Name()]
    bottom_part: Annotated[str, Name()]
    required_n: Annotated[float | None, Number(ends=POSITIVE, unit="N", may_be_blank=True)]
    largest_flash_mm: Annotated[float | None, Number(ends=POSITIVE, unit="mm", may_be_blank=True)]
    frequency_khz: Annotated[float | None, Number(ends=POSITIVE, unit="kHz", may_be_blank=True)]
    converter_um: Annotated[float | None, Number(ends=POSITIVE, unit="µm", may_be_blank=True)]
    amplitude_pct: Annotated[float, Number(ends=POWER_PCT, unit="%", may_be_blank=True, blank=100.0)]
    booster_gain: Annotated[float | None, Number(ends=POSITIVE, may_be_blank=True)]
    horn_gain: Annotated[float | None, Number(ends=POSITIVE, may_be_blank=True)]
    horn_distance_mm: Annotated[float | None, Number(ends=NOT_NEGATIVE, unit="mm", may_be_blank=True)]
    note: Annotated[str, Text()]


@dataclass(frozen=True, slots=True, kw_only=True)
class SeamSizeRow(Row):
    """One size of a seam: a characteristic that is measured, or a number."""

    key: ClassVar = ("seam", "role")
    seam: Annotated[str, Name()]
    role: Annotated[str, Name()]
    part: Annotated[str, Name(may_be_blank=True)]
    characteristic: Annotated[str, Name(may_be_blank=True)]
    value: Annotated[float | None, Number(may_be_blank=True)]
    plus_minus: Annotated[float, Number(ends=NOT_NEGATIVE, may_be_blank=True, blank=0.0)]

    @property
    def owner(self) -> str:
        """The seam that it is a size of."""
        return self.seam


@dataclass(frozen=True, slots=True, kw_only=True)
class WeldStudyRow(Row):
    """Runs of the welder as they were carried out; `file` lies in weld_studies/."""

    table: ClassVar = "weld_studies.csv"
    folder: ClassVar = "weld_studies"
    key: ClassVar = ("seam", "name")
    seam: Annotated[str, Name()]
    name: Annotated[str, Name()]
    gauge: Annotated[str, Name(may_be_blank=True)]
    top_tool: Annotated[str, Name(may_be_blank=True)]
    top_trial: Annotated[str, Name(may_be_blank=True)]
    bottom_tool: Annotated[str, Name(may_be_blank=True)]
    bottom_trial: Annotated[str, Name(may_be_blank=True)]
    done_on: Annotated[date | None, Day()]
    note: Annotated[str, Text()]
    file: Annotated[str, Name(longest=LONGEST_FILE_NAME)]
    file_name: Annotated[str, Text(may_be_blank=False, longest=LONGEST_FILE_NAME)]
    sha256: Annotated[str, sha256()]
    read_at: Annotated[datetime, Moment()]
    read_by: Annotated[str, Name(may_be_blank=True)]
    set_aside: Annotated[str, Text()]


@dataclass(frozen=True, slots=True, kw_only=True)
class WeldRunRow(Row):
    """One piece that was welded. A cavity is named with its tool: its part is that of the seam."""

    table: ClassVar = "weld_runs.csv"
    key: ClassVar = ("seam", "study", "row")
    seam: Annotated[str, Name()]
    study: Annotated[str, Name()]
    piece: Annotated[str, Name()]
    top_tool: Annotated[str, Name(may_be_blank=True)]
    top_cavity: Annotated[str, Name(may_be_blank=True)]
    bottom_tool: Annotated[str, Name(may_be_blank=True)]
    bottom_cavity: Annotated[str, Name(may_be_blank=True)]
    time_s: Annotated[float | None, Number(ends=NOT_NEGATIVE, unit="s", may_be_blank=True)]
    pressure_bar: Annotated[float | None, Number(ends=NOT_NEGATIVE, unit="bar", may_be_blank=True)]
    amplitude_um: Annotated[float | None, Number(ends=NOT_NEGATIVE, unit="µm", may_be_blank=True)]
    hold_s: Annotated[float | None, Number(ends=NOT_NEGATIVE, unit="s", may_be_blank=True)]
    energy_j: Annotated[float | None, Number(ends=NOT_NEGATIVE, unit="J", may_be_blank=True)]
    collapse_mm: Annotated[float | None, Number(unit="mm", may_be_blank=True)]
    strength_n: Annotated[float | None, Number(ends=NOT_NEGATIVE, unit="N", may_be_blank=True)]
    failure: Annotated[str, Word(words=Failure, may_be_blank=True, blank="")]
    height_mm: Annotated[float | None, Number(ends=NOT_NEGATIVE, unit="mm", may_be_blank=True)]
    flash_mm: Annotated[float | None, Number(ends=NOT_NEGATIVE, unit="mm", may_be_blank=True)]
    appearance: Annotated[str, Word(words=Appearance, may_be_blank=True, blank="")]
    ridge: Annotated[str, Word(words=Ridge, may_be_blank=True, blank="")]
    row: Annotated[int, Whole(at_least=1)]

"""The rows of samples: pieces that were kept, their parts, and what was seen and measured on them.

A detail and a characteristic are those of the part that the sample's part is; so neither names a part again.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Annotated, ClassVar

from offtool.exchange.programme.cells import Day, Flag, Moment, Name, Number, Text, Whole, Word, sha256
from offtool.exchange.programme.rows import Row
from offtool.handbook.measured_colour import (
    DIFFERENCE,
    LIGHTNESS,
    PART_OF_ALL,
    SIDEWAYS,
    USUAL_OBSERVER,
    Illuminant,
)
from offtool.handbook.terms import LONGEST_FILE_NAME, NOT_NEGATIVE, ColourBy, PictureType


@dataclass(frozen=True, slots=True, kw_only=True)
class SampleRow(Row):
    """A piece that was kept."""

    table: ClassVar = "samples.csv"
    key: ClassVar = ("number",)
    number: Annotated[str, Name()]
    name: Annotated[str, Name(may_be_blank=True)]
    build: Annotated[str, Name(may_be_blank=True)]
    found_on: Annotated[date | None, Day()]
    lies_in: Annotated[str, Name(may_be_blank=True)]
    holder: Annotated[str, Name(may_be_blank=True)]
    purpose: Annotated[str, Name(may_be_blank=True)]
    disposition: Annotated[str, Name(may_be_blank=True)]
    note: Annotated[str, Text()]
    registered_at: Annotated[datetime, Moment()]
    registered_by: Annotated[str, Name(may_be_blank=True)]


@dataclass(frozen=True, slots=True, kw_only=True)
class SamplePartRow(Row):
    """A part of a sample, and what its tag says; blank where there is none."""

    table: ClassVar = "sample_parts.csv"
    key: ClassVar = ("sample", "label")
    sample: Annotated[str, Name()]
    label: Annotated[str, Name()]
    part: Annotated[str, Name()]
    tool: Annotated[str, Name(may_be_blank=True)]
    state: Annotated[str, Name(may_be_blank=True)]
    cavity: Annotated[str, Name(may_be_blank=True)]
    trial: Annotated[str, Name(may_be_blank=True)]
    shot: Annotated[int | None, Whole(may_be_blank=True, at_most=2**62)]
    colour: Annotated[str, Name(may_be_blank=True)]
    note: Annotated[str, Text()]


@dataclass(frozen=True, slots=True, kw_only=True)
class SeenDetailRow(Row):
    """A detail that was looked for: is_there says whether it is there, or is missing."""

    table: ClassVar = "seen_details.csv"
    key: ClassVar = ("sample", "sample_part", "detail", "seen_at", "seen_by")
    sample: Annotated[str, Name()]
    sample_part: Annotated[str, Name()]
    detail: Annotated[str, Name()]
    is_there: Annotated[bool, Flag(may_be_blank=False)]
    is_sure: Annotated[bool, Flag(blank=True)]
    seen_at: Annotated[datetime, Moment()]
    seen_by: Annotated[str, Name(may_be_blank=True)]
    note: Annotated[str, Text()]
    set_aside: Annotated[str, Text()]


@dataclass(frozen=True, slots=True, kw_only=True)
class SeenSignRow(Row):
    """What a sign of the handbook showed, on one part or, where none is named, on the whole piece."""

    table: ClassVar = "seen_signs.csv"
    key: ClassVar = ("sample", "sample_part", "sign", "seen_at", "seen_by")
    sample: Annotated[str, Name()]
    sample_part: Annotated[str, Name(may_be_blank=True)]
    sign: Annotated[str, Name()]
    outcome: Annotated[str, Name()]
    is_sure: Annotated[bool, Flag(blank=True)]
    seen_at: Annotated[datetime, Moment()]
    seen_by: Annotated[str, Name(may_be_blank=True)]
    note: Annotated[str, Text()]
    set_aside: Annotated[str, Text()]


@dataclass(frozen=True, slots=True, kw_only=True)
class SampleSizeRow(Row):
    """A size or a weight that was measured; `repeat` counts what was measured again at once."""

    table: ClassVar = "sample_sizes.csv"
    key: ClassVar = ("sample", "sample_part", "characteristic", "seen_at", "seen_by", "repeat")
    sample: Annotated[str, Name()]
    sample_part: Annotated[str, Name()]
    characteristic: Annotated[str, Name()]
    value: Annotated[float, Number()]
    uncertainty: Annotated[float | None, Number(ends=NOT_NEGATIVE, may_be_blank=True)]
    repeat: Annotated[int, Whole(at_least=1, may_be_blank=True, blank=1)]
    seen_at: Annotated[datetime, Moment()]
    seen_by: Annotated[str, Name(may_be_blank=True)]
    note: Annotated[str, Text()]
    set_aside: Annotated[str, Text()]


@dataclass(frozen=True, slots=True, kw_only=True)
class SampleColourRow(Row):
    """The colour of a place on a part, in CIELAB."""

    table: ClassVar = "sample_colours.csv"
    key: ClassVar = ("sample", "sample_part", "colour_place", "seen_at", "seen_by", "repeat")
    sample: Annotated[str, Name()]
    sample_part: Annotated[str, Name()]
    colour_place: Annotated[str, Name(may_be_blank=True)]
    lightness: Annotated[float, Number(ends=LIGHTNESS)]
    a: Annotated[float, Number(ends=SIDEWAYS)]
    b: Annotated[float, Number(ends=SIDEWAYS)]
    uncertainty_de: Annotated[float, Number(ends=DIFFERENCE)]
    by: Annotated[str, Word(words=ColourBy)]
    illuminant: Annotated[str, Word(words=Illuminant, may_be_blank=True, blank=Illuminant.D65.value)]
    observer: Annotated[int, Whole(may_be_blank=True, blank=USUAL_OBSERVER)]
    clipped_share: Annotated[float | None, Number(ends=PART_OF_ALL, may_be_blank=True)]
    repeat: Annotated[int, Whole(at_least=1, may_be_blank=True, blank=1)]
    seen_at: Annotated[datetime, Moment()]
    seen_by: Annotated[str, Name(may_be_blank=True)]
    note: Annotated[str, Text()]
    set_aside: Annotated[str, Text()]


@dataclass(frozen=True, slots=True, kw_only=True)
class SamplePhotographRow(Row):
    """A picture of a sample, without metadata; `file` lies in sample_photographs/."""

    table: ClassVar = "sample_photographs.csv"
    folder: ClassVar = "sample_photographs"
    key: ClassVar = ("sample", "sha256")
    sample: Annotated[str, Name()]
    sample_part: Annotated[str, Name(may_be_blank=True)]
    file: Annotated[str, Name(longest=LONGEST_FILE_NAME)]
    name: Annotated[str, Text(may_be_blank=False, longest=LONGEST_FILE_NAME)]
    sha256: Annotated[str, sha256()]
    media_type: Annotated[str, Word(words=PictureType)]
    width: Annotated[int, Whole(at_least=1)]
    height: Annotated[int, Whole(at_least=1)]
    note: Annotated[str, Text()]
    added_at: Annotated[datetime, Moment()]
    added_by: Annotated[str, Name(may_be_blank=True)]

"""The rows of planning: times of presses and people, shapes of parts, colour changes, trials asked for."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Annotated, ClassVar, TypeAlias

from offtool.exchange.programme.cells import Day, Flag, Moment, Name, Number, Text, Whole, Word, sha256
from offtool.exchange.programme.rows import Row
from offtool.handbook.measured_colour import LIGHTNESS, SIDEWAYS, USUAL_OBSERVER, Illuminant
from offtool.handbook.terms import (
    LONGEST_FILE_NAME,
    NOT_NEGATIVE,
    PART_OF_DIRECTION,
    POSITIVE,
    TRIAL_HOURS,
    ColourWish,
    LengthUnit,
    MeshKind,
    TrialPurpose,
)

Lightness: TypeAlias = Annotated[float, Number(ends=LIGHTNESS)]
Sideways: TypeAlias = Annotated[float, Number(ends=SIDEWAYS)]


@dataclass(frozen=True, slots=True, kw_only=True)
class PressOffRow(Row):
    """A time in which a press stands."""

    table: ClassVar = "press_off.csv"
    key: ClassVar = ("press", "begins_at")
    press: Annotated[str, Name()]
    begins_at: Annotated[datetime, Moment()]
    ends_at: Annotated[datetime, Moment()]
    why: Annotated[str, Name(may_be_blank=True)]


@dataclass(frozen=True, slots=True, kw_only=True)
class EngineersRow(Row):
    """A time in which an engineer is at the shop."""

    table: ClassVar = "engineers_there.csv"
    key: ClassVar = ("begins_at", "who")
    begins_at: Annotated[datetime, Moment()]
    ends_at: Annotated[datetime, Moment()]
    who: Annotated[str, Name(may_be_blank=True)]


@dataclass(frozen=True, slots=True, kw_only=True)
class MeshRow(Row):
    """The shape of a part; `file` lies in meshes/. The one that was read last counts."""

    table: ClassVar = "meshes.csv"
    folder: ClassVar = "meshes"
    key: ClassVar = ("part", "read_at")
    part: Annotated[str, Name()]
    file: Annotated[str, Name(longest=LONGEST_FILE_NAME)]
    file_name: Annotated[str, Text(may_be_blank=False, longest=LONGEST_FILE_NAME)]
    sha256: Annotated[str, sha256()]
    size: Annotated[int, Whole()]
    kind: Annotated[str, Word(words=MeshKind)]
    unit: Annotated[str, Word(words=LengthUnit)]
    axis_x: Annotated[float, Number(ends=PART_OF_DIRECTION, may_be_blank=True, blank=0.0)]
    axis_y: Annotated[float, Number(ends=PART_OF_DIRECTION, may_be_blank=True, blank=0.0)]
    axis_z: Annotated[float, Number(ends=PART_OF_DIRECTION, may_be_blank=True, blank=1.0)]
    read_at: Annotated[datetime, Moment()]
    read_by: Annotated[str, Name(may_be_blank=True)]
    note: Annotated[str, Text()]


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourChangeRow(Row):
    """A change of colour that was watched on a press; `file` lies in colour_changes/."""

    table: ClassVar = "colour_changes.csv"
    folder: ClassVar = "colour_changes"
    key: ClassVar = ("press", "name")
    press: Annotated[str, Name()]
    name: Annotated[str, Name()]
    tool: Annotated[str, Name(may_be_blank=True)]
    done_on: Annotated[date | None, Day()]
    from_name: Annotated[str, Name(may_be_blank=True)]
    from_lightness: Lightness
    from_a: Sideways
    from_b: Sideways
    to_name: Annotated[str, Name(may_be_blank=True)]
    to_lightness: Lightness
    to_a: Sideways
    to_b: Sideways
    illuminant: Annotated[str, Word(words=Illuminant, may_be_blank=True, blank=Illuminant.D65.value)]
    observer: Annotated[int, Whole(may_be_blank=True, blank=USUAL_OBSERVER)]
    resin: Annotated[str, Name(may_be_blank=True)]
    shot_g: Annotated[float, Number(ends=POSITIVE, unit="g")]
    purge_kg: Annotated[float, Number(ends=NOT_NEGATIVE, unit="kg", may_be_blank=True, blank=0.0)]
    note: Annotated[str, Text()]
    file: Annotated[str, Name(longest=LONGEST_FILE_NAME)]
    file_name: Annotated[str, Text(may_be_blank=False, longest=LONGEST_FILE_NAME)]
    sha256: Annotated[str, sha256()]
    read_at: Annotated[datetime, Moment()]
    read_by: Annotated[str, Name(may_be_blank=True)]
    set_aside: Annotated[str, Text()]


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourShotRow(Row):
    """The colour of one shot of a change."""

    table: ClassVar = "colour_shots.csv"
    key: ClassVar = ("press", "change", "row")
    press: Annotated[str, Name()]
    change: Annotated[str, Name()]
    number: Annotated[int, Whole(at_least=1)]
    lightness: Lightness
    a: Sideways
    b: Sideways
    row: Annotated[int, Whole(at_least=1)]


@dataclass(frozen=True, slots=True, kw_only=True)
class RequestRow(Row):
    """A trial that is asked for; press and start where its slot is fixed."""

    table: ClassVar = "trial_requests.csv"
    key: ClassVar = ("tool", "name")
    tool: Annotated[str, Name()]
    name: Annotated[str, Name()]
    earliest: Annotated[date | None, Day()]
    due: Annotated[date | None, Day()]
    hours: Annotated[float | None, Number(ends=TRIAL_HOURS, unit="h", may_be_blank=True)]
    wish: Annotated[str, Word(words=ColourWish, may_be_blank=True, blank=ColourWish.ANY.value)]
    colour: Annotated[str, Name(may_be_blank=True)]
    lightness: Annotated[float | None, Number(ends=LIGHTNESS, may_be_blank=True)]
    a: Annotated[float | None, Number(ends=SIDEWAYS, may_be_blank=True)]
    b: Annotated[float | None, Number(ends=SIDEWAYS, may_be_blank=True)]
    resin: Annotated[str, Name(may_be_blank=True)]
    late_per_day: Annotated[float | None, Number(ends=NOT_NEGATIVE, may_be_blank=True)]
    needs_engineer: Annotated[bool, Flag(blank=True)]
    press: Annotated[str, Name(may_be_blank=True)]
    starts_at: Annotated[datetime | None, Moment(may_be_blank=True)]
    asked_by: Annotated[str, Name(may_be_blank=True)]
    note: Annotated[str, Text()]


@dataclass(frozen=True, slots=True, kw_only=True)
class WantRow(Row):
    """One thing that a requested trial is to show."""

    table: ClassVar = "trial_wants.csv"
    key: ClassVar = ("tool", "request", "purpose")
    tool: Annotated[str, Name()]
    request: Annotated[str, Name()]
    purpose: Annotated[str, Word(words=TrialPurpose)]
    pieces: Annotated[int | None, Whole(at_least=1, at_most=1_000_000, may_be_blank=True)]

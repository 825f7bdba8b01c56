"""The rows of what samples are told apart by: presses and jobs, builds, details of tool states, stages."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Annotated, ClassVar

from offtool.exchange.programme.cells import Day, Flag, Name, Number, Text, Whole, Word, Workdays
from offtool.exchange.programme.rows import Row
from offtool.handbook.measured_colour import (
    DIFFERENCE,
    LIGHTNESS,
    PART_OF_ALL,
    SIDEWAYS,
    USUAL_OBSERVER,
    USUAL_SPREAD_DE,
    Illuminant,
)
from offtool.handbook.terms import HOUR_OF_DAY, NOT_NEGATIVE, POSITIVE, DetailKind, Stage


@dataclass(frozen=True, slots=True, kw_only=True)
class PressRow(Row):
    """A moulding machine."""

    table: ClassVar = "presses.csv"
    key: ClassVar = ("code",)
    code: Annotated[str, Name()]
    name: Annotated[str, Name(may_be_blank=True)]
    clamp_kn: Annotated[float | None, Number(ends=POSITIVE, unit="kN", may_be_blank=True)] = None
    barrel_g: Annotated[float | None, Number(ends=POSITIVE, unit="g", may_be_blank=True)] = None
    screw_mm: Annotated[float | None, Number(ends=POSITIVE, unit="mm", may_be_blank=True)] = None
    tie_bars_wide_mm: Annotated[float | None, Number(ends=POSITIVE, unit="mm", may_be_blank=True)] = None
    tie_bars_high_mm: Annotated[float | None, Number(ends=POSITIVE, unit="mm", may_be_blank=True)] = None
    mould_least_mm: Annotated[float | None, Number(ends=NOT_NEGATIVE, unit="mm", may_be_blank=True)] = None
    mould_most_mm: Annotated[float | None, Number(ends=POSITIVE, unit="mm", may_be_blank=True)] = None
    opening_mm: Annotated[float | None, Number(ends=POSITIVE, unit="mm", may_be_blank=True)] = None
    daylight_mm: Annotated[float | None, Number(ends=POSITIVE, unit="mm", may_be_blank=True)] = None
    ejector_mm: Annotated[float | None, Number(ends=POSITIVE, unit="mm", may_be_blank=True)] = None
    dry_cycle_s: Annotated[float | None, Number(ends=POSITIVE, unit="s", may_be_blank=True)] = None
    per_hour: Annotated[float | None, Number(ends=NOT_NEGATIVE, may_be_blank=True)] = None
    works_from_h: Annotated[float | None, Number(ends=HOUR_OF_DAY, unit="h", may_be_blank=True)] = None
    works_to_h: Annotated[float | None, Number(ends=HOUR_OF_DAY, unit="h", may_be_blank=True)] = None
    workdays: Annotated[str, Workdays()] = ""
    note: Annotated[str, Text()]


@dataclass(frozen=True, slots=True, kw_only=True)
class PressHoldsRow(Row):
    """A tool that a press can hold; a tool that stands in no row may go on any press."""

    table: ClassVar = "press_holds.csv"
    key: ClassVar = ("press", "tool")
    press: Annotated[str, Name()]
    tool: Annotated[str, Name()]


@dataclass(frozen=True, slots=True, kw_only=True)
class JobRow(Row):
    """Production that ran on a press from day to day, and its colour in CIELAB."""

    table: ClassVar = "jobs.csv"
    key: ClassVar = ("press", "code")
    press: Annotated[str, Name()]
    code: Annotated[str, Name()]
    product: Annotated[str, Name(may_be_blank=True)]
    what: Annotated[str, Name(may_be_blank=True)]
    colour: Annotated[str, Name(may_be_blank=True)]
    lightness: Annotated[float | None, Number(ends=LIGHTNESS, may_be_blank=True)]
    a: Annotated[float | None, Number(ends=SIDEWAYS, may_be_blank=True)]
    b: Annotated[float | None, Number(ends=SIDEWAYS, may_be_blank=True)]
    spread_de: Annotated[float, Number(ends=DIFFERENCE, may_be_blank=True, blank=USUAL_SPREAD_DE)]
    illuminant: Annotated[str, Word(words=Illuminant, may_be_blank=True, blank=Illuminant.D65.value)]
    observer: Annotated[int, Whole(may_be_blank=True, blank=USUAL_OBSERVER)]
    begins: Annotated[date, Day(may_be_blank=False)]
    ends: Annotated[date | None, Day()]
    resin: Annotated[str, Name(may_be_blank=True)] = ""
    may_stop: Annotated[bool | None, Flag(blank=None)] = None
    margin_per_h: Annotated[float | None, Number(ends=NOT_NEGATIVE, may_be_blank=True)] = None
    restart_min: Annotated[float | None, Number(ends=NOT_NEGATIVE, unit="min", may_be_blank=True)] = None
    note: Annotated[str, Text()]


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildRow(Row):
    """Pieces put together from parts of several runs."""

    table: ClassVar = "builds.csv"
    key: ClassVar = ("code",)
    code: Annotated[str, Name()]
    stage: Annotated[str, Word(words=Stage)]
    built_on: Annotated[date | None, Day()]
    pieces: Annotated[int | None, Whole(at_least=1, may_be_blank=True)]
    note: Annotated[str, Text()]


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildPartRow(Row):
    """A run that a build took its parts from."""

    table: ClassVar = "build_parts.csv"
    key: ClassVar = ("build", "tool", "trial")
    build: Annotated[str, Name()]
    tool: Annotated[str, Name()]
    trial: Annotated[str, Name()]


@dataclass(frozen=True, slots=True, kw_only=True)
class DetailRow(Row):
    """Something on a part that one tool state makes and another does not."""

    table: ClassVar = "details.csv"
    key: ClassVar = ("part", "code")
    part: Annotated[str, Name()]
    code: Annotated[str, Name()]
    name: Annotated[str, Name(may_be_blank=True)]
    kind: Annotated[str, Word(words=DetailKind, may_be_blank=True, blank=DetailKind.STAYS.value)]
    where: Annotated[str, Text()]
    note: Annotated[str, Text()]


@dataclass(frozen=True, slots=True, kw_only=True)
class DetailStateRow(Row):
    """Whether a tool state makes a detail; without a row the record says nothing."""

    table: ClassVar = "detail_states.csv"
    key: ClassVar = ("part", "detail", "tool", "state")
    part: Annotated[str, Name()]
    detail: Annotated[str, Name()]
    tool: Annotated[str, Name()]
    state: Annotated[str, Name()]
    is_there: Annotated[bool, Flag(may_be_blank=False)]


@dataclass(frozen=True, slots=True, kw_only=True)
class StageNameRow(Row):
    """A stage in the programme's own words; blank for the handbook's."""

    table: ClassVar = "stage_names.csv"
    key: ClassVar = ("stage",)
    stage: Annotated[str, Word(words=Stage)]
    engineer: Annotated[str, Name(may_be_blank=True)]
    archive: Annotated[str, Name(may_be_blank=True)]
    kept: Annotated[float | None, Number(ends=POSITIVE, may_be_blank=True)]


@dataclass(frozen=True, slots=True, kw_only=True)
class SignShareRow(Row):
    """How often the programme meets an outcome of a sign at a stage."""

    table: ClassVar = "sign_shares.csv"
    key: ClassVar = ("sign", "outcome", "stage")
    sign: Annotated[str, Name()]
    outcome: Annotated[str, Name()]
    stage: Annotated[str, Word(words=Stage)]
    share: Annotated[float, Number(ends=PART_OF_ALL)]

"""What a programme's record knows by which its pieces are told apart, as one object."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from offtool.handbook.terms import Stage
from offtool.steps.findings import Action


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourKnown:
    """A colour in words, and as measured where it was; `on_screen` is empty where it was not."""

    words: str
    lightness: float | None
    a: float | None
    b: float | None
    spread_de: float | None
    on_screen: str
    """As #rrggbb, near enough to recognise."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RunKnown:
    """A run of a tool. Its stage is said, or only taken from its name."""

    name: str
    state: str
    stage: Stage
    stage_is_said: bool
    shot_on: date | None
    ended_on: date | None
    pieces: int | None
    press: str
    colour: ColourKnown
    interrupted: tuple[str, str] | None
    """Press and number of the job that stood still meanwhile; None where none is named."""
    readings: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ToolKnown:
    """A tool and its runs, in order of time."""

    tool: str
    name: str
    parts: tuple[str, ...]
    states: tuple[str, ...]
    runs: tuple[RunKnown, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DetailKnown:
    """A detail, and for each state of the tool: there, not there, or None where the record says nothing."""

    code: str
    name: str
    kind: str
    where: str
    note: str
    in_states: tuple[bool | None, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DetailsKnown:
    """The details of one part in the states of one tool that makes it."""

    part: str
    part_name: str
    tool: str
    states: tuple[str, ...]
    details: tuple[DetailKnown, ...]
    alike: tuple[tuple[str, str], ...]
    """States next to each other that no detail tells apart."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildKnown:
    """A build with the runs its parts came from."""

    code: str
    stage: Stage
    built_on: date | None
    pieces: int | None
    runs: tuple[tuple[str, str], ...]
    """Tool and run."""
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class JobKnown:
    """A job of a press."""

    code: str
    product: str
    what: str
    colour: ColourKnown
    begins: date
    ends: date | None
    illuminant: str
    observer: int
    resin: str
    may_stop: bool | None
    """A trial may interrupt it; None: nobody has said."""
    margin_per_h: float | None
    restart_min: float | None
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PressKnown:
    """A press, its numbers, the tools it can hold, and its jobs by the day they began."""

    code: str
    name: str
    note: str
    numbers: Mapping[str, float | None]
    """Those of its sheet, by their names in the record."""
    workdays: str
    holds: tuple[str, ...]
    jobs: tuple[JobKnown, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class StageKnown:
    """A stage in two tongues, and how many of the kept pieces are from it; the programme's own or usual."""

    stage: Stage
    engineer: str
    archive: str
    meaning: str
    kept: float
    is_own: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SignKnown:
    """A sign, and by outcome how often it is met at each stage in order."""

    sign: str
    asks: str
    where: str
    confounders: str
    shares: tuple[tuple[str, tuple[float, ...]], ...]
    own: tuple[Stage, ...]
    """Stages of which the programme says its own shares."""


@dataclass(frozen=True, slots=True, kw_only=True)
class GroundFound:
    """All of it, and what to enter first."""

    programme: str
    programme_title: str
    invented: bool
    headline: str
    actions: tuple[Action, ...]
    """`leads_to` is the kind of thing to enter: "run", "detail", "press", "job", "build"."""
    tools: tuple[ToolKnown, ...]
    details: tuple[DetailsKnown, ...]
    builds: tuple[BuildKnown, ...]
    presses: tuple[PressKnown, ...]
    stages: tuple[StageKnown, ...]
    signs: tuple[SignKnown, ...]
    method: str

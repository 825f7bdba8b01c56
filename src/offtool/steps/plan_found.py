"""The plan of one trial, as one object: page, command, request on paper, labels and JSON show this."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from offtool.core.planning.shots import TrialMaterial, TrialShots, TrialTime
from offtool.core.values import Caution, Verdict
from offtool.steps.findings import Action, Fact


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialAsked:
    """What was asked for, as it was typed."""

    purposes: tuple[str, ...]
    wish: str
    colour: str
    resin: str
    resin_name: str
    earliest: date | None
    due: date | None
    hours: float | None
    needs_engineer: bool
    asked_by: str
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StillOpen:
    """A check of the press that its numbers leave open, and what would settle it."""

    question: str
    says: str
    do: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PressPlanned:
    """The press of the trial, and why it."""

    press: str
    name: str
    verdict: Verdict
    says: str
    why: str
    fixed: bool
    """Its slot is fixed; else it is the first that takes the tool."""
    starts_at: datetime | None
    job: str
    """What runs on it then, in words; empty where nothing does."""
    others: tuple[str, ...] = ()
    """The other presses, a line each: what speaks for or against them."""
    open: tuple[StillOpen, ...] = ()
    """Checks whose numbers are all there, and which they do not settle."""
    job_code: str = ""
    job_may_stop: bool | None = None
    """None where nobody has said it, or nothing runs."""
    day: date | None = None
    """The day whose job is meant."""
    lacks: int = 0
    """Numbers that nobody wrote down, where most checks of every press lack theirs; else 0."""

    @property
    def is_barred(self) -> bool:
        """What runs there on that day must not be stopped."""
        return bool(self.job_code) and self.job_may_stop is False


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourPlanned:
    """The colour it is shot in, and what the ways there and back cost."""

    what: str
    """Shoot in the colour on the press, purge to the colour of the product, purge to a light one."""
    colour: str
    changes: bool
    says: str
    minutes_there: tuple[float, float, float]
    """As planned, least and most."""
    minutes_back: tuple[float, float, float]
    purge_kg: float
    """There and back."""
    right_for: tuple[str, ...]
    wrong_for: tuple[str, ...]
    """Purposes that say nothing in that colour or resin."""
    never: str = ""
    """Why the barrel must be purged empty first; empty where the resins may meet."""
    never_pair: str = ""
    """The two resins, such as PVC-P and POM."""
    others: tuple[str, ...] = ()
    there_kg: float = 0.0
    """Of what is purged, on the way there: the way back is purged with the resin of the job."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeToMeasure:
    """A size that the last trial left open, and how many parts of a cavity would show it."""

    size: str
    name: str
    gauge: str
    purpose: str
    parts: int | None
    """None where the number asked for will do, or no number would."""
    because: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """A defect that so many pieces of a cavity without it would show gone."""

    what: str
    cavity: str
    """Empty where nobody knows it."""
    pieces: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ToConfirm:
    """Something that this trial must confirm or refute."""

    about: str
    says: str
    kind: str
    """A size that was foretold, or a finding at the press."""
    look: Look | None = None
    """For a finding at the press: what would show it gone."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RunStep:
    """One thing to do at the press, in order; a box to tick on paper."""

    do: str
    because: str
    first: int | None = None
    last: int | None = None
    """The shots it is about, counted from the first of the trial."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BagPlanned:
    """One bag to fill at the press."""

    part: str
    part_name: str
    cavity: str
    """Empty for whole shots with their runner."""
    purpose: str
    first: int
    last: int
    pieces: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Missing:
    """Something the record does not know: what the plan lacks by it, and who knows."""

    what: str
    spoils: str
    who_knows: str
    leads_to: str = ""
    """The form where it is typed: "press", "tool", "parts", "prices", "ask" or "" for none."""
    name: str = ""
    """Of which press, tool, part …"""


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialPlanned:
    """The plan of one trial: where, in which colour, what to run, how long, and what it must show."""

    programme: str
    programme_title: str
    invented: bool
    tool: str
    tool_name: str
    trial: str
    state: str
    on: date
    has_run: bool
    headline: str
    actions: tuple[Action, ...]
    rests_on: tuple[Fact, ...]
    asked: TrialAsked
    press: PressPlanned | None
    colour: ColourPlanned | None
    shots: TrialShots | None
    time: TrialTime | None
    material: TrialMaterial | None
    steps: tuple[RunStep, ...]
    to_measure: tuple[SizeToMeasure, ...]
    confirm: tuple[ToConfirm, ...]
    confirm_more: int
    """Predictions beyond those that are listed."""
    bring: tuple[str, ...]
    bags: tuple[BagPlanned, ...]
    missing: tuple[Missing, ...]
    method: str
    cautions: tuple[Caution, ...] = ()
    unknown_resin: str = ""
    """Why nobody can say whether its resin may follow that of the job; empty where the two are known."""

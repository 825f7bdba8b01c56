"""What a trial showed, as one object: page, command, workbook and JSON show this and nothing else."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from offtool.core.correction import CorrectionPlan, JudgedPrediction
from offtool.core.inspection import Settled, SizeFinding
from offtool.core.values import Caution, Verdict
from offtool.steps.press_findings import PressFindings
from offtool.steps.readings_seen import ReadingSeen


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedSize:
    """One characteristic of the drawing, what the trial showed of it, and why in a sentence."""

    number: str
    name: str
    part: str
    unit: str
    kind: str
    nominal: float
    weight_class: str
    decimals: int
    finding: SizeFinding
    why: str
    discarded_readings: int
    planned: str = ""
    """The cut that the correction plans for it, in a sentence; empty where it plans none."""
    left_out_readings: int = 0

    @property
    def verdict(self) -> Verdict:
        """The verdict over all cavities."""
        return self.finding.verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class Action:
    """One thing to do: the order of `TrialFindings.actions` is the order of effect."""

    do: str
    because: str
    leads_to: str
    """Where the reader goes on: "correction", "steel", "sizes", "read" or "" for nowhere."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """Something the verdict rests on."""

    about: str
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PredictionSeen:
    """A prediction made at an earlier trial, beside what this one found."""

    size: str
    cavity: str
    unit: str
    decimals: int
    made_at: str
    low: float
    high: float
    confidence: float
    judged: JudgedPrediction


@dataclass(frozen=True, slots=True, kw_only=True)
class CavitiesDiffer:
    """A size whose cavities differ by more than chance: the two that lie farthest apart."""

    size: str
    unit: str
    decimals: int
    p: float
    adjusted_p: float
    low_cavity: str
    high_cavity: str
    difference: float
    of_tolerance: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class CavitiesCompared:
    """Whether cavities differ, asked of every size at once, with the share of false ones held down.

    `false_alarms` is how many sizes would seem to differ by chance if each were asked alone.
    """

    differ: tuple[CavitiesDiffer, ...]
    sizes: int
    false_alarms: float
    rate: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FileRead:
    """A file that was read into this trial."""

    name: str
    sha256: str
    layout: str
    readings: int
    repairs: int
    left_out: int
    source_id: int


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialFindings:
    """The verdict on a trial, what to do, why, and what it rests on."""

    programme: str
    programme_title: str
    tool: str
    tool_name: str
    trial: str
    state: str
    shot_on: date | None
    press: str
    colour: str
    age_h: float | None
    readings: int
    ready: bool
    headline: str
    sizes: tuple[JudgedSize, ...]
    actions: tuple[Action, ...]
    rests_on: tuple[Fact, ...]
    settled: Settled | None
    settled_from: int | None
    settled_reason: str
    pointed_at: tuple[ReadingSeen, ...]
    left_out: tuple[ReadingSeen, ...]
    cavities: CavitiesCompared | None
    at_press: PressFindings | None
    """What was seen at the press; None where nothing was looked at and nothing is open."""
    predictions: tuple[PredictionSeen, ...]
    files: tuple[FileRead, ...]
    plan: CorrectionPlan | None
    method: str
    cautions: tuple[Caution, ...] = ()

    def count(self, verdict: Verdict) -> int:
        """How many sizes have this verdict."""
        return sum(size.verdict is verdict for size in self.sizes)

"""What a joint is found to do, as one object: page, command, report and JSON show this and nothing else."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from offtool.core.joints.assembled import AssembledJoint
from offtool.core.joints.evidence import JointMaterial, Span
from offtool.core.joints.friction import LearnedFriction
from offtool.core.joints.relaxation import RelaxationFit, RelaxedTorque
from offtool.core.joints.steel import JointSteelChoice
from offtool.core.joints.tested import DroopJudged, TestsCompared
from offtool.core.values import Caution, Verdict
from offtool.steps.findings import Action, Fact


class JointWord(StrEnum):
    """How a joint stands, in the words of the bench."""

    GOOD = "good"
    LOOSE = "loose"
    TIGHT = "tight"
    OVERSTRAINED = "overstrained"
    MIXED = "loose and tight"
    NOT_SHOWN = "not shown"
    NOT_MEASURED = "not measured"


@dataclass(frozen=True, slots=True, kw_only=True)
class CavitySeen:
    """One cavity of a size of the joint; `sd` is as observed."""

    cavity: str
    mean: float
    sd: float
    parts: int


@dataclass(frozen=True, slots=True, kw_only=True)
class JointSizeSeen:
    """One size of a joint: measured in a trial, or a number that was given."""

    role: str
    meaning: str
    unit: str
    decimals: int
    size: str = ""
    """Part and number, such as HO-04 2; empty for a number."""
    part: str = ""
    number: str = ""
    name: str = ""
    tool: str = ""
    trial: str = ""
    state: str = ""
    cavities: tuple[CavitySeen, ...] = ()
    value: float | None = None
    plus_minus: float = 0.0
    gauge: str = ""
    """What is taken out of the spread for the gauge, in words."""

    @property
    def is_measured(self) -> bool:
        """Whether readings stand behind it."""
        return bool(self.cavities)


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitAsked:
    """One end of what is asked of the joint, and where it comes from; None where nothing is asked."""

    value: float | None
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FrictionUsed:
    """The friction that the answer takes, and where it comes from."""

    span: Span
    says: str
    handbook: Span
    is_learned: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class TestSeen:
    """A test of assembled pieces."""

    __test__ = False  # not one of pytest's

    name: str
    file: str
    sha256: str
    done_on: date | None
    read_by: str
    readings: int
    gauge: str
    gauge_says: str
    inner_trial: str
    outer_trial: str
    is_stale: bool
    """Whether a part's steel has changed since the trial that its pieces are from."""
    note: str
    set_aside: str
    test_id: int


@dataclass(frozen=True, slots=True, kw_only=True)
class DemandSeen:
    """What this joint asks of a size, over what the drawing says."""

    size: str
    name: str
    tool: str
    target: float
    lower: float | None
    upper: float | None
    decimals: int
    reason: str
    made_at: datetime
    made_by: str
    dropped: str
    demand_id: int
    tools: tuple[str, ...] = ()
    """Every tool that makes the part; `tool` is the one whose cavities this answer rests on."""


@dataclass(frozen=True, slots=True, kw_only=True)
class JointFound:
    """One joint: does it hold, what to do, why."""

    programme: str
    programme_title: str
    invented: bool
    joint: str
    name: str
    kind: str
    meaning: str
    measure: str
    unit: str
    decimals: int
    word: JointWord
    verdict: Verdict
    headline: str
    actions: tuple[Action, ...]
    rests_on: tuple[Fact, ...]
    lower: LimitAsked
    upper: LimitAsked
    sizes: tuple[JointSizeSeen, ...]
    friction: FrictionUsed | None
    assembled: AssembledJoint | None
    """None where a size was not measured yet."""
    missing: tuple[str, ...]
    """What keeps it from being worked out, in words."""
    loose_at_first: bool
    """Loose in the steel as first cut, with steel left on purpose that tightens it: to be expected."""
    steel_left: bool
    """Loose, with steel left that tightens it."""
    steel: JointSteelChoice | None
    demands: tuple[DemandSeen, ...]
    tests: tuple[TestSeen, ...]
    learned: LearnedFriction | None
    compared: TestsCompared | None
    """The joints that were measured: whether they keep the limits, and what ageing or cycling did."""
    relaxed: RelaxedTorque | None
    """What is left of the torque after a day and after 1,000 h, by the handbook."""
    relaxation: RelaxationFit | None
    """The same, from readings of this joint."""
    good_after_1000h: Span | None
    """Share of joints still good after 1,000 h, between the ends of what may be left of the torque."""
    droop: DroopJudged | None
    method: str
    cautions: tuple[Caution, ...] = ()
    inner: JointMaterial | None = None
    outer: JointMaterial | None = None
    strain_use: float | None = None
    """Share of the allowed strain that is used on the more strained side, every size at its mean."""
    interference_mm: float | None = None
    """By how much the inner side is larger in the mean; negative for a clearance."""
    good_from_mm: float | None = None
    """The interference from which on the joint is good, whatever its friction in its range."""
    good_to_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class JointsFound:
    """All joints of a product."""

    programme: str
    programme_title: str
    invented: bool
    headline: str
    joints: tuple[JointFound, ...]

"""What comes of the choice of steel for a joint."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from offtool.core.joints.steel.evidence import JointSteelEvidence
from offtool.core.values import Caution


class Stop(StrEnum):
    """What kept the steel in one cavity from going all the way."""

    NONE = ""
    ALLOWANCE = "the steel-safe allowance ends there"
    FAR_LIMIT = "more could pass the far limit"
    PART_OF_THE_WAY = "the rest waits for a measured joint"


@dataclass(frozen=True, slots=True, kw_only=True)
class SteelAmount:
    """Steel to remove from one feature in one cavity; negative where it must be added.

    `full_mm` would bring the size to its target. `before` and `after` are the size's mean in that cavity.
    """

    feature: str
    cavity: str
    amount_mm: float
    full_mm: float
    allowance_mm: float
    before: float
    after: float
    stop: Stop


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeDemand:
    """What the joint asks of a size: its new mean, and the ends the joint can do with.

    `after` is its mean once the steel is changed now, short of `target` where only part of the way is cut.
    The ends are None where the other sizes' spread leaves no room.
    """

    size: str
    role: str
    mean: float
    target: float
    after: float
    lower: float | None
    upper: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class AlsoMoved:
    """Another size that comes along, in one cavity; `leaves` its limits where it goes past."""

    size: str
    cavity: str
    before: float
    after: float
    lower: float | None
    upper: float | None
    leaves: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherJointAfter:
    """Another joint that has the size: its share of good joints before and after."""

    joint: str
    good_before: float
    good_after: float
    harmed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SteelCandidate:
    """One way to bring the joint where it stands best, with what it does and in plain words why so.

    `safe` is steel removed within its allowance with no harm to another size or joint; `reaches` says that
    the mean comes all the way, or as far as is meant for now.
    """

    demands: tuple[SizeDemand, ...]
    amounts: tuple[SteelAmount, ...]
    also_moved: tuple[AlsoMoved, ...]
    other_joints: tuple[OtherJointAfter, ...]
    measure_after: float
    good_before: float
    good_after: float
    adds_steel: bool
    reaches: bool
    harms: bool
    reasons: tuple[str, ...]

    @property
    def safe(self) -> bool:
        return self.reaches and not (self.adds_steel or self.harms)

    @property
    def cuts(self) -> int:
        """How many places in the steel are touched."""
        return len(self.amounts)


@dataclass(frozen=True, slots=True, kw_only=True)
class JointSteelChoice:
    """The ways found, best first; `why_not` says in plain words why there is none, or what steel cannot mend.

    `good_at_best` is the share of good joints were every cavity's mean where the joint stands best.
    """

    candidates: tuple[SteelCandidate, ...]
    good_now: float
    good_at_best: float
    why_not: tuple[str, ...]
    evidence: JointSteelEvidence
    cut_share: float
    cautions: tuple[Caution, ...] = ()

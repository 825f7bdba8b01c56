"""What the choice of steel for a joint rests on, as plain tables: sizes, what forms them, what else hangs on
them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from offtool.core.joints.evidence import Span

AS_MEASURED = Span(low=1.0, high=1.0)
"""Nothing is left open by the friction."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeAlsoMoved:
    """Another size that the same steel moves: mm of part a mm removed, before shrinkage; where it stands."""

    size: str
    factor: float
    mean: float
    lower: float | None = None
    upper: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class JointSteel:
    """A steel feature in one cavity that moves a size of the joint.

    `factor` is mm of part for each mm of steel removed, before shrinkage: +1 for a cavity wall stated on the
    diameter, −1 for a core pin. `can_add` says that a new pin or insert adds steel; else it is welded.
    """

    feature: str
    cavity: str
    factor: float
    allowance_mm: float
    shrinkage: float = 0.0
    can_add: bool = False
    step_mm: float = 0.01
    also: tuple[SizeAlsoMoved, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class MeanInCavity:
    """Where a size stands in one cavity, mm."""

    cavity: str
    mean: float


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherJoint:
    """Another joint that has this size too: where its measure stands, how it scatters, and what moves it.

    `slope` is its measure's change for each mm of the size; limits are None where there is none.
    """

    joint: str
    slope: float
    measure: float
    sd: float
    lower: float | None = None
    upper: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeOfJoint:
    """One size of the joint: its means by cavity, its spread about them, and the steel that moves it.

    `slope` is the change of the joint's measure for each mm of the size.
    """

    role: str
    size: str
    part: str
    slope: float
    means: tuple[MeanInCavity, ...]
    sd: float = 0.0
    lower: float | None = None
    upper: float | None = None
    steel: tuple[JointSteel, ...] = ()
    other_joints: tuple[OtherJoint, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class JointSteelEvidence:
    """A joint that is off: where its measure stands, where it should, and its sizes.

    The measure is the torque, the force or the clearance; where a joint turns freely its torque has no slope,
    and the clearance is the measure to give. `measure` is its mean over all pairs, `measure_sd` its scatter
    over all joints as assembly will see them, cavities included; `measure_uncertainty` that of the mean.
    `true_share` says between which shares of it the true measure may lie while the friction is not known
    from measured joints: 0.75 to 1.25 where a friction of 0.3 to 0.5 was taken as 0.4. `unit` is that of the
    measure, mm for a clearance.
    """

    measure: float
    wanted: float
    measure_sd: float
    sizes: tuple[SizeOfJoint, ...]
    lower: float | None = None
    upper: float | None = None
    loose_is: Literal["low", "high"] = "low"
    measure_uncertainty: float = 0.0
    friction_known: bool = True
    true_share: Span = AS_MEASURED
    unit: str = "N·m"

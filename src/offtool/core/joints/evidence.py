"""What a joint is judged on, as plain tables: sizes by cavity, materials, friction, limits."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from offtool.core.values import Caution
from offtool.handbook.terms import JointKind


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """Two ends that come from a range of what is not known, such as friction; not an interval of chance."""

    low: float
    high: float

    @property
    def middle(self) -> float:
        return (self.low + self.high) / 2


@dataclass(frozen=True, slots=True, kw_only=True)
class JointMaterial:
    """What one side of a joint is made of: stiffness in MPa, Poisson's ratio, and the strain it may bear as a
    share (0.02 for 2 %)."""

    modulus_mpa: float
    poisson: float
    strain_allowed: float
    name: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeInCavity:
    """One size of one part in one cavity as measured; `sd` is as observed, the gauge's own share in it.

    `role` is the size's part in the joint (see `offtool.handbook.joint_kinds`) or the link's name in a chain.
    """

    role: str
    part: str
    cavity: str
    mean: float
    sd: float
    parts: int
    gauge_sd: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeGiven:
    """One size that is not measured by cavity: a drawing's value, give or take.

    `spread` says how pieces lie within: "normal", where `plus_minus` is three standard deviations, or "even",
    where every size between the two ends is as likely as the next.
    """

    role: str
    value: float
    plus_minus: float = 0.0
    spread: Literal["normal", "even"] = "normal"


@dataclass(frozen=True, slots=True, kw_only=True)
class SizesTogether:
    """How far two sizes of one part go together from piece to piece, −1 to +1; without it they do not."""

    first: str
    second: str
    correlation: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """One size of a chain with its factor, or of a loop with the angle at which it lies in the plane.

    In a loop `angle_deg` is the direction of travel, counted against the clock from the x axis; a link whose
    angle is itself a size names that size in `angle_role`. The gap is the link named in
    `JointEvidence.gap`.
    """

    role: str
    factor: float = 1.0
    angle_deg: float | None = None
    angle_role: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class JointEvidence:
    """All that the assembled joint rests on. Limits are of the kind's measure; None where there is none."""

    kind: JointKind
    measured: tuple[SizeInCavity, ...] = ()
    given: tuple[SizeGiven, ...] = ()
    lower: float | None = None
    upper: float | None = None
    inner: JointMaterial | None = None
    outer: JointMaterial | None = None
    friction: Span | None = None
    links: tuple[Link, ...] = ()
    gap: str = ""
    correlations: tuple[SizesTogether, ...] = ()
    cautions: tuple[Caution, ...] = ()

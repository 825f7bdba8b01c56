"""Where a joint stands on the scale that steel moves: the clearance or interference behind a torque."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from offtool.core.joints.assembled import AssembledJoint
from offtool.core.joints.evidence import JointEvidence, Span
from offtool.core.joints.models import model_of
from offtool.core.joints.response import Materials, Response
from offtool.handbook.joint_kinds import JOINT_KINDS
from offtool.handbook.terms import JointKind

Values = NDArray[np.float64]

PRESSED: Mapping[JointKind, tuple[str, str]] = {
    JointKind.PEG: ("peg_diameter", "socket_bore"),
    JointKind.CLIP: ("peg_diameter", "socket_bore"),
    JointKind.BALL: ("ball_diameter", "socket_bore"),
}
"""Kinds whose torque follows from how much larger the first size is than the second."""
WIDEST_SHARE = 0.08
"""How far the interference is looked over, as a share of the diameter, either way."""
ROOM_SDS = 4.0
"""Standard deviations inside a single limit to aim at; common practice, no source."""
STEPS = 2001


@dataclass(frozen=True, slots=True, kw_only=True)
class StandingOnScale:
    """Mean, spread and limits of what steel moves, and what each size moves it by for each mm.

    For a joint that turns with friction the scale is the interference, negative where there is clearance: a
    joint that turns freely has no torque, and no torque says how loose it is.
    """

    scale: str
    unit: str
    mean: float
    sd: float
    uncertainty: float
    lower: float | None
    upper: float | None
    wanted: float
    slopes: Mapping[str, float]
    loose_is: Literal["low", "high"]
    true_share: Span


def standing_of(evidence: JointEvidence, assembled: AssembledJoint) -> StandingOnScale | None:
    """Where the joint stands for steel; None where no size brings it inside its limits."""
    if evidence.kind in PRESSED:
        return _pressed(evidence, assembled, *PRESSED[evidence.kind])
    return _by_measure(evidence, assembled)


def strain_use_of(evidence: JointEvidence, assembled: AssembledJoint) -> float | None:
    """How much of what the more strained side bears is used where every size is at its mean."""
    if evidence.inner is None and evidence.outer is None:
        return None
    means = _means(assembled)
    for one in evidence.given:
        means.setdefault(one.role, one.value)
    sizes = {role: np.asarray(value, dtype=float) for role, value in means.items()}
    friction = evidence.friction.middle if evidence.friction else 1.0
    materials = Materials(inner=evidence.inner, outer=evidence.outer)
    with np.errstate(all="ignore"):
        used = float(model_of(evidence).respond(sizes, materials, np.asarray(friction)).strain_use)
    return used if np.isfinite(used) else None


def interference_of(evidence: JointEvidence, assembled: AssembledJoint) -> float | None:
    """By how much the inner side is larger in the mean; None for kinds that do not press."""
    if evidence.kind not in PRESSED:
        return None
    means = _means(assembled)
    for one in evidence.given:
        means.setdefault(one.role, one.value)
    inner, outer = PRESSED[evidence.kind]
    return means[inner] - means[outer]


def _by_measure(evidence: JointEvidence, assembled: AssembledJoint) -> StandingOnScale | None:
    lower, upper, mix = evidence.lower, evidence.upper, assembled.mix
    if lower is None and upper is None:
        return None
    wanted = _aim(lower, upper, mix.sd)
    return StandingOnScale(
        scale=assembled.measure,
        unit=assembled.unit,
        mean=mix.mean,
        sd=mix.sd,
        uncertainty=_unsure(assembled, {one.role: one.slope for one in assembled.contributions}),
        lower=lower,
        upper=upper,
        wanted=wanted,
        slopes={one.role: one.slope for one in assembled.contributions},
        loose_is=JOINT_KINDS[evidence.kind].loose_is,
        true_share=Span(low=1.0, high=1.0),
    )


def _aim(lower: float | None, upper: float | None, sd: float) -> float:
    """The middle of two limits; four standard deviations inside a single one."""
    if lower is not None and upper is not None:
        return (lower + upper) / 2
    return lower + ROOM_SDS * sd if lower is not None else (upper or 0.0) - ROOM_SDS * sd


def _pressed(
    evidence: JointEvidence, assembled: AssembledJoint, inner: str, outer: str
) -> StandingOnScale | None:
    """Without a least nothing says how tight it should be."""
    if evidence.lower is None:
        return None
    means = _means(assembled)
    for one in evidence.given:
        means.setdefault(one.role, one.value)
    ends = _ends(evidence, means, inner, outer)
    if ends is None:
        return None
    low, high = ends
    sd = _scatter(assembled, (inner, outer))
    return StandingOnScale(
        scale="interference",
        unit="mm",
        mean=means[inner] - means[outer],
        sd=sd,
        uncertainty=_unsure(assembled, {inner: 1.0, outer: -1.0}),
        lower=low,
        upper=high,
        wanted=_aim(low, high, sd),
        slopes={inner: 1.0, outer: -1.0},
        loose_is="low",
        true_share=Span(low=1.0, high=1.0),
    )


def _ends(
    evidence: JointEvidence, means: Mapping[str, float], inner: str, outer: str
) -> tuple[float, float | None] | None:
    """The interference at which the joint is good whatever its friction; else at the middle of its range.

    The upper end is None where nothing but the end of what was looked over stops it.
    """
    friction = evidence.friction or Span(low=1.0, high=1.0)
    least = _good(evidence, means, inner, outer, friction.low)
    most = _good(evidence, means, inner, outer, friction.high)
    middle = _good(evidence, means, inner, outer, friction.middle)
    if least is not None and most is not None and (most[1] is None or least[0] < most[1]):
        return least[0], most[1]
    return middle


def _good(
    evidence: JointEvidence, means: Mapping[str, float], inner: str, outer: str, friction: float
) -> tuple[float, float | None] | None:
    """From where to where the joint is good with this friction."""
    interference, found = _looked_over(evidence, means, inner, outer, friction)
    lower = -np.inf if evidence.lower is None else evidence.lower
    upper = np.inf if evidence.upper is None else evidence.upper
    good = np.flatnonzero((found.measure >= lower) & (found.measure <= upper) & (found.strain_use <= 1.0))
    if not good.size:
        return None
    last = int(good[-1])
    high = float(interference[last]) if last < interference.size - 1 else None
    return float(interference[good[0]]), high


def _unsure(assembled: AssembledJoint, slopes: Mapping[str, float]) -> float:
    """Standard uncertainty of the mean over all cavities, from the few parts that were measured."""
    variance = 0.0
    for role, slope in slopes.items():
        sizes = [one for one in assembled.sizes if one.role == role and one.part and one.parts]
        if sizes:
            variance += slope**2 * sum(one.sd**2 / one.parts for one in sizes) / len(sizes) ** 2
    return float(np.sqrt(variance))


def _means(assembled: AssembledJoint) -> dict[str, float]:
    """Mean of each size over its cavities, each counted once."""
    found: dict[str, list[float]] = {}
    for one in assembled.sizes:
        found.setdefault(one.role, []).append(one.mean)
    return {role: float(np.mean(values)) for role, values in found.items()}


def _scatter(assembled: AssembledJoint, roles: tuple[str, str]) -> float:
    """Standard deviation of the interference over all pieces and cavities."""
    variance = 0.0
    for role in roles:
        sizes = [one for one in assembled.sizes if one.role == role]
        if sizes:
            variance += float(np.var([one.mean for one in sizes]))
            variance += float(np.mean([one.sd**2 for one in sizes]))
    return float(np.sqrt(variance))


def _looked_over(
    evidence: JointEvidence, means: Mapping[str, float], inner: str, outer: str, friction: float
) -> tuple[Values, Response]:
    """What the joint does over a range of interference, the outer side as it is, the inner side varied."""
    bore = means[outer]
    interference = np.linspace(-WIDEST_SHARE * bore / 4, WIDEST_SHARE * bore, STEPS)
    sizes: dict[str, Values] = {role: np.asarray(value, dtype=float) for role, value in means.items()}
    sizes[inner] = bore + interference
    materials = Materials(inner=evidence.inner, outer=evidence.outer)
    with np.errstate(all="ignore"):
        found = model_of(evidence).respond(sizes, materials, np.asarray(friction))
    measure = np.broadcast_to(np.nan_to_num(found.measure, nan=-1.0), interference.shape)
    strain = np.broadcast_to(np.nan_to_num(found.strain_use, nan=np.inf), interference.shape)
    return interference, Response(measure=measure, strain_use=strain)

"""What a learned friction does not know because the sizes are not known better."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import hypot, sqrt

from offtool.core.joints.assembled.means import JointMeans
from offtool.core.joints.friction import LearnedFriction
from offtool.core.joints.ratio import quantile
from offtool.core.values import Interval, Verdict

SizeOfTest = tuple[int, str, str]
"""Test, role and cavity: a mean that was measured once and counts for every pair it is in."""
MANY = 1000
"""Degrees of freedom of a spread that is taken as known."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PredictedPair:
    """The torque of a pair at a friction of 1, and how far the mean of each size may move it."""

    at_one_nm: float
    moved_nm: Mapping[SizeOfTest, float]

    @property
    def sd_nm(self) -> float:
        """Standard uncertainty of the torque."""
        return hypot(*self.moved_nm.values())


def predicted_pairs(found: JointMeans, test: int) -> dict[tuple[str, ...], PredictedPair]:
    """Every pair of cavities of a joint that was put together with a friction of 1."""
    slopes = {one.role: one.slope for one in found.contributions}
    moves = [
        (one, slopes.get(one.role, 0.0) * one.sd / sqrt(one.parts))
        for one in found.sizes
        if one.part and one.parts
    ]
    return {
        pair.cavities: PredictedPair(
            at_one_nm=pair.mean,
            moved_nm={
                (test, size.role, size.cavity): moved
                for size, moved in moves
                if (size.part, size.cavity) in zip(found.parts, pair.cavities, strict=True)
            },
        )
        for pair in found.pairs
    }


def with_sizes_unsure(found: LearnedFriction, pairs: Mapping[str, PredictedPair]) -> LearnedFriction:
    """The friction with its interval widened by what the sizes' means may be off.

    Pairs share their cavities: where the mean of one socket is off, all pairs of it are off alike, and their
    scatter about one friction does not show it. The friction moves by f sum(x du) / sum(x^2), x the torque at
    a friction of 1; the share of each mean is added as squares.
    """
    if found.interval is None:
        return found
    moved: dict[SizeOfTest, float] = defaultdict(float)
    for one in found.pairs:
        for size, nm in pairs[one.pair].moved_nm.items():
            moved[size] += one.at_friction_one_nm * nm
    squares = sum(one.at_friction_one_nm**2 for one in found.pairs)
    sizes = quantile(MANY, found.confidence) * found.friction * hypot(*moved.values()) / squares
    reach = hypot(found.interval.high - found.friction, sizes)
    interval = Interval(
        low=max(found.friction - reach, 0.0), high=found.friction + reach, confidence=found.confidence
    )
    return replace(found, interval=interval, agrees=_agrees(found, interval))


def _agrees(found: LearnedFriction, interval: Interval) -> Verdict | None:
    given = found.given
    if given is None:
        return None
    if given.low <= interval.low and interval.high <= given.high:
        return Verdict.HOLDS
    apart = interval.high < given.low or interval.low > given.high
    return Verdict.FAILS if apart else Verdict.NOT_SHOWN

"""What joints ask of sizes, over what the drawing says: the correction aims at it until it is dropped."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import sqrt

from offtool.core.correction import SizeAsked
from offtool.core.inspection import CavityFinding
from offtool.core.values import Verdict
from offtool.records.models import JointDemand, Tool

SURE_BY = 2.0
"""Standard errors by which a mean must lie inside what a joint asks for; common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Demanded:
    """What one joint asks of one size: where its mean should stand, and between which ends."""

    joint: str
    target: float
    lower: float | None
    upper: float | None
    reason: str

    def asked(self, drawn: SizeAsked) -> SizeAsked:
        """The size as the correction sees it: the joint's ends in place of the drawing's."""
        return replace(drawn, target=self.target, lower=self.lower, upper=self.upper)

    def verdict(self, cavity: CavityFinding) -> Verdict:
        """Whether the mean of a cavity stands where the joint asks for it."""
        reach = SURE_BY * cavity.sd / sqrt(cavity.parts) if cavity.parts > 1 else 0.0
        if self._outside(cavity.mean) > 0:
            return Verdict.FAILS
        inside = self._outside(cavity.mean - reach) <= 0 and self._outside(cavity.mean + reach) <= 0
        return Verdict.HOLDS if inside and cavity.parts > 1 else Verdict.NOT_SHOWN

    def _outside(self, value: float) -> float:
        """How far a value lies outside the ends; not above zero inside."""
        below = self.lower - value if self.lower is not None else 0.0
        above = value - self.upper if self.upper is not None else 0.0
        return max(below, above, 0.0)


def demands_on(tool: Tool) -> Mapping[int, Demanded]:
    """What joints ask of the sizes that this tool makes, by the keys of the sizes; dropped ones left out."""
    counting = JointDemand.objects.filter(dropped="", characteristic__part__cavities__tool=tool)
    return {
        one.characteristic_id: Demanded(
            joint=one.joint.code, target=one.target, lower=one.lower, upper=one.upper, reason=one.reason
        )
        for one in counting.select_related("joint").distinct()
    }

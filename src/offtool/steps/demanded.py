"""What joints ask of sizes, over what the drawing says: the correction aims at it until it is dropped."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import isfinite

from offtool.core.correction import SizeAsked
from offtool.core.inspection import CavityFinding, SizeFinding
from offtool.core.values import Verdict
from offtool.records.models import JointDemand, Tool

INDEX_ROOM = 3.5
"""Standard deviations of parts either side that a mean needs to be cut to: index 1 with its margin."""
CUT_ROOM = 4.0
"""Standard deviations of a cut: how sure the cut must be not to end past the room."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Demanded:
    """What one joint asks of one size: where its mean should stand, and the ends the joint can do with."""

    joint: str
    target: float
    lower: float | None
    upper: float | None
    reason: str

    def asked(self, drawn: SizeAsked, found: SizeFinding, *, cut_sd_mm: float) -> SizeAsked:
        """The size as the correction sees it: the target, with room about it.

        How far one may go past the target was weighed with the joint; here the room only keeps the spread of
        parts and cuts from standing in the way of the target.
        """
        sds = [one.sd for one in found.cavities if isfinite(one.sd)]
        room = INDEX_ROOM * max(sds, default=0.0) + CUT_ROOM * cut_sd_mm
        index = min(drawn.required_index or 1.0, 1.0)
        return replace(
            drawn,
            target=self.target,
            lower=self.target - room,
            upper=self.target + room,
            required_index=index,
        )

    def verdict(self, cavity: CavityFinding, *, step_mm: float) -> Verdict:
        """Whether the mean of a cavity stands where the joint asks for it, to the nearest whole step."""
        low = self.lower if self.lower is not None else self.target
        high = self.upper if self.upper is not None else self.target
        near = step_mm / 2
        return Verdict.HOLDS if low - near <= cavity.mean <= high + near else Verdict.FAILS


def demands_on(tool: Tool) -> Mapping[int, Demanded]:
    """What joints ask of the sizes that this tool makes, by the keys of the sizes; dropped ones left out."""
    counting = JointDemand.objects.filter(dropped="", characteristic__part__cavities__tool=tool)
    return {
        one.characteristic_id: Demanded(
            joint=one.joint.code, target=one.target, lower=one.lower, upper=one.upper, reason=one.reason
        )
        for one in counting.select_related("joint").distinct()
    }

"""What joints ask of sizes, over what the drawing says: the correction aims at it until it is dropped."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import isfinite

from offtool.core.correction import SizeAsked
from offtool.core.correction.choice import INDEX_MARGIN
from offtool.core.inspection import CavityFinding, SizeFinding
from offtool.core.values import Verdict
from offtool.records.models import JointDemand, Tool

CUT_ROOM = 5.0
"""Standard deviations of a cut between the target and a limit, so that no limit stands in the way of it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Demanded:
    """What one joint asks of one size: where its mean should stand, and the ends the joint can do with."""

    joint: str
    target: float
    lower: float | None
    upper: float | None
    reason: str

    def asked(self, drawn: SizeAsked, found: SizeFinding, *, cut_sd_mm: float, step_mm: float) -> SizeAsked:
        """The size as the correction sees it: the mean within half a step of the target.

        How far one may go past the target was weighed with the joint. So limits are set far enough for the
        spread of parts and cuts, and the index such that it is shown only with the mean at the target.
        """
        spread = max((one.sd for one in found.cavities if isfinite(one.sd)), default=0.0)
        near = step_mm / 2
        room = near + 3 * INDEX_MARGIN * spread + CUT_ROOM * cut_sd_mm
        index = (room - near) / (3 * INDEX_MARGIN * spread) if spread > 0 else drawn.required_index
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

"""Shrinkage by direction: allowed for, found, and how many sizes it explains."""

from __future__ import annotations

from collections.abc import Iterator

from offtool.core.correction import CorrectionPlan
from offtool.steps.steel_changes import DirectionShrinkage
from offtool.steps.trial_evidence import TrialEvidence
from offtool.steps.what_is_asked import allowed_shrinkage, size_key


def directions_found(plan: CorrectionPlan, seen: TrialEvidence) -> Iterator[DirectionShrinkage]:
    """One line a direction that has sizes with measured steel."""
    known = {size_key(one.characteristic): one.characteristic for one in seen.sizes}
    for direction, found in plan.directions.items():
        here = [
            one
            for one in plan.standing
            if one.size in known and known[one.size].direction == direction and one.split is not None
        ]
        if not here:
            continue
        first = known[here[0].size]
        sizes = {one.size for one in here}
        explained = {
            one.size
            for one in here
            if one.split is not None
            and abs(one.split.local_mm + one.split.cavity_mm) < abs(one.split.shrinkage_mm)
        }
        yield DirectionShrinkage(
            resin=first.part.resin.code,
            direction=direction,
            allowed=allowed_shrinkage(first),
            found=found,
            explains=len(explained),
            sizes=len(sizes),
        )

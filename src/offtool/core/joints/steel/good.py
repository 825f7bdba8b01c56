"""The share of joints that are good, over all pairs of cavities: normal about each pair's mean."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import reduce
from math import inf, sqrt

import numpy as np
from numpy.typing import NDArray
from scipy import special

from offtool.core.joints.steel.evidence import JointSteelEvidence, OtherJoint, SizeOfJoint

MOST_PAIRS = 100_000

Place = tuple[str, str]
"""A size and a cavity."""
Moves = Mapping[Place, float]
"""By how many mm the size's mean moves there."""


def size_mean(size: SizeOfJoint) -> float:
    """The size's mean over its cavities, each counted once: assembly takes from all alike."""
    return sum(one.mean for one in size.means) / len(size.means)


def share_good(evidence: JointSteelEvidence, moves: Moves, *, even: bool = False) -> float:
    """The share of joints inside the limits once the means have moved so; `even` with all pairs at the mean
    wanted."""
    parts = _offsets(evidence.sizes, {})
    within = sqrt(max(evidence.measure_sd**2 - sum(float(one.var()) for one in parts), 0.0))
    if even:
        means = np.array([evidence.wanted])
    else:
        moved = _offsets(evidence.sizes, moves)
        means = evidence.measure + reduce(np.add.outer, moved, np.zeros(1)).ravel()
    return _inside(means, within, evidence.lower, evidence.upper)


def share_good_of_other(joint: OtherJoint, change_mm: float) -> float:
    """The share of good ones of another joint when a size of it has moved."""
    mean = np.array([joint.measure + joint.slope * change_mm])
    return _inside(mean, joint.sd, joint.lower, joint.upper)


def _offsets(sizes: Iterable[SizeOfJoint], moves: Moves) -> list[NDArray[np.float64]]:
    """For each part, how far each of its cavities takes the measure from its mean.

    Sizes of one part come from one cavity and go together; parts meet in every pair of cavities.
    """
    parts: dict[str, dict[str, float]] = {}
    for size in sizes:
        middle = size_mean(size)
        cavities = parts.setdefault(size.part, {})
        for one in size.means:
            away = one.mean - middle + moves.get((size.size, one.cavity), 0.0)
            cavities[one.cavity] = cavities.get(one.cavity, 0.0) + size.slope * away
    return [np.array(list(one.values())) for one in parts.values()]


def pairs(sizes: Iterable[SizeOfJoint]) -> int:
    """How many combinations of cavities there are."""
    return int(np.prod([float(one.size) for one in _offsets(sizes, {})]))


def _inside(means: NDArray[np.float64], sd: float, lower: float | None, upper: float | None) -> float:
    low, high = -inf if lower is None else lower, inf if upper is None else upper
    if not sd > 0:
        return float(((means >= low) & (means <= high)).mean())
    return float((special.ndtr((high - means) / sd) - special.ndtr((low - means) / sd)).mean())

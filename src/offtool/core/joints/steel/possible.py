"""Refuses evidence that cannot be, by name, value and remedy."""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite

from offtool.core.joints.steel.evidence import JointSteel, JointSteelEvidence, SizeOfJoint
from offtool.core.joints.steel.good import MOST_PAIRS, pairs
from offtool.core.values import ImpossibleInput


def refuse_impossible(evidence: JointSteelEvidence) -> None:
    """Raise ImpossibleInput for the first thing that cannot be."""
    if not evidence.sizes:
        raise ImpossibleInput("sizes", 0, "", "a joint needs at least one size", "name its sizes")
    for name, value, least in _numbers(evidence):
        if not isfinite(value) or value < least:
            limit = "must be a finite number" if not isfinite(value) else f"must be at least {least:g}"
            raise ImpossibleInput(name, value, "", limit)
    share = evidence.true_share
    if not 0 < share.low <= 1 <= share.high:
        raise ImpossibleInput(
            "true_share", share.low, "", "must be above 0, and reach from below 1 to above it"
        )
    _in_order("lower", evidence.lower, evidence.upper)
    for size in evidence.sizes:
        _refuse_size(size)
    if pairs(evidence.sizes) > MOST_PAIRS:
        raise ImpossibleInput("sizes", pairs(evidence.sizes), "", f"more than {MOST_PAIRS} pairs of cavities")


def _numbers(evidence: JointSteelEvidence) -> Iterator[tuple[str, float, float]]:
    """Every number with its least value."""
    any_number = float("-inf")
    yield "measure", evidence.measure, any_number
    yield "wanted", evidence.wanted, any_number
    yield "measure_sd", evidence.measure_sd, 0.0
    yield "measure_uncertainty", evidence.measure_uncertainty, 0.0
    for size in evidence.sizes:
        yield f"slope of {size.size}", size.slope, any_number
        yield f"sd of {size.size}", size.sd, 0.0
        for mean in size.means:
            yield f"mean of {size.size} in {mean.cavity}", mean.mean, any_number
        for steel in size.steel:
            yield f"factor of {steel.feature}", steel.factor, any_number
            yield f"allowance of {steel.feature}", steel.allowance_mm, 0.0
            yield f"step of {steel.feature}", steel.step_mm, 0.0
        for joint in size.other_joints:
            yield f"slope of {joint.joint}", joint.slope, any_number
            yield f"sd of {joint.joint}", joint.sd, 0.0


def _refuse_size(size: SizeOfJoint) -> None:
    if not size.means:
        raise ImpossibleInput("means", 0, "", f"{size.size} has no mean", "measure it in every cavity")
    _in_order(f"lower of {size.size}", size.lower, size.upper)
    cavities = {one.cavity for one in size.means}
    for steel in size.steel:
        _refuse_steel(steel)
        if steel.cavity not in cavities:
            raise ImpossibleInput(
                "steel", steel.cavity, "", f"{size.size} has no mean in that cavity", "measure it there"
            )


def _refuse_steel(steel: JointSteel) -> None:
    if steel.factor == 0:
        raise ImpossibleInput(
            f"factor of {steel.feature}", 0.0, "mm/mm", "must not be zero", "leave out what does not move it"
        )
    if not steel.step_mm > 0:
        raise ImpossibleInput(f"step of {steel.feature}", steel.step_mm, "mm", "must be above 0")
    if not -0.2 < steel.shrinkage < 0.2:
        raise ImpossibleInput(
            f"shrinkage of {steel.feature}",
            steel.shrinkage,
            "",
            "must be above -0.2 and below 0.2",
            "give a fraction, not per cent",
        )


def _in_order(name: str, low: float | None, high: float | None) -> None:
    if low is not None and high is not None and not low < high:
        raise ImpossibleInput(name, low, "", f"must be below {high:g}", "swap or correct them")

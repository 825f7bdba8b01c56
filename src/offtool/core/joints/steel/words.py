"""The choice of steel in plain words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from offtool.core.joints.steel.evidence import JointSteelEvidence
from offtool.core.joints.steel.result import (
    AlsoMoved,
    OtherJointAfter,
    SizeDemand,
    SteelAmount,
    Stop,
)

ENOUGH_GOOD = 0.95
"""Share of good joints below which the spread is said to be too wide; common practice, no source."""


def reasons_of(
    demands: Sequence[SizeDemand],
    amounts: Sequence[SteelAmount],
    also: Iterable[AlsoMoved],
    joints: Iterable[OtherJointAfter],
    cut_share: float,
) -> tuple[str, ...]:
    """Why a way is as it is, one sentence each."""
    said = [_size_words(one) for one in demands]
    said += [_amount_words(group) for group in _alike(amounts)]
    said += _stop_words(amounts, cut_share)
    said += [_also_words(one) for one in also if one.leaves]
    said += [
        f"{one.joint} has this size too: good joints there {_pct(one.good_before)} before, "
        f"{_pct(one.good_after)} after" + (", which harms it" if one.harmed else "")
        for one in joints
    ]
    return tuple(said)


def too_wide(evidence: JointSteelEvidence, good_at_best: float) -> tuple[str, ...]:
    """What steel cannot mend, and what could."""
    if good_at_best >= ENOUGH_GOOD:
        return ()
    widest = max(evidence.sizes, key=lambda one: abs(one.slope) * one.sd)
    helps = ["pieces paired by size"]
    if widest.sd > 0:
        helps.append(f"less spread of {widest.size}, which moves this joint most")
    if evidence.unit != "mm":
        helps.append("a softer joint: a slit socket, a clip, a softer partner")
    if not evidence.friction_known:
        helps.append("a measured friction in place of a range")
    return (
        f"with every mean where the joint stands best {_pct(good_at_best)} of joints would be good, the "
        "spread is too wide for any steel; what helps is " + "; ".join(helps),
    )


def no_way(evidence: JointSteelEvidence, to_gain: float, least_gain: float) -> str:
    """Why no steel is proposed."""
    if not any(one.steel for one in evidence.sizes):
        return "no steel feature is named for any size of this joint"
    if not any(one.slope and one.steel for one in evidence.sizes):
        return (
            "no size with a steel feature moves this joint where it stands: give the clearance as its measure"
        )
    if to_gain < least_gain:
        return "the joint stands where steel can bring it: there is nothing to gain"
    return "no amount in the toolmaker's step makes enough joints better"


def is_loose(evidence: JointSteelEvidence) -> bool:
    """Whether the mean lies on the loose side of where it should."""
    below = evidence.measure < evidence.wanted
    return below if evidence.loose_is == "low" else evidence.measure > evidence.wanted


def _size_words(one: SizeDemand) -> str:
    way = "larger" if one.target > one.mean else "smaller"
    named = f"{one.size} ({one.role.replace('_', ' ')})"
    change = f"{named} gets {way}: its mean goes from {one.mean:.3f} to {one.after:.3f} mm"
    return change if abs(one.after - one.target) < 5e-4 else f"{change}, on the way to {one.target:.3f}"


def _alike(amounts: Sequence[SteelAmount]) -> list[list[SteelAmount]]:
    """Cavities with the same amount on the same feature."""
    groups: dict[tuple[str, float], list[SteelAmount]] = {}
    for one in amounts:
        groups.setdefault((one.feature, round(one.amount_mm, 6)), []).append(one)
    return list(groups.values())


def _amount_words(group: Sequence[SteelAmount]) -> str:
    amount = group[0].amount_mm
    verb, where = ("remove", "from") if amount > 0 else ("add", "to")
    return f"{verb} {abs(amount):g} mm {where} {group[0].feature}, {_cavities(group)}"


def _stop_words(amounts: Sequence[SteelAmount], cut_share: float) -> list[str]:
    said = []
    for stop in (Stop.ALLOWANCE, Stop.FAR_LIMIT):
        if stopped := [one for one in amounts if one.stop is stop]:
            said.append(f"{_cavities(stopped)}: {stop}")
    if any(one.stop is Stop.PART_OF_THE_WAY for one in amounts):
        said.append(
            f"{100 * cut_share:.0f} % of the way only, because the friction is not known: measure the torque "
            "of the next joints before the rest is removed"
        )
    return said


def _also_words(one: AlsoMoved) -> str:
    return (
        f"{one.size} comes along in cavity {one.cavity}, from {one.before:.3f} to {one.after:.3f} mm, "
        "out of its limits"
    )


def _cavities(group: Iterable[SteelAmount]) -> str:
    names = [one.cavity for one in group]
    return f"cavity {names[0]}" if len(names) == 1 else f"cavities {', '.join(names)}"


def _pct(share: float) -> str:
    return f"{100 * share:.0f} %"

"""Which steel to change so that a joint stands where most of it is good."""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt

from offtool.core.formulas import formula
from offtool.core.joints.steel import words
from offtool.core.joints.steel.amounts import Cutter
from offtool.core.joints.steel.evidence import JointSteelEvidence, SizeOfJoint
from offtool.core.joints.steel.good import share_good, share_good_of_other, size_mean
from offtool.core.joints.steel.possible import refuse_impossible
from offtool.core.joints.steel.result import (
    AlsoMoved,
    JointSteelChoice,
    OtherJointAfter,
    SizeDemand,
    SteelAmount,
    SteelCandidate,
    Stop,
)
from offtool.core.values import Caution, Range

CUT_SHARE = 0.7
"""How far to go at first while the friction is not known; common practice, no source (60 to 80 %)."""
OVERSHOOT_PROBABILITY = 0.01
LEAST_GAIN = 0.02
"""Share of joints that must become good, else steel is left alone."""
NEARER = 0.2
"""Or by how much of its way the mean must come nearer, where it is so far off that few become good yet."""
HARM = 0.02
"""Share of another joint's good ones whose loss counts as harm."""
OTHERS_SDS = 2.0
"""Standard deviations of the other sizes that are kept clear of the limits by the ends of a demand."""

_Part = tuple[SizeOfJoint, str, float, list[SteelAmount]]
"""A size, the feature that moves it, the change of the measure asked of it, and its steel."""


@formula(
    limits={
        "evidence": Range(meaning="the joint, its sizes, the steel that moves them and what hangs on them"),
        "cut_share": Range(
            meaning="how far to go at first while the friction is not known",
            above=0,
            at_most=1,
            usual=(0.6, 0.8),
            source="common practice, no source",
        ),
        "overshoot_probability": Range(
            meaning="risk that a cavity's mean measure may run of passing the far limit", above=0, below=0.5
        ),
        "cut_sd_mm": Range(
            meaning="standard deviation of what is cut about what was asked", unit="mm", at_least=0
        ),
    },
    example={
        "evidence": {
            "measure": 0.02,
            "wanted": 0.08,
            "measure_sd": 0.015,
            "lower": 0.03,
            "upper": 0.15,
            "friction_known": False,
            "true_share": {"low": 0.75, "high": 1.25},
            "sizes": [
                {
                    "role": "peg_diameter",
                    "size": "peg",
                    "part": "arm",
                    "slope": 2.0,
                    "sd": 0.001,
                    "means": [{"cavity": "1", "mean": 3.985}, {"cavity": "2", "mean": 3.981}],
                    "steel": [
                        {"feature": "peg cavity", "cavity": "1", "factor": 1.0, "allowance_mm": 0.05},
                        {"feature": "peg cavity", "cavity": "2", "factor": 1.0, "allowance_mm": 0.05},
                    ],
                },
                {
                    "role": "socket_bore",
                    "size": "bore",
                    "part": "body",
                    "slope": -2.0,
                    "sd": 0.001,
                    "means": [{"cavity": "1", "mean": 3.970}],
                    "steel": [
                        {"feature": "bore pin", "cavity": "1", "factor": -1.0, "allowance_mm": 0.02},
                    ],
                },
            ],
        }
    },
    source="straight lines about where the joint stands, normal pairs; compared in the tests with every "
    "possible cut; our own",
)
def choose_joint_steel(
    evidence: JointSteelEvidence,
    *,
    cut_share: float = CUT_SHARE,
    overshoot_probability: float = OVERSHOOT_PROBABILITY,
    cut_sd_mm: float = 0.005,
) -> JointSteelChoice:
    """Which steel to change, and by how much, so that a joint that is off stands where most are good.

    Amount in a cavity = (target - mean) / (factor (1 - S)), target = mean of the size + (wanted - measure) /
    slope, to the nearest step, no more than the steel-safe allowance, and no more than leaves the far limit a
    small risk. While the friction is not known only `cut_share` of the way is cut. Where one size's allowance
    is too short, the rest goes to another. Removal that harms nothing comes first, then the fewest places.

    Returns: JointSteelChoice. Raises: ImpossibleInput for evidence that cannot be.

    Holds when: the measure moves in a straight line with the sizes over the amounts asked. A torque does
    while there is interference; where there is none, the clearance is the measure to give.

    Example: a peg with 2 N·m for each mm and 0.06 N·m too loose: 0.03 mm larger (by hand).
    """
    refuse_impossible(evidence)
    share = 1.0 if evidence.friction_known else cut_share
    cutter = Cutter(
        evidence=evidence,
        cut_share=share,
        cut_sd_mm=cut_sd_mm,
        overshoot_probability=overshoot_probability,
    )
    good_now = share_good(evidence, {})
    good_at_best = share_good(evidence, {}, even=True)
    found = [_candidate(cutter, parts, good_now) for parts in _ways(cutter)]
    helping = sorted((one for one in found if _helps(one, evidence, good_at_best)), key=_rank)
    why_not = words.too_wide(evidence, good_at_best)
    if not helping:
        why_not = (words.no_way(evidence, good_at_best - good_now, LEAST_GAIN), *why_not)
    return JointSteelChoice(
        candidates=tuple(helping),
        good_now=good_now,
        good_at_best=good_at_best,
        why_not=why_not,
        evidence=evidence,
        cut_share=share,
        cautions=_cautions(evidence, helping),
    )


def _ways(cutter: Cutter) -> list[list[_Part]]:
    """Each size alone, removing and adding; and one that is short, with another for the rest."""
    change = cutter.evidence.wanted - cutter.evidence.measure
    movable = [
        (size, feature)
        for size in cutter.evidence.sizes
        if size.slope
        for feature in dict.fromkeys(one.feature for one in size.steel)
    ]
    ways: list[list[_Part]] = []
    for size, feature in movable:
        for adding in (False, True):
            if amounts := cutter.amounts(size, feature, change, adding=adding):
                ways.append([(size, feature, change, amounts)])
                if any(one.stop is Stop.ALLOWANCE for one in amounts):
                    others = [one for one in movable if one[0] is not size]
                    ways += _split(cutter, ways[-1][0], change, others)
    return ways


def _split(
    cutter: Cutter, first: _Part, change: float, others: Sequence[tuple[SizeOfJoint, str]]
) -> list[list[_Part]]:
    """The rest of the way by a second size; where the friction is not known, of the part meant for now."""
    size, feature, _, amounts = first
    taken = size.slope * _shift(size, amounts)
    rest = change - taken / cutter.cut_share
    ways = []
    for other, its_feature in others:
        if found := cutter.amounts(other, its_feature, rest, adding=False):
            ways.append([(size, feature, taken, amounts), (other, its_feature, rest, found)])
    return ways


def _shift(size: SizeOfJoint, amounts: Sequence[SteelAmount]) -> float:
    """How far the size's mean over its cavities moves."""
    return sum(one.after - one.before for one in amounts) / len(size.means)


def _candidate(cutter: Cutter, parts: Sequence[_Part], good_now: float) -> SteelCandidate:
    evidence = cutter.evidence
    amounts = [one for part in parts for one in part[3]]
    moves = {(size.size, one.cavity): one.after - one.before for size, _, _, found in parts for one in found}
    change = sum(size.slope * _shift(size, found) for size, _, _, found in parts)
    demands = [_demand(evidence, part, change) for part in parts]
    also = [moved for part in parts for moved in _also(part)]
    joints = [after for size, _, _, found in parts for after in _other_joints(size, _shift(size, found))]
    adds = any(one.amount_mm < 0 for one in amounts)
    return SteelCandidate(
        demands=tuple(demands),
        amounts=tuple(amounts),
        also_moved=tuple(also),
        other_joints=tuple(joints),
        measure_after=evidence.measure + change,
        good_before=good_now,
        good_after=share_good(evidence, moves),
        adds_steel=adds,
        reaches=_reaches(evidence, parts, change),
        harms=any(one.leaves for one in also) or any(one.harmed for one in joints),
        reasons=(
            *words.reasons_of(demands, amounts, also, joints, cutter.cut_share),
            *_outside_drawing([part[0] for part in parts], demands),
            *(_adding_words(parts) if adds else ()),
        ),
    )


def _reaches(evidence: JointSteelEvidence, parts: Sequence[_Part], change: float) -> bool:
    """Whether nothing stops the last size short, and the mean moves the way it should."""
    stopped = any(one.stop in (Stop.ALLOWANCE, Stop.FAR_LIMIT) for one in parts[-1][3])
    right_way = change * (evidence.wanted - evidence.measure) >= 0
    return right_way and not stopped


def _demand(evidence: JointSteelEvidence, part: _Part, change: float) -> SizeDemand:
    size, _, asked, amounts = part
    mean = size_mean(size)
    shift = _shift(size, amounts)
    target = mean + asked / size.slope
    lower, upper = _ends(evidence, size, evidence.measure + change - size.slope * shift)
    return SizeDemand(
        size=size.size,
        role=size.role,
        mean=mean,
        target=target,
        after=mean + shift,
        lower=None if lower is None else min(lower, target),
        upper=None if upper is None else max(upper, target),
    )


def _ends(evidence: JointSteelEvidence, size: SizeOfJoint, base: float) -> tuple[float | None, float | None]:
    """Between which sizes of one piece the joint is good while the other sizes scatter; `base` is the measure
    with this size at its mean of today."""
    mean = size_mean(size)
    own = size.sd**2 + sum((one.mean - mean) ** 2 for one in size.means) / len(size.means)
    kept = OTHERS_SDS * sqrt(max(evidence.measure_sd**2 - size.slope**2 * own, 0.0))
    low = None if evidence.lower is None else mean + (evidence.lower + kept - base) / size.slope
    high = None if evidence.upper is None else mean + (evidence.upper - kept - base) / size.slope
    if size.slope < 0:
        low, high = high, low
    return (None, None) if low is not None and high is not None and low >= high else (low, high)


def _also(part: _Part) -> list[AlsoMoved]:
    """The sizes that come along, cavity by cavity."""
    size, feature, _, amounts = part
    steel = {one.cavity: one for one in size.steel if one.feature == feature}
    found = []
    for one in amounts:
        here = steel[one.cavity]
        for other in here.also:
            after = other.mean + other.factor * (1 - here.shrinkage) * one.amount_mm
            past = _past(after, other.lower, other.upper)
            found.append(
                AlsoMoved(
                    size=other.size,
                    cavity=one.cavity,
                    before=other.mean,
                    after=after,
                    lower=other.lower,
                    upper=other.upper,
                    leaves=past > _past(other.mean, other.lower, other.upper),
                )
            )
    return found


def _past(value: float, lower: float | None, upper: float | None) -> float:
    """How far a value lies outside its limits; 0 inside."""
    below = 0.0 if lower is None else lower - value
    above = 0.0 if upper is None else value - upper
    return max(below, above, 0.0)


def _other_joints(size: SizeOfJoint, shift: float) -> list[OtherJointAfter]:
    found = []
    for joint in size.other_joints:
        before, after = share_good_of_other(joint, 0.0), share_good_of_other(joint, shift)
        found.append(
            OtherJointAfter(
                joint=joint.joint, good_before=before, good_after=after, harmed=after < before - HARM
            )
        )
    return found


def _outside_drawing(sizes: Sequence[SizeOfJoint], demands: Sequence[SizeDemand]) -> list[str]:
    return [
        f"{one.size} would stand outside the limits of its drawing: the drawing has to change with it"
        for size, one in zip(sizes, demands, strict=True)
        if _past(one.target, size.lower, size.upper) > 0
    ]


def _adding_words(parts: Sequence[_Part]) -> list[str]:
    by_pin = all(one.can_add for size, feature, _, _ in parts for one in size.steel if one.feature == feature)
    how = "a new pin or insert" if by_pin else "welding, and cutting again"
    return [f"steel has to be added: {how}"]


def _helps(one: SteelCandidate, evidence: JointSteelEvidence, good_at_best: float) -> bool:
    """Whether enough joints become good, or the mean comes enough nearer to where they would."""
    gain = one.good_after - one.good_before
    if gain >= LEAST_GAIN:
        return True
    before, after = abs(evidence.wanted - evidence.measure), abs(evidence.wanted - one.measure_after)
    worth_it = good_at_best - one.good_before >= LEAST_GAIN and gain >= 0
    return worth_it and after <= (1 - NEARER) * before


def _rank(one: SteelCandidate) -> tuple[float, ...]:
    """Best first: nothing added, nothing harmed, all the way; then the fewest places and features."""
    features = len({amount.feature for amount in one.amounts})
    steel = sum(abs(amount.amount_mm) for amount in one.amounts)
    return (one.adds_steel, one.harms, not one.reaches, one.cuts, features, -round(one.good_after, 3), steel)


def _cautions(evidence: JointSteelEvidence, helping: Sequence[SteelCandidate]) -> tuple[Caution, ...]:
    said = []
    if words.is_loose(evidence) and any(not one.adds_steel for one in helping):
        said.append(
            "a loose joint is to be expected at first: pegs start small and sockets large, so that steel "
            "can be removed"
        )
    if helping and not helping[0].safe:
        said.append("no way removes steel within its allowance, all the way, and harms nothing else")
    if not evidence.friction_known:
        said.append(
            "the friction is a range: measure joints before the steel that cannot be put back is gone"
        )
    return tuple(Caution(one) for one in said)

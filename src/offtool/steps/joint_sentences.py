"""What is said of a joint: the verdict in a sentence, what to do in order of effect, what it rests on."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import ceil, isfinite, log10

from offtool.core.joints.assembled import AssembledJoint, FrictionEffect, Grade, GradeShare
from offtool.core.joints.steel import SteelCandidate
from offtool.core.values import Verdict
from offtool.handbook.terms import JointKind
from offtool.steps.findings import Action
from offtool.steps.joint_found import JointFound, JointWord
from offtool.steps.joint_verdict import GOOD_ASKED, is_asked, verdict_of
from offtool.steps.sentences import count, sentence

STEEL, READ, PAIRS, TRIAL = "steel", "read", "pairs", "trial"
"""Where the reader of an action goes on."""
LEAST_GAIN = 0.02
"""Share of joints that pairing must make good before it is worth keeping cavities apart; common practice."""
FRICTION_WEIGHS = 0.5
"""From this share of the pieces' own variance on, what is not known of friction is what to settle first."""
FEW_PARTS = 10
JOINTS_TO_MEASURE = 5
"""Joints a pair of cavities; common practice, no source."""
MOST_DECIMALS = 4

_SAYS = {
    Grade.LOOSE: "loose",
    Grade.TIGHT: "tight",
    Grade.OVERSTRAINED: "strained beyond what they bear",
}
_RELIEF: Mapping[str, str] = {
    JointKind.SNAP: "less undercut, or a longer or thinner arm",
    JointKind.BOSS: "a larger hole, or a smaller screw",
}


def decimals_of_measure(lower: float | None, upper: float | None, assembled: AssembledJoint | None) -> int:
    """Decimals that show a fiftieth of what is asked or seen, and the least in two digits."""
    width = upper - lower if lower is not None and upper is not None else 0.0
    if not width > 0 and assembled is not None:
        width = assembled.mix.middle_high - assembled.mix.middle_low
    if not width > 0 or not isfinite(width):
        return 3
    finest = width / 50 if not lower or lower < 0 else min(width / 50, lower / 5)
    return min(max(ceil(-log10(finest)), 0), MOST_DECIMALS)


def headline(found: JointFound) -> str:
    """The verdict in a sentence, or two where it is expected."""
    assembled = found.assembled
    if assembled is None:
        return missing_headline(found)
    name, mix = _name(found), assembled.mix
    if not is_asked(assembled):
        what = "least is" if found.upper.value is not None else "limit is"
        if found.word in (JointWord.OVERSTRAINED, JointWord.TIGHT):
            grade = Grade.OVERSTRAINED if found.word is JointWord.OVERSTRAINED else Grade.TIGHT
            said = f"{name} is {found.word}: {share(mix.of(grade))} of joints are {_SAYS[grade]}."
            return f"{said} No {what} asked of it yet."
        return f"{name}: no {what} asked of it yet, so nothing is loose."
    if found.word is JointWord.GOOD:
        fresh = " while fresh" if found.good_after_1000h is not None else ""
        said = f"{name} holds{fresh}: {share(mix.good)} of joints are good."
        return said + _later(found)
    if found.word is JointWord.NOT_SHOWN and verdict_of(assembled) is Verdict.HOLDS:
        return f"{name} should hold by its sizes, but joints that were measured do not."
    if found.word is JointWord.NOT_SHOWN:
        return f"{name} is not shown: {share(mix.good)} of joints would be good, {asked_share()} are asked."
    if found.word is JointWord.MIXED:
        said = f"{name} is loose in some pairs and tight in others: {share(mix.good)} of joints are good."
    else:
        grade = {
            JointWord.LOOSE: Grade.LOOSE,
            JointWord.TIGHT: Grade.TIGHT,
            JointWord.OVERSTRAINED: Grade.OVERSTRAINED,
        }[found.word]
        said = f"{name} is {found.word}: {share(mix.of(grade))} of joints are {_SAYS[grade]}."
    if found.loose_at_first:
        said += " That is how steel-safe tools start: peg small, socket large."
    elif found.steel_left:
        said += " Steel is left that tightens it."
    return said


def _later(found: JointFound) -> str:
    """What time leaves of it, where that is less than is asked."""
    later = found.good_after_1000h
    if later is None or later.low >= GOOD_ASKED:
        return ""
    return f" After 1,000 h {_low(later.low)} to {per_cent_of(later.high)} are."


def missing_headline(found: JointFound) -> str:
    """What keeps the joint from being judged."""
    first = found.missing[0] if found.missing else "its sizes are not known"
    return f"{_name(found)} cannot be judged yet: {first}."


def headline_of_all(joints: Sequence[JointFound]) -> str:
    """How many joints hold."""
    if not joints:
        return "No joint is named yet: name the first, and the sizes it is made of."
    if len(joints) == 1:
        return joints[0].headline
    good = sum(one.word is JointWord.GOOD for one in joints)
    if good == len(joints):
        return f"All {len(joints)} joints hold."
    said = [f"{good} of {count(len(joints), 'joint')} {'holds' if good == 1 else 'hold'}"]
    for word in (JointWord.LOOSE, JointWord.TIGHT, JointWord.MIXED, JointWord.OVERSTRAINED):
        of_word = sum(one.word is word for one in joints)
        if of_word:
            said.append(f"{of_word} {'is' if of_word == 1 else 'are'} {word}")
    open_ = sum(one.word in (JointWord.NOT_SHOWN, JointWord.NOT_MEASURED) for one in joints)
    if open_:
        said.append(f"{open_} {'is' if open_ == 1 else 'are'} not shown yet")
    return ", ".join(said) + "."


def share(found: GradeShare) -> str:
    """92 % (64 to 99 %); the ends alone are left out where they say the same."""
    ends = _low(found.interval.low), per_cent_of(found.interval.high)
    said = per_cent_of(found.share)
    return said if {f"{ends[0]} %", ends[1]} == {said} else f"{said} ({ends[0]} to {ends[1]})"


def per_cent_of(share_: float) -> str:
    """A share in whole per cent, with a decimal near both ends; never 0 % or 100 %."""
    if share_ <= 0.0005:
        return "under 0.1 %"
    if share_ >= 0.9995:
        return "over 99.9 %"
    return f"{100 * share_:.1f} %" if share_ < 0.05 or share_ > 0.95 else f"{100 * share_:.0f} %"


def _low(share_: float) -> str:
    return per_cent_of(share_).removesuffix(" %")


def asked_share() -> str:
    return f"{100 * GOOD_ASKED:g} %"


def _name(found: JointFound) -> str:
    named = found.name or found.joint
    return named[:1].upper() + named[1:]


def actions(found: JointFound) -> Iterator[Action]:
    """What to do, in order of effect."""
    yield from (
        Action(do=sentence(one), because="Nothing is said of the joint without it.", leads_to=TRIAL)
        for one in found.missing
    )
    assembled = found.assembled
    if assembled is None:
        return
    yield from _overstrained(found, assembled)
    if not is_asked(assembled):
        yield Action(
            do="Say what the joint must do.",
            because="Give its least and most, or the weight it must hold up and the lever.",
            leads_to="",
        )
        return
    if verdict_of(assembled) is Verdict.HOLDS:
        yield from _measured(found)
    else:
        yield from _friction_first(found, assembled)
        yield from _steel(found)
        yield from _measured(found)
        yield from _pairing(assembled)
        yield from _few_parts(found)
    yield from _tests(found)


def _overstrained(found: JointFound, assembled: AssembledJoint) -> Iterator[Action]:
    """What cracks comes before what is loose."""
    if found.word is JointWord.OVERSTRAINED:
        yield Action(
            do=f"Take strain off the joint: {_RELIEF.get(found.kind, 'less interference')}.",
            because=f"{per_cent_of(assembled.mix.overstrained.share)} of joints are "
            f"{_SAYS[Grade.OVERSTRAINED]}: they may whiten or crack, at once or after weeks.",
            leads_to=STEEL if found.steel is not None and found.steel.candidates else "",
        )


def _measured(found: JointFound) -> Iterator[Action]:
    """What joints that were measured say, before anything that was worked out."""
    compared, droop = found.compared, found.droop
    if compared is not None and compared.verdict is Verdict.FAILS:
        yield Action(do="Look at the joints that were measured.", because=_failing(found), leads_to=READ)
    if droop is not None and droop.verdict is Verdict.FAILS:
        yield Action(
            do="Look at the limbs that sink.",
            because=f"They sink {droop.mean_deg:.0f} deg in the mean, {droop.worst_deg:.0f} at worst; "
            f"{droop.shown.limit:g} is usual (common practice).",
            leads_to=READ,
        )


def _failing(found: JointFound) -> str:
    """Which condition does not keep its limits, or changed too much."""
    said = []
    for one in found.compared.conditions if found.compared is not None else ():
        for limit in one.limits:
            if limit.verdict is Verdict.FAILS:
                limit_said = f"{limit.side} limit {limit.limit:.{found.decimals}f} {found.unit}"
                mean = f"mean {one.mean:.{found.decimals}f}"
                said.append(f"{one.condition} ones do not keep the {limit_said} ({mean})")
        if one.change is not None and one.change.verdict is Verdict.FAILS:
            said.append(f"{one.condition} ones changed by {one.change.change_pct:.0f} %")
    return sentence("; ".join(said) or "they do not keep what is asked")


def _friction_first(found: JointFound, assembled: AssembledJoint) -> Iterator[Action]:
    effect = assembled.friction_effect
    if effect is None or found.friction is None or found.friction.is_learned:
        return
    if effect.beside_variance >= FRICTION_WEIGHS and _could_settle(found, effect):
        yield Action(
            do=f"Measure the {found.measure} of {JOINTS_TO_MEASURE} joints each of two pairs of cavities.",
            because=(
                f"Friction of {effect.friction.low:g} to {effect.friction.high:g} moves the mean from "
                f"{effect.mean_at_low:.{found.decimals}f} to {effect.mean_at_high:.{found.decimals}f} "
                f"{found.unit}; what is measured settles it."
            ),
            leads_to=READ,
        )


def _could_settle(found: JointFound, effect: FrictionEffect) -> bool:
    """Whether knowing the friction could change what is said: not where the mean is far off at any."""
    least, most = found.lower.value, found.upper.value
    ends = sorted((effect.mean_at_low, effect.mean_at_high))
    return not (least is not None and ends[1] < least) and not (most is not None and ends[0] > most)


def _steel(found: JointFound) -> Iterator[Action]:
    if found.steel is None:
        return
    if any(not one.dropped for one in found.demands):
        yield Action(
            do="Correct the tool: the demand on its sizes stands.",
            because="The correction aims at what this joint asks.",
            leads_to=STEEL,
        )
        return
    if found.steel.candidates:
        best = found.steel.candidates[0]
        yield Action(
            do=f"Ask for {_demanded(best)}.",
            because=sentence(
                f"{_at_worst(found)}{per_cent_of(best.good_before)} of joints are good now, "
                f"{per_cent_of(best.good_after)} after; "
                + ("steel is removed within its allowance" if best.safe else _but(best))
                + ("; its drawing has to change with it" if _past_drawing(best) else "")
            ),
            leads_to=STEEL,
        )
    elif found.steel.why_not:
        yield Action(
            do="Leave the steel: it does not mend this joint.",
            because=sentence("; ".join(found.steel.why_not)),
            leads_to="",
        )


def _at_worst(found: JointFound) -> str:
    """Steel is weighed at the friction that suits the joint least, where it is not known."""
    is_range = found.friction is not None and not found.friction.is_learned and found.unit == "N·m"
    return "at the friction that suits it least " if is_range else ""


def _past_drawing(best: SteelCandidate) -> bool:
    return any("limits of its drawing" in one for one in best.reasons)


def _demanded(best: SteelCandidate) -> str:
    return " and ".join(
        f"{one.size} {'larger' if one.after > one.mean else 'smaller'}, {one.after:.3f} mm in the mean"
        for one in best.demands
    )


def _but(best: SteelCandidate) -> str:
    if best.adds_steel:
        return "but steel must be added"
    if best.harms:
        return "but another size or joint suffers"
    return "but the allowance ends before the joint stands best"


def _pairing(assembled: AssembledJoint) -> Iterator[Action]:
    pairing = assembled.pairing
    if pairing is None or pairing.gain < LEAST_GAIN or not pairing.interval.low > 0:
        return
    used = [one for one in pairing.flows if one.share > 0]
    named = ", ".join(f"{one.first} with {one.second}" for one in used[:4])
    more = " …" if len(used) > 4 else ""
    first, second = assembled.parts
    yield Action(
        do=f"Keep the cavities of {first} and {second} apart and pair them: {named}{more}.",
        because=f"{per_cent_of(pairing.good)} good in place of {per_cent_of(pairing.good_at_random)}, "
        "until the steel is cut.",
        leads_to=PAIRS,
    )


def _few_parts(found: JointFound) -> Iterator[Action]:
    few = [one for one in found.sizes if one.is_measured and min(c.parts for c in one.cavities) < FEW_PARTS]
    if few and found.verdict is Verdict.NOT_SHOWN:
        named = ", ".join(one.size for one in few)
        yield Action(
            do=f"Measure {FEW_PARTS} parts a cavity of {named}.",
            because="Fewer leave the share of good joints open.",
            leads_to=TRIAL,
        )


def _tests(found: JointFound) -> Iterator[Action]:
    counting = [one for one in found.tests if not one.set_aside]
    if counting and all(one.is_stale for one in counting):
        yield Action(
            do="Measure the joint again.",
            because="Steel was cut since the pieces that were measured.",
            leads_to=READ,
        )
    if found.learned is not None and found.learned.agrees is Verdict.FAILS:
        given = found.learned.given
        span = f"{given.low:g} to {given.high:g}" if given else "the handbook's"
        yield Action(
            do="Look for what else holds or frees the joint.",
            because=f"The measured torques need a friction of {found.learned.friction:.2f}, usual is {span}: "
            "either the friction or the interference is not what it was taken for.",
            leads_to=READ,
        )
    later = found.good_after_1000h
    if later is not None and later.low < GOOD_ASKED and found.verdict is Verdict.HOLDS:
        if found.relaxation is None:
            yield Action(
                do="Measure the torque after an hour, a day and a week.",
                because=f"By the handbook {_low(later.low)} to {per_cent_of(later.high)} of joints are still "
                "good after 1,000 h.",
                leads_to=READ,
            )
        else:
            yield Action(
                do="Give the joint a reserve for time: more torque now, or a material that loosens less.",
                because=f"By its own readings {_low(later.low)} to {per_cent_of(later.high)} of joints are "
                "still good after 1,000 h.",
                leads_to=STEEL,
            )
    if not counting and found.unit == "N·m" and found.verdict is Verdict.HOLDS:
        yield Action(
            do="Measure some joints.",
            because="So far the torque is worked out from sizes only.",
            leads_to=READ,
        )

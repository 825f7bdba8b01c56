"""How a joint stands: its word and its verdict, from the shares of good, loose, tight and overstrained."""

from __future__ import annotations

from offtool.core.joints.assembled import AssembledJoint, AssembledShares, Bar
from offtool.core.joints.evidence import Span
from offtool.core.values import Verdict
from offtool.handbook.joint_kinds import JOINT_KINDS
from offtool.steps.joint_found import JointWord

GOOD_ASKED = 0.975
"""Share of joints that must be good: an acceptable quality of 2.5, usual for major faults of toys (common
practice, no source)."""
ONE_SIDED = 4.0
"""So many times more loose than tight joints are called loose; common practice, no source."""


def verdict_of(assembled: AssembledJoint | None) -> Verdict:
    """Holds where the interval of the share of good joints lies above what is asked, fails where below.

    Where nothing is asked of the joint nothing is shown: it can fail only by what the pieces bear.
    """
    if assembled is None:
        return Verdict.NOT_SHOWN
    found = verdict_of_shares(assembled.mix)
    return found if is_asked(assembled) or found is Verdict.FAILS else Verdict.NOT_SHOWN


def is_asked(assembled: AssembledJoint) -> bool:
    """Whether anything is asked that a loose joint would miss.

    A joint that must hold by friction needs a least: with a most alone one that turns freely would be good.
    """
    if JOINT_KINDS[assembled.kind].uses_friction:
        return assembled.lower is not None
    return assembled.lower is not None or assembled.upper is not None


def good_after(assembled: AssembledJoint, left: Span) -> Span | None:
    """The share of joints still good when only so much of each torque is left; None where no least is asked.

    Read off the bars of the mix; what is strained beyond what it bears does not become good by loosening.
    """
    least = assembled.lower
    if least is None or not left.low > 0:
        return None
    low, high = (_still_good(assembled, least / share) for share in (left.low, left.high))
    return Span(low=min(low, high), high=max(low, high))


def _still_good(assembled: AssembledJoint, least: float) -> float:
    """Good now, and tight now, above this."""
    return min(sum(_above(bar, least) * (bar.good + bar.tight) for bar in assembled.histogram), 1.0)


def _above(bar: Bar, least: float) -> float:
    """The part of a bar above a value, its joints spread evenly over it."""
    width = bar.high - bar.low
    return min(max((bar.high - least) / width, 0.0), 1.0) if width > 0 else float(bar.low >= least)


def verdict_of_shares(shares: AssembledShares) -> Verdict:
    """The same for one pair of cavities, or for all of them mixed."""
    good = shares.good.interval
    if good.low >= GOOD_ASKED:
        return Verdict.HOLDS
    return Verdict.FAILS if good.high < GOOD_ASKED else Verdict.NOT_SHOWN


def word_of(assembled: AssembledJoint | None) -> JointWord:
    """One word for the mix: what most of the joints that are not good are."""
    if assembled is None:
        return JointWord.NOT_MEASURED
    if verdict_of(assembled) is Verdict.HOLDS:
        return JointWord.GOOD
    if verdict_of(assembled) is Verdict.NOT_SHOWN:
        return JointWord.NOT_SHOWN
    mix = assembled.mix
    loose, tight, over = mix.loose.share, mix.tight.share, mix.overstrained.share
    if over >= max(loose, tight):
        return JointWord.OVERSTRAINED
    if loose >= ONE_SIDED * (tight + over):
        return JointWord.LOOSE
    return JointWord.TIGHT if tight + over >= ONE_SIDED * loose else JointWord.MIXED

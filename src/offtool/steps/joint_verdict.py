"""How a joint stands: its word and its verdict, from the shares of good, loose, tight and overstrained."""

from __future__ import annotations

from offtool.core.joints.assembled import AssembledJoint, AssembledShares
from offtool.core.values import Verdict
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
    is_asked = assembled.lower is not None or assembled.upper is not None
    return found if is_asked or found is Verdict.FAILS else Verdict.NOT_SHOWN


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

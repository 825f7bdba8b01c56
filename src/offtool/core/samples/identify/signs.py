"""What a sign says that needs no record of the tool, and what a tag says."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from offtool.core.samples.identify.capping import SOFT_CAP, TAG_CAP, capped
from offtool.core.samples.identify.hypotheses import Finding, Logs, Weight
from offtool.core.values import ImpossibleInput, nearest
from offtool.handbook.sample_signs import SIGNS, Sign
from offtool.handbook.terms import Stage

Shares = Mapping[str, Mapping[Stage, float]]
"""For each outcome of a sign, how often it is met at each stage."""
UNSURE = 0.5
"""How much of an unsure finding is taken for any outcome."""
LEAST_SHARE = 1e-4
ALIKE = 0.5
"""How far the parts of one piece say the same: what two parts show counts for one and a half. Our own."""
MOST_TOGETHER = 2.0
"""All parts of one piece together count for so many at most."""
TAG_RIGHT = 0.95
"""How often a tag is right; common practice, no source."""


def shares_of(sign: Sign) -> Shares:
    """The handbook's shares, outcome by outcome."""
    return {outcome: {stage: sign.at(stage)[outcome] for stage in Stage} for outcome in sign.outcomes}


def sign_finding(
    sign: Sign,
    outcome: str,
    stages: Sequence[Stage],
    *,
    shares: Shares | None = None,
    is_sure: bool = True,
    parts_looked_at: int = 1,
) -> Finding:
    """What a sign says of makes or occasions at these stages, and of none of these.

    log P(outcome | stage), softened by how many parts of the piece were looked at for the same sign (they
    are alike), then twenty to one at most.

    Returns: Finding. Raises: ImpossibleInput for an outcome that the sign does not have.
    """
    table = shares if shares is not None else shares_of(sign)
    if outcome not in table:
        raise ImpossibleInput(sign.code, outcome, "", "is no outcome of this sign", nearest(outcome, table))
    at = np.array([table[outcome].get(stage, 0.0) for stage in stages])
    if not is_sure:
        at = (1 - UNSURE) * at + UNSURE / len(table)
    logs = np.append(np.log(np.maximum(at, LEAST_SHARE)), -np.log(len(table)))
    alone = min(1 + ALIKE * (parts_looked_at - 1), MOST_TOGETHER) / parts_looked_at
    logs, was_capped = capped(logs * alone, SOFT_CAP**alone)
    return Finding(
        about=sign.code,
        found=outcome + ("" if is_sure else ", unsure"),
        weight=Weight.SOFT,
        log_likelihood=logs,
        source=sign.source,
        capped=was_capped,
    )


def sign_named(code: str) -> Sign:
    """The sign of the handbook. Raises ImpossibleInput for a name that is none."""
    if code not in SIGNS:
        raise ImpossibleInput("sign", code, "", "is no sign of the handbook", nearest(code, SIGNS))
    return SIGNS[code]


def tag_finding(about: str, says: str, matches: Sequence[bool], *, others: int) -> Finding:
    """What a tag says: right in 95 of 100, else any of the `others` that it might have named.

    Returns: Finding; it counts thirty to one at most.
    """
    wrong = (1 - TAG_RIGHT) / max(others, 1)
    logs: Logs = np.log(np.append(np.where(np.array(matches, dtype=bool), TAG_RIGHT, wrong), wrong))
    logs, was_capped = capped(logs, TAG_CAP)
    return Finding(about=about, found=says, weight=Weight.TAG, log_likelihood=logs, capped=was_capped)

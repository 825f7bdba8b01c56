"""Tests of the law that a piece stands or does not, without a load to compare: bite, blow, bending."""

from __future__ import annotations

from typing import Literal

from offtool.core.formulas import formula
from offtool.core.inspection.limits import CONFIDENCE
from offtool.core.pilot.safety.judged import MOST_PIECES, SHARE, ToyTestJudged, judged_by, not_known
from offtool.core.pilot.safety.tests import FROM_MONTHS, MARKET, TO_MONTHS, rows_for
from offtool.core.values import ImpossibleInput, Range
from offtool.handbook.toy_law import Market

HeldTest = Literal["impact", "bite", "flexure"]


@formula(
    limits={
        "survived": Range(meaning="pieces that were whole after the test", at_least=0, at_most=MOST_PIECES),
        "tried": Range(meaning="pieces that were tried as the law says", at_least=1, at_most=MOST_PIECES),
        "test": Range(meaning="which test"),
        "market": MARKET,
        "from_months": FROM_MONTHS,
        "share": SHARE,
        "to_months": TO_MONTHS,
        "confidence": CONFIDENCE,
    },
    example={
        "survived": 12,
        "tried": 12,
        "test": "bite",
        "market": "US",
        "from_months": 36,
        "share": 0.9,
        "to_months": 96,
    },
    source="16 CFR 1500.51 to 1500.53, EN 71-1; bound: Clopper and Pearson 1934, Biometrika 26:404",
)
def judge_toy_held(
    survived: int,
    tried: int,
    *,
    test: HeldTest,
    market: Market,
    from_months: float,
    share: float,
    to_months: float | None = None,
    confidence: float = 0.95,
) -> ToyTestJudged:
    """Whether pieces stood the bite, the blow or the bending of the law, and what so few can show.

    Counted are pieces that were tried as the law says, and those of them that were whole after it. With none
    failed of n, the share that stands is at least (1 - confidence)^(1 / n).

    Returns: ToyTestJudged. Raises: ImpossibleInput for more survivors than pieces.

    Holds when: every piece was tried to the load, the blow or the cycles of the law.

    Example: 29 pieces that are all whole show a share of 0.90 with 95 %.
    """
    survived, tried = int(survived), int(tried)
    if survived > tried:
        raise ImpossibleInput("survived", survived, "", f"must be at most the pieces tried, {tried}")
    rows = rows_for(market, from_months=from_months, to_months=to_months, mass_kg=None)
    row = next((one for one in rows if one.test == test), None)
    if row is None:
        return not_known(test, market, tried, share, confidence)
    return judged_by(
        row,
        stood=survived,
        failed=tried - survived,
        unfinished=0,
        lowest=None,
        share=share,
        confidence=confidence,
        cautions=(),
    )

"""How many pieces without a failure show that failures are rare, and how likely that is to succeed."""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass

from offtool.core.formulas import formula
from offtool.core.inspection.limits import CONFIDENCE
from offtool.core.pilot.sampling.asked import LOT, NOT_WITHOUT
from offtool.core.pilot.sampling.chances import bad_in_lot, passes, passes_of_lot, share_passing
from offtool.core.values import Caution, ImpossibleInput, Range

MOST_TESTED = 10**6
WORTH_PLANNING = 0.9
"""How surely a demonstration should succeed before it is begun; our own choice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Demonstration:
    """Pieces to test, with no more failures than allowed, to show the reliability.

    `pieces` is None beyond a million. `succeeds_at` is how good the pieces must be for the test to succeed
    nine times in ten; `succeeds_at_required` how often it does when they are only just good enough.
    """

    pieces: int | None
    confidence_reached: float | None
    succeeds_at: float | None
    succeeds_at_required: float | None
    words: str
    reliability: float
    confidence: float
    failures: int
    lot: int | None
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={
        "reliability": Range(meaning="share of pieces that must hold", above=0, below=1),
        "confidence": CONFIDENCE,
        "failures": Range(meaning="failures that are allowed on the way", at_least=0, at_most=1000),
        "lot": LOT,
    },
    example={"reliability": 0.95},
    source="binomial and hypergeometric distributions, exact; without a failure n = ln(1 - C) / ln R",
)
def demonstrate_reliability(
    reliability: float, *, confidence: float = 0.95, failures: int = 0, lot: int | None = None
) -> Demonstration:
    """How many pieces must hold, without a failure or with few, to show that nearly all do.

    Fewest n with P(at most f of n fail | R) <= 1 - confidence; for a lot, the same with its whole pieces.

    Returns: Demonstration. Raises: ImpossibleInput where the lot is too small to hold more bad pieces than
    the allowed failures at that reliability.

    Holds when: every piece is tested alike and the test shows every failure. What the test ages or destroys
    is not in the lot any more.

    Example: 59 pieces without a failure show 95 % with 95 % confidence; 299 show 99 %.
    """
    share, failures, lot = 1 - reliability, int(failures), None if lot is None else int(lot)
    if lot is not None and bad_in_lot(share, lot, up=True) <= failures:
        limit = f"must hold more than {failures} pieces that fail at a reliability of {reliability:g}"
        raise ImpossibleInput("lot", lot, "", limit, "allow fewer failures")

    def fails_to_stop(pieces: int) -> float:
        if lot is None:
            return float(passes(share, pieces, failures))
        return passes_of_lot(bad_in_lot(share, lot, up=True), pieces, failures, lot)

    span = range(failures + 1, (MOST_TESTED if lot is None else min(lot, MOST_TESTED)) + 1)
    place = bisect_left(span, True, key=lambda pieces: fails_to_stop(pieces) <= 1 - confidence)
    pieces = span[place] if place < len(span) else None
    return Demonstration(
        pieces=pieces,
        confidence_reached=None if pieces is None else 1 - fails_to_stop(pieces),
        succeeds_at=None if pieces is None else 1 - share_passing(WORTH_PLANNING, pieces, failures),
        succeeds_at_required=None if pieces is None else fails_to_stop(pieces),
        words=_words(pieces, failures, reliability, confidence),
        reliability=reliability,
        confidence=confidence,
        failures=failures,
        lot=lot,
        cautions=(NOT_WITHOUT,),
    )


def _words(pieces: int | None, failures: int, reliability: float, confidence: float) -> str:
    shown = f"that {100 * reliability:g} % hold, with {100 * confidence:g} % confidence"
    if pieces is None:
        return f"more than a million pieces are needed to show {shown}"
    few = {0: "none", 1: "no more than one"}.get(failures, f"no more than {failures}")
    return f"test {pieces}: {few} may fail; that shows {shown}"

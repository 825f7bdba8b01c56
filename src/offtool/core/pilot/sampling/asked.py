"""Ranges that the sampling formulas share."""

from __future__ import annotations

from typing import Literal

from offtool.core.values import Caution, ImpossibleInput, Range
from offtool.handbook.defects import PRACTICE

MOST_PIECES = 10**6
LARGEST_LOT = 10**7
MOST_FLAWS = 100.0
"""On one piece; the tables end at ten."""

Severity = Literal["normal", "tightened", "reduced"]
Counted = Literal["pieces", "flaws"]

LOT = Range(
    meaning="pieces in the lot; blank where the lot is large beside the sample",
    at_least=1,
    at_most=LARGEST_LOT,
)
PIECES = Range(meaning="pieces that are looked at", at_least=1, at_most=MOST_PIECES)
ACCEPT = Range(meaning="bad pieces up to which the lot is accepted", at_least=0, at_most=MOST_PIECES)
GOOD = Range(meaning="share of bad pieces at which a lot should pass", above=0, below=1)
BAD = Range(meaning="share of bad pieces at which a lot should not pass", above=0, below=1)
GOOD_OR_FLAWS = Range(
    meaning="share of bad pieces, or flaws on a piece, at which a lot should pass",
    above=0,
    at_most=MOST_FLAWS,
)
BAD_OR_FLAWS = Range(
    meaning="share of bad pieces, or flaws on a piece, at which a lot should not pass",
    above=0,
    at_most=MOST_FLAWS,
)
COUNTED = Range(meaning="what is counted: bad pieces, or flaws of which a piece may have several")
PRODUCER_RISK = Range(meaning="how often a good lot may be refused", above=0, below=0.5)
CONSUMER_RISK = Range(meaning="how often a bad lot may pass", above=0, below=0.5)

NOT_WITHOUT = Caution(
    "a lot that passed is not a lot without bad pieces: what can hurt someone is not left to a sample. The "
    "law where it is sold and trained people decide.",
    PRACTICE,
)
"""Said on every plan: a sample never shows that there is nothing."""


def require_order(good: float, bad: float) -> None:
    """Refuse a good share that is not below the bad one."""
    if not good < bad:
        raise ImpossibleInput(
            "good", good, "", f"must be below the bad share {bad:g}", "swap or correct them"
        )


def require_share(name: str, share: float) -> None:
    """Refuse a share of pieces that is the whole or more."""
    if share >= 1:
        raise ImpossibleInput(name, share, "", "must be below 1", "5 % is 0.05")


def require_sample_of_lot(pieces: int, lot: int | None) -> None:
    """Refuse a sample larger than its lot."""
    if lot is not None and pieces > lot:
        limit = f"must be at most the {lot:g} in the lot"
        raise ImpossibleInput("pieces", pieces, "", limit, "look at all of them")

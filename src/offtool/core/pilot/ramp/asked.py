"""Ranges that the ramp formulas share."""

from __future__ import annotations

from math import log2

from offtool.core.values import Range
from offtool.handbook.defects import PRACTICE

LARGEST_QUANTITY = 10**9
FASTEST = 1e6

LEARNING = Range(
    meaning="learning rate: what is left of the time when the quantity has doubled; 1 is no learning",
    above=0.5,
    at_most=1,
    usual=(0.75, 1),
    source=PRACTICE,
)
RATE = Range(meaning="pieces per hour", unit="1/h", above=0, at_most=FASTEST)


def exponent(learning: float) -> float:
    """How fast the rate grows with the pieces made: rate ~ pieces ** m."""
    return 0.0 - log2(learning)  # no learning is 0, not -0, which would turn its inverse round

"""How far a rate counted over seeded draws may lie from the true one."""

from __future__ import annotations

from math import sqrt


def chance(probability: float, draws: int) -> float:
    """Four standard deviations of a counted rate: a right program fails one seed in sixteen thousand."""
    return 4 * sqrt(probability * (1 - probability) / draws)

"""How often a station takes longer than the cycle, when its tasks spread."""

from __future__ import annotations

from collections.abc import Sequence
from math import erfc, prod, sqrt

from offtool.core.pilot.balance.given import LineTask


def share_over(tasks: Sequence[LineTask], ends_s: float, room_s: float) -> float | None:
    """The share of pieces for which one person's tasks, done after `ends_s` on average, take over `room_s`.

    The sum of the tasks is taken as normal, each with its variance s² (1 + 1/n), n readings: the mean is not
    known better. None where a spread is not known.
    """
    spreads = [(one.spread_s, one.readings) for one in tasks]
    if any(spread is None for spread, _ in spreads):
        return None
    variance = sum((spread or 0.0) ** 2 * (1 + (1 / n if n else 0)) for spread, n in spreads)
    if variance == 0:
        return 1.0 if ends_s > room_s * (1 + 1e-9) else 0.0
    return 0.5 * erfc((room_s - ends_s) / sqrt(2 * variance))


def either_over(shares: Sequence[float | None]) -> float | None:
    """The share for which one or another is over, as if they had nothing to do with each other."""
    known = [one for one in shares if one is not None]
    return None if len(known) < len(shares) else 1 - prod(1 - one for one in known)

"""Where a value is drawn between its limits: both limits stand at the same places for every size."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from dataclasses import dataclass
from math import inf, isfinite

LABEL_ROOM = 20.0
RIGHT_ROOM = 20.0
OUTSIDE_SHARE = 0.45
"""How far a drawing goes on beyond each limit, as a share of the distance between the limits."""
_LARGEST = sys.float_info.max


@dataclass(frozen=True, slots=True)
class LimitScale:
    """Turns values into places from left to right; values far off stand at the edge.

    `low` and `high` are drawn where the two limits stand. With one limit the other end is set so far away
    that every value inside can be seen, and it has no limit line.
    """

    low: float
    high: float
    left: float
    right: float

    @classmethod
    def of(
        cls, lower: float | None, upper: float | None, points: Iterable[float], *, width: float
    ) -> LimitScale:
        """The scale for two limits, one or none; the points decide only where a limit is missing."""
        seen = [point for point in points if isfinite(point)]
        low, high = _ends(lower, upper, seen)
        return cls(low, high, LABEL_ROOM, width - RIGHT_ROOM)

    def at(self, value: float) -> float:
        """The place of a value, never beyond the edges."""
        place = self.left + (OUTSIDE_SHARE + self._share(value)) * self._span
        return min(max(place, self.left), self.right)

    def beyond(self, value: float) -> int:
        """-1 or 1 where a value lies past the left or right edge, 0 where it can be drawn."""
        share = self._share(value)
        return -1 if share < -OUTSIDE_SHARE else int(share > 1 + OUTSIDE_SHARE)

    @property
    def _span(self) -> float:
        return (self.right - self.left) / (1 + 2 * OUTSIDE_SHARE)

    def _share(self, value: float) -> float:
        """0 at the lower limit, 1 at the upper; in halves, so that the largest numbers have a difference."""
        if value in (self.low, self.high):
            return float(value == self.high)
        room = self.high / 2 - self.low / 2
        way = value / 2 - self.low / 2
        if room > 0:
            return way / room
        return inf if value > self.high else -inf


def _ends(lower: float | None, upper: float | None, seen: list[float]) -> tuple[float, float]:
    if lower is not None and upper is not None:
        return lower, upper
    if upper is not None:
        return max(upper - _room([upper - point for point in seen]), -_LARGEST), upper
    if lower is not None:
        return lower, min(lower + _room([point - lower for point in seen]), _LARGEST)
    return (min(seen), max(seen)) if seen else (0.0, 1.0)


def _room(inside: list[float]) -> float:
    """How far the farthest value lies inside the only limit; with none inside, how far outside."""
    farthest = max(inside, default=0.0)
    return farthest if farthest > 0 else max(map(abs, inside), default=0.0) or 1.0

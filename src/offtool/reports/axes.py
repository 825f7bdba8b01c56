"""Axes that drawings of readings share: a scale from values to places, round ticks, quiet lines."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import ceil, floor, isfinite, log10

from offtool.reports import words
from offtool.reports.colours import INK, LINE, OUTSIDE, QUIET
from offtool.reports.drawing import at, level, xml

EDGE = 0.04
"""Free room at both ends of a scale, as a share of what is drawn."""
ROUND_STEPS = (1.0, 2.0, 2.5, 5.0, 10.0)
MOST_TICKS = 40


@dataclass(frozen=True, slots=True)
class Scale:
    """Turns values into places; what lies beyond the ends stands at the end."""

    low: float
    high: float
    start: float
    end: float

    @classmethod
    def around(cls, values: Iterable[float], start: float, end: float) -> Scale:
        """A scale that shows all finite values with a little room; one value alone stands in the middle."""
        seen = [value for value in values if isfinite(value)]
        low, high = (min(seen), max(seen)) if seen else (0.0, 1.0)
        room = (high - low) * EDGE or abs(high) * EDGE or 1.0
        return cls(low - room, high + room, start, end)

    def at(self, value: float) -> float:
        """The place of a value."""
        share = (value - self.low) / (self.high - self.low)
        return self.start + min(max(share, 0.0), 1.0) * (self.end - self.start)

    def ticks(self, about: int) -> list[float]:
        """Round values inside, about so many."""
        step = _round_step((self.high - self.low) / max(about, 1))
        first, last = ceil(self.low / step), floor(self.high / step)
        return [step * i for i in range(first, min(last, first + MOST_TICKS) + 1)]


def tick_decimals(ticks: list[float]) -> int:
    """The decimals that tell the ticks apart."""
    return words.decimals_to_write(ticks) if ticks else 0


def draw_values_axis(scale: Scale, left: float, right: float, *, ticks: int = 4) -> Iterator[str]:
    """Quiet level lines at round values, each with its number at the left."""
    places = scale.ticks(ticks)
    decimals = tick_decimals(places)
    for value in places:
        y = scale.at(value)
        yield level("tick", left, right, y, LINE, 0.7)
        yield text(words.number(value, decimals), left - 5, y + 3, anchor="end")


def draw_limits(
    scale: Scale, lower: float | None, upper: float | None, left: float, right: float
) -> Iterator[str]:
    """What lies outside the limits shaded, each limit a line; `scale` goes upwards."""
    for limit, edge in ((lower, scale.start), (upper, scale.end)):
        if limit is None:
            continue
        y = scale.at(limit)
        top, height = min(y, edge), abs(edge - y)
        if height > 0:
            place = f'x="{at(left)}" y="{at(top)}" width="{at(right - left)}" height="{at(height)}"'
            yield f'<rect class="outside" {place} fill="{OUTSIDE}"/>'
        if scale.low <= limit <= scale.high:
            yield level("limit", left, right, y, INK, 1.2)


def text(
    words_: str, x: float, y: float, *, anchor: str = "start", colour: str = QUIET, size: float = 9
) -> str:
    """Words in a drawing."""
    return (
        f'<text x="{at(x)}" y="{at(y)}" text-anchor="{anchor}" font-size="{size:g}" fill="{colour}">'
        f"{xml(words_)}</text>"
    )


def hovered(inside: str, said: str) -> str:
    """A mark that says its value when pointed at, and to those who do not see it."""
    return f'<g class="says"><title>{xml(said)}</title>{inside}</g>'


def _round_step(rough: float) -> float:
    power = 10.0 ** floor(log10(rough)) if rough > 0 else 1.0
    return next(step * power for step in ROUND_STEPS if step * power >= rough * (1 - 1e-9))

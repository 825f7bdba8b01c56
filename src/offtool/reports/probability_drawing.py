"""The probability plot: each reading beside what the fitted shape would give at its rank.

Points on the line: the shape fits. The band is where points of a sample of that shape stay.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import isfinite

from offtool.reports import words
from offtool.reports.axes import Scale, draw_limits, draw_values_axis, hovered, text
from offtool.reports.colours import LINE, MARK, NO, WHITE
from offtool.reports.drawing import at, svg, upright

WIDTH, HEIGHT = 420.0, 260.0
LEFT, RIGHT, TOP, BOTTOM = 56.0, 10.0, 10.0, 30.0
MOST_POINTS = 600


@dataclass(frozen=True, slots=True, kw_only=True)
class PlotPoint:
    """One ordered reading, the value of the fitted shape at its rank, and the band there."""

    value: float
    fitted: float
    low: float
    high: float
    share: float
    """The plotting position."""


def draw_probability_plot(
    points: Sequence[PlotPoint],
    shares: Sequence[tuple[float, float]],
    *,
    family: str,
    lower: float | None = None,
    upper: float | None = None,
    decimals: int,
    unit: str,
    width: float = WIDTH,
    height: float = HEIGHT,
) -> str:
    """`shares` are the shares marked below, each with the value of the fitted shape there."""
    right, bottom = width - RIGHT, height - BOTTOM
    shown = points[:: max(1, -(-len(points) // MOST_POINTS))]
    ends = [end for one in shown for end in (one.value, one.fitted) if isfinite(end)]
    y = Scale.around([*ends, *(limit for limit in (lower, upper) if limit is not None)], bottom, TOP)
    x = Scale.around([one.fitted for one in shown], LEFT, right)
    inside = [
        *draw_limits(y, lower, upper, LEFT, right),
        *draw_values_axis(y, LEFT, right),
        *_shares_axis(shares, x, bottom, family),
        _band(shown, x, y),
        _line(shown, x, y),
        *_points(shown, x, y, decimals, unit),
    ]
    outside = sum(not one.low <= one.value <= one.high for one in points)
    said = f"probability plot of {len(points)} readings, {family}: {outside} outside the band"
    return svg("probability-plot", width, height, said, inside)


def _shares_axis(
    shares: Sequence[tuple[float, float]], x: Scale, bottom: float, family: str
) -> Iterator[str]:
    taken = float("-inf")
    for share, value in shares:
        place = x.at(value)
        if x.low <= value <= x.high and place - taken > 24:
            taken = place
            yield upright("tick", place, TOP, bottom, LINE, 0.7)
            yield text(f"{100 * share:g}", place, bottom + 12, anchor="middle")
    yield text(f"% below, if the shape is {family}", x.end, bottom + 24, anchor="end")


def _band(points: Sequence[PlotPoint], x: Scale, y: Scale) -> str:
    there = [one for one in points if isfinite(one.low) and isfinite(one.high)]
    if len(there) < 2:
        return ""
    above = [f"{at(x.at(one.fitted))} {at(y.at(one.high))}" for one in there]
    below = [f"{at(x.at(one.fitted))} {at(y.at(one.low))}" for one in reversed(there)]
    return f'<path class="band" d="M{"L".join(above + below)}Z" fill="{MARK}" fill-opacity="0.1"/>'


def _line(points: Sequence[PlotPoint], x: Scale, y: Scale) -> str:
    if not points:
        return ""
    first, last = points[0].fitted, points[-1].fitted
    path = f"M{at(x.at(first))} {at(y.at(first))}L{at(x.at(last))} {at(y.at(last))}"
    return f'<path class="fitted" d="{path}" stroke="{MARK}" stroke-width="1"/>'


def _points(points: Sequence[PlotPoint], x: Scale, y: Scale, decimals: int, unit: str) -> Iterator[str]:
    for one in points:
        inside = one.low <= one.value <= one.high
        colour, fill = (MARK, MARK) if inside else (NO, WHITE)
        place = f'cx="{at(x.at(one.fitted))}" cy="{at(y.at(one.value))}" r="2.4"'
        dot = f'<circle {place} fill="{fill}" stroke="{colour}" stroke-width="1.2"/>'
        where = "in the band" if inside else "outside the band"
        value, fitted = (words.number(number, decimals) for number in (one.value, one.fitted))
        yield hovered(
            dot, f"{value} {unit}; the shape gives {fitted} there ({100 * one.share:.1f} %), {where}"
        )

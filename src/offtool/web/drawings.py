"""Two drawings of the correction, in the language of the limit bar: what a cut moves, and shrinkage by direction."""

from __future__ import annotations

from dataclasses import dataclass
from html import escape
from math import isfinite

from offtool.core.values import Interval
from offtool.reports.colours import FONTS, INK, LINE, MARK, OUTSIDE, QUIET, WHITE
from offtool.reports.limit_scale import LimitScale

HEIGHT = 24
MIDDLE = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """A mean as it stands and as it is expected, between its limits."""

    now: float
    expected: float
    interval: Interval
    lower: float | None
    upper: float | None


def draw_moved(moved: Moved, *, said: str, width: float = 240) -> str:
    """From a ring where the mean stands now, an arrow to the dot where it is expected, heavy where it may fall."""
    points = (moved.now, moved.expected, moved.interval.low, moved.interval.high)
    scale = LimitScale.of(moved.lower, moved.upper, points, width=width)
    now, then = scale.at(moved.now), scale.at(moved.expected)
    low, high = scale.at(moved.interval.low), scale.at(moved.interval.high)
    inside = [
        *_outside(moved, scale),
        _heavy(low, high, MIDDLE),
        *_arrow(now, then),
        f'<circle class="now" cx="{now:.1f}" cy="{MIDDLE}" r="3" fill="{WHITE}" stroke="{INK}" stroke-width="1.4"/>',
        _dot(then, MIDDLE),
    ]
    return _svg(width, HEIGHT, said, inside)


@dataclass(frozen=True, slots=True, kw_only=True)
class ShrinkageScale:
    """One scale for all directions of a tool, from 0 to a little more than the largest, as fractions."""

    most: float
    width: float = 320.0

    @classmethod
    def of(cls, values: list[float]) -> ShrinkageScale:
        """The scale that shows all these shrinkages."""
        return cls(most=1.08 * max([value for value in values if isfinite(value)], default=0.0) or 0.01)

    def at(self, value: float) -> float:
        """The place of a shrinkage, never beyond the edges."""
        return 8 + min(max(value / self.most, 0.0), 1.0) * (self.width - 16)


def draw_shrinkage(allowed: float, found: float, interval: Interval, *, scale: ShrinkageScale, said: str) -> str:
    """A tick where the steel was drawn for, a dot where shrinkage was found, heavy where it may lie."""
    tick = scale.at(allowed)
    inside = [
        f'<path class="base" d="M{scale.at(0):.1f} {MIDDLE}H{scale.at(scale.most):.1f}" stroke="{LINE}"/>',
        f'<path class="base" d="M{scale.at(0):.1f} {MIDDLE - 4}V{MIDDLE + 4}" stroke="{QUIET}"/>',
        _heavy(scale.at(interval.low), scale.at(interval.high), MIDDLE),
        f'<path class="limit" d="M{tick:.1f} 2V{HEIGHT - 2}" stroke="{INK}" stroke-width="1.4"/>',
        _dot(scale.at(found), MIDDLE),
    ]
    return _svg(scale.width, HEIGHT, said, inside)


def _outside(moved: Moved, scale: LimitScale) -> list[str]:
    """What lies outside, and the limits."""
    drawn = []
    for limit, edge in ((moved.lower, scale.left), (moved.upper, scale.right)):
        if limit is None:
            continue
        x = scale.at(limit)
        left, right = sorted((edge, x))
        drawn.append(
            f'<rect class="outside" x="{left:.1f}" y="4" width="{right - left:.1f}" height="{HEIGHT - 8}" fill="{OUTSIDE}"/>'
            f'<path class="limit" d="M{x:.1f} 3V{HEIGHT - 3}" stroke="{INK}" stroke-width="1.2"/>'
        )
    return drawn


def _arrow(start: float, end: float) -> list[str]:
    """The way of the mean; none where there is no room for one."""
    way = 1 if end > start else -1
    tip = end - way * 4.5
    if abs(end - start) < 12:
        return []
    return [
        f'<path class="way" d="M{start + way * 3:.1f} {MIDDLE}H{tip:.1f}" stroke="{INK}" stroke-width="1"/>'
        f'<path class="head" d="M{tip - way * 4:.1f} {MIDDLE - 3}L{tip:.1f} {MIDDLE}L{tip - way * 4:.1f} {MIDDLE + 3}" '
        f'fill="none" stroke="{INK}" stroke-width="1.2"/>'
    ]


def _heavy(left: float, right: float, y: float) -> str:
    return f'<path class="mean" d="M{left:.1f} {y}H{right:.1f}" stroke="{MARK}" stroke-width="4.5"/>'


def _dot(x: float, y: float) -> str:
    return f'<circle class="dot" cx="{x:.1f}" cy="{y}" r="3.4" fill="{MARK}" stroke="{WHITE}" stroke-width="1.2"/>'


def _svg(width: float, height: float, said: str, inside: list[str]) -> str:
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="limit-bar" viewBox="0 0 {width:g} {height:g}" '
        f'width="{width:g}" height="{height:g}" role="img" aria-label="{escape(said)}" font-family="{FONTS}" '
        f'font-size="9" fill="{QUIET}">{"".join(inside)}</svg>'
    )

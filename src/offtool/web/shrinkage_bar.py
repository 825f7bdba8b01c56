"""The shrinkage bar: what a direction was drawn for, and what its sizes together show, all on one scale."""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite

from offtool.reports import words
from offtool.reports.colours import INK, LINE, MARK, QUIET, WHITE
from offtool.reports.drawing import arrow_tip, at, level, svg, upright
from offtool.steps.steel_changes import DirectionShrinkage

WIDTH = 260
MARGIN = 8
MIDDLE, HEIGHT = 11, 22


def widest(directions: Sequence[DirectionShrinkage]) -> float:
    """The shrinkage that the scale of all directions must reach."""
    ends = [end for one in directions for end in (one.allowed, one.found.value, one.found.interval.high)]
    return 1.05 * max([end for end in ends if isfinite(end)], default=0.0) or 0.01


def draw_shrinkage_bar(one: DirectionShrinkage, *, most: float) -> str:
    """An upright line for what the steel was drawn for, a dot for what was found, heavy where it may lie."""
    zero, interval = _place(0.0, most), one.found.interval
    strokes = [
        level("base", zero, _place(most, most), MIDDLE, LINE, 1),
        upright("base", zero, MIDDLE - 4, MIDDLE + 4, QUIET, 1),
        level("mean", _place(interval.low, most), _place(interval.high, most), MIDDLE, MARK, 4.5),
        upright("allowed", _place(one.allowed, most), 1, HEIGHT - 1, INK, 1.4),
        _dot(one.found.value, most),
    ]
    return svg("shrinkage-bar", WIDTH, HEIGHT, _said(one), strokes)


def _place(value: float, most: float) -> float:
    return MARGIN + min(max(value / most, 0.0), 1.0) * (WIDTH - 2 * MARGIN)


def _dot(value: float, most: float) -> str:
    x = _place(value, most)
    if value < 0:
        return arrow_tip("beyond", x - MARGIN / 2, MIDDLE, -1, MARK)
    return f'<circle cx="{at(x)}" cy="{MIDDLE}" r="3.4" fill="{MARK}" stroke="{WHITE}" stroke-width="1.2"/>'


def _said(one: DirectionShrinkage) -> str:
    return f"allowed {words.percent(one.allowed)}, found {words.percent(one.found.value)}"

"""The move bar: where a size stands now between its limits, and where the next trial should find it."""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite

from offtool.reports import words
from offtool.reports.colours import INK, MARK, WHITE
from offtool.reports.drawing import arrow_tip, at, level, svg, upright
from offtool.reports.limit_frame import draw_frame
from offtool.reports.limit_scale import LimitScale
from offtool.steps.steel_changes import SizeExpected

WIDTH = 200
NOW, NEXT, HEIGHT = 10, 23, 33


def draw_move_bar(size: SizeExpected, *, width: float = WIDTH) -> str:
    """The way of one size: above, an open dot for its mean now; below, the mean expected and its interval."""
    ends = (size.interval.low, size.interval.high)
    scale = LimitScale.of(size.lower, size.upper, (size.now, size.expected, *ends), width=width)
    frame = draw_frame(scale, size.lower, size.upper, None, HEIGHT)
    return svg("move-bar", width, HEIGHT, move_in_words(size), [*frame, *_signs(scale, size)])


def move_in_words(size: SizeExpected) -> str:
    """now 3.966, 0.014 below the lower limit; expected 4.003 ± 0.006, inside, 0.023 from the lower limit."""
    now = words.place(size.now, size.lower, size.upper, size.decimals)
    then = words.place(size.expected, size.lower, size.upper, size.decimals)
    expected = words.with_interval(size.expected, size.interval, size.decimals)
    return f"now {words.number(size.now, size.decimals)}, {now}; expected {expected}, {then}"


def _signs(scale: LimitScale, size: SizeExpected) -> Iterator[str]:
    now, then = scale.at(size.now), scale.at(size.expected)
    yield upright("way", now, NOW, NEXT, INK, 0.8, ' stroke-dasharray="2 2"')
    yield level("way", now, then, NEXT, INK, 0.8, ' stroke-dasharray="2 2"')
    if isfinite(size.interval.low) and isfinite(size.interval.high):
        yield level("mean", scale.at(size.interval.low), scale.at(size.interval.high), NEXT, MARK, 5)
    yield _dot(scale, size.now, NOW, WHITE, INK)
    yield _dot(scale, size.expected, NEXT, MARK, WHITE)


def _dot(scale: LimitScale, value: float, y: float, fill: str, rim: str) -> str:
    x, way = scale.at(value), scale.beyond(value)
    if way:
        return arrow_tip("beyond", x, y, way, INK)
    return f'<circle cx="{at(x)}" cy="{at(y)}" r="3.4" fill="{fill}" stroke="{rim}" stroke-width="1.3"/>'

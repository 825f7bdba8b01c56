"""Where least and most of something lie against the range that is wanted, as a limit bar shows it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from math import isfinite

from offtool.core.joints.evidence import Span
from offtool.core.values import Verdict
from offtool.reports.colours import INK
from offtool.reports.drawing import arrow_tip, chevron, level, svg
from offtool.reports.limit_bar import CLASS, COLOUR, draw_mark
from offtool.reports.limit_frame import draw_frame
from offtool.reports.limit_scale import LimitScale

WIDTH = 200.0
HEIGHT = 22.0
EDGE = 1.0


def draw_span_bar(
    found: Span, wanted: Span, verdict: Verdict, said: str, *, bottomless: bool = True, width: float = WIDTH
) -> str:
    """The range found between the ends wanted; an end that is open, or 0 where `bottomless`, has no line."""
    lower = wanted.low if isfinite(wanted.low) and not (bottomless and wanted.low <= 0) else None
    upper = wanted.high if isfinite(wanted.high) else None
    scale = _without_label(LimitScale.of(lower, upper, (found.low, found.high), width=width), width)
    return svg(
        "limit-bar span-bar",
        width,
        HEIGHT,
        said,
        [
            *draw_frame(scale, lower, upper, None, HEIGHT),
            f'<g class="{CLASS[verdict]}">',
            *_found(scale, found, verdict),
            "</g>",
        ],
    )


def _found(scale: LimitScale, found: Span, verdict: Verdict) -> Iterator[str]:
    left, right, y = scale.at(found.low), scale.at(found.high), HEIGHT / 2
    if scale.beyond(found.low) > 0 or scale.beyond(found.high) < 0:
        way = scale.beyond(found.low) or scale.beyond(found.high)
        yield arrow_tip("beyond", left if way > 0 else right, y, way, COLOUR[verdict])
        return
    if right > left:
        yield level("mean", left, right, y, COLOUR[verdict], 4.5)
        for end, way in ((found.low, -1), (found.high, 1)):
            if scale.beyond(end) == way:
                yield chevron(scale.at(end), y, way, INK, size=2.5)
    yield draw_mark(verdict, (left + right) / 2, y)


def scale_of_strengths(required: float, strengths: Iterable[float], *, width: float = WIDTH) -> LimitScale:
    """One scale for the pulls of all settings, so that they can be compared down the page."""
    return _without_label(LimitScale.of(required, None, strengths, width=width), width)


def _without_label(scale: LimitScale, width: float) -> LimitScale:
    """These bars carry no cavity beside them: they start where the words below them start."""
    return replace(scale, left=EDGE, right=width - EDGE)


def draw_strength_bar(
    scale: LimitScale,
    *,
    required: float,
    bound: float | None,
    pulled: tuple[float, float] | None,
    verdict: Verdict,
    said: str,
) -> str:
    """Pulls from smallest to largest as a thin line; the mark is the bound that seams are shown to hold."""
    return svg(
        "limit-bar span-bar",
        scale.right + scale.left,
        HEIGHT,
        said,
        [
            *draw_frame(scale, required, None, None, HEIGHT),
            f'<g class="{CLASS[verdict]}">',
            *_strength(scale, bound, pulled, verdict),
            "</g>",
        ],
    )


def _strength(
    scale: LimitScale, bound: float | None, pulled: tuple[float, float] | None, verdict: Verdict
) -> Iterator[str]:
    y = HEIGHT / 2
    if pulled is not None:
        yield level("spread", scale.at(pulled[0]), scale.at(pulled[1]), y, INK, 1.2)
    if bound is None:
        return
    x, way = scale.at(bound), scale.beyond(bound)
    yield arrow_tip("beyond", x, y, way, COLOUR[verdict]) if way else draw_mark(verdict, x, y)

"""Hatching as plain strokes, so that it looks the same on a page, in a PDF and on a grey printer.

All strokes lie on one grid: hatched fields side by side look like one.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil

from offtool.reports.drawing import at

GAP = 4.0


def hatch(
    left: float,
    top: float,
    width: float,
    height: float,
    colour: str,
    *,
    way: int = 1,
    gap: float = GAP,
    stroke: float = 0.8,
) -> str:
    """Strokes over a field that rise to the right (1) or fall (-1); nothing where it is too small for one."""
    path = "".join(_strokes(left, top, width, height, way, gap))
    return f'<path class="hatch" d="{path}" stroke="{colour}" stroke-width="{stroke:g}"/>' if path else ""


def _strokes(left: float, top: float, width: float, height: float, way: int, gap: float) -> Iterator[str]:
    """On rising strokes x + y stays the same; falling ones are those of the mirror image."""
    right, bottom = left + width, top + height
    near, far = (left, right) if way > 0 else (-right, -left)
    for i in range(ceil((near + top) / gap), ceil((far + bottom) / gap)):
        whole = i * gap
        upper, lower = min(far, whole - top), max(near, whole - bottom)
        if upper - lower > 0.1:
            yield f"M{at(way * upper)} {at(whole - upper)}L{at(way * lower)} {at(whole - lower)}"

"""What stands around the readings in every limit drawing: the limits, the target, and what lies outside."""

from __future__ import annotations

from collections.abc import Iterator

from offtool.reports.colours import INK, LINE, OUTSIDE, QUIET
from offtool.reports.drawing import at, chevron, upright
from offtool.reports.limit_scale import LimitScale


def draw_frame(
    scale: LimitScale, lower: float | None, upper: float | None, target: float | None, height: float
) -> Iterator[str]:
    """The frame of a drawing; a side without a limit stays open and says so by an arrow."""
    sides = ((lower, scale.left, -1), (upper, scale.right, 1))
    for limit, edge, _ in sides:
        if limit is not None:
            yield _outside(edge, scale.at(limit), height)
    if target is not None and target not in (lower, upper):
        yield from _target(scale.at(target), height)
    for limit, edge, way in sides:
        if limit is not None:
            yield upright("limit", scale.at(limit), 3, height - 3, INK, 1.2)
        else:
            yield f'<g class="open">{chevron(edge, height / 2, way, QUIET, size=4)}</g>'


def _outside(edge: float, limit: float, height: float) -> str:
    place = f'x="{at(min(edge, limit))}" y="4" width="{at(abs(limit - edge))}" height="{at(height - 8)}"'
    return f'<rect class="outside" {place} fill="{OUTSIDE}"/>'


def _target(x: float, height: float) -> Iterator[str]:
    """A faint line behind the readings, with a tick at each end that print keeps."""
    yield upright("target", x, 3, height - 3, LINE, 1)
    yield upright("target-tick", x, 1, 5, QUIET, 1.2)
    yield upright("target-tick", x, height - 5, height - 1, QUIET, 1.2)

"""How wall thickness is spread over the surface: a bar a step, in the colours of the picture."""

from __future__ import annotations

from collections.abc import Iterator

from offtool.core.planning.geometry import WallFinding
from offtool.reports import words
from offtool.reports.axes import Scale, hovered, text, tick_decimals
from offtool.reports.colours import INK, LINE, QUIET
from offtool.reports.drawing import at, level, svg, upright
from offtool.reports.wall_colours import wall_classes, wall_colour

WIDTH, TOP, HEIGHT, BELOW, LEFT, RIGHT = 560.0, 24.0, 120.0, 32.0, 44.0, 12.0
WORD = 10.5


def draw_wall_histogram(walls: WallFinding, *, width: float = WIDTH) -> str:
    """Share of the wall by thickness, the median and the two ends marked, what is too thick in its colour."""
    bottom, right = TOP + HEIGHT, width - RIGHT
    along = Scale(0.0, walls.edges_mm[-1], LEFT, right)
    up = Scale(0.0, 1.06 * max(walls.shares), bottom, TOP)
    spread = walls.by_sphere
    inside = [
        *_shares(up, right),
        *_bars(walls, along, up),
        *_named(spread.median_mm, f"half is thinner than {spread.median_mm:.2g}", along),
        *_axis(along, bottom),
    ]
    said = (
        f"wall thickness over the surface: median {spread.median_mm:.2g} mm, 5 % thinner than "
        f"{spread.p5_mm:.2g} mm, 5 % thicker than {spread.p95_mm:.2g} mm, {spread.most_mm:.2g} mm at most"
    )
    return svg("walls", width, bottom + BELOW, said, inside)


def _shares(up: Scale, right: float) -> Iterator[str]:
    for value in up.ticks(3):
        y = up.at(value)
        yield level("tick", LEFT, right, y, LINE, 0.7)
        yield text(f"{100 * value:.0f} %", LEFT - 5, y + 3, anchor="end", size=WORD)


def _bars(walls: WallFinding, along: Scale, up: Scale) -> Iterator[str]:
    classes = wall_classes(walls.by_sphere.median_mm)
    for low, high, share in zip(walls.edges_mm, walls.edges_mm[1:], walls.shares, strict=False):
        if not share:
            continue
        left, top = along.at(low), up.at(share)
        place = f'x="{at(left + 0.5)}" y="{at(top)}" width="{at(along.at(high) - left - 1)}"'
        colour = wall_colour(classes, (low + high) / 2)
        look = f'height="{at(up.start - top)}" fill="{colour}" stroke="{INK}" stroke-width="0.4"'
        bar = f'<rect class="bar" {place} {look}/>'
        yield hovered(bar, f"{low:.2g} to {high:.2g} mm: {100 * share:.1f} % of the wall")


def _named(value: float, said: str, along: Scale) -> Iterator[str]:
    x = along.at(value)
    yield upright("median", x, TOP - 4, TOP + HEIGHT, INK, 1.2)
    is_left = x > (along.start + along.end) / 2
    yield text(
        said,
        x - 4 if is_left else x + 4,
        TOP - 8,
        anchor="end" if is_left else "start",
        colour=INK,
        size=WORD,
    )


def _axis(along: Scale, bottom: float) -> Iterator[str]:
    places = along.ticks(6)
    decimals = tick_decimals(places)
    yield level("axis", along.start, along.end, bottom, INK, 0.9)
    for value in places:
        yield upright("tick", along.at(value), bottom, bottom + 4, QUIET, 0.8)
        yield text(words.number(value, decimals), along.at(value), bottom + 14, anchor="middle", size=WORD)
    yield text("wall thickness, mm", along.end, bottom + 28, anchor="end", size=WORD)

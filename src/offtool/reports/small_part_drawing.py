"""A part in the small-parts cylinder, seen from the side: the gauge, its slanting floor, and the outline."""

from __future__ import annotations

from collections.abc import Iterator

from offtool.handbook.toy_law import SMALL_PARTS
from offtool.reports.colours import DOUBT, INK, MARK, NO, OUTSIDE
from offtool.reports.drawing import at, svg
from offtool.steps.small_parts_of import PartInGauge

HIGH, EDGE, LARGEST_SCALE = 96.0, 4.0, 1.4
RADIUS = SMALL_PARTS.diameter_mm / 2
GAUGE = (
    (-RADIUS, 0.0),
    (-RADIUS, -SMALL_PARTS.shallow_mm),
    (RADIUS, -SMALL_PARTS.deep_mm),
    (RADIUS, 0.0),
)
"""From the rim on the shallow side around the floor to the rim on the deep side; open above."""


def draw_small_part(part: PartInGauge, *, asked: bool) -> str:
    """The pose that was found, hollows filled; empty where there is none. `asked`: none may fit."""
    if not part.outline:
        return ""
    spots = [*GAUGE, *part.outline]
    left, right = min(x for x, _ in spots), max(x for x, _ in spots)
    low, high = min(y for _, y in spots), max(y for _, y in spots)
    scale = min(LARGEST_SCALE, (HIGH - 2 * EDGE) / (high - low))

    def place(x: float, y: float) -> str:
        return f"{at(EDGE + scale * (x - left))} {at(EDGE + scale * (high - y))}"

    width, height = (2 * EDGE + scale * size for size in (right - left, high - low))
    said = f"{part.part} in the small-parts cylinder, seen from the side: {part.words}"
    gauge, outline = ([place(x, y) for x, y in shape] for shape in (GAUGE, part.outline))
    colour = MARK if part.fits is False else NO if part.fits and asked else DOUBT
    return svg("small-part", width, height, said, _inside(gauge, outline, colour))


def _inside(gauge: list[str], outline: list[str], colour: str) -> Iterator[str]:
    yield f'<path class="room" d="M{"L".join(gauge)}Z" fill="{OUTSIDE}"/>'
    yield (
        f'<path class="part" d="M{"L".join(outline)}Z" fill="{colour}" fill-opacity="0.22" '
        f'stroke="{colour}" stroke-width="1.1"/>'
    )
    yield f'<path class="gauge" d="M{"L".join(gauge)}" fill="none" stroke="{INK}" stroke-width="1.6"/>'

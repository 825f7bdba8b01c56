"""A part drawn from two sides, coloured by the thickness of its wall: what stands where nothing can be
turned, on paper and without a script.

Triangles of a coarse copy are drawn from back to front. The thickest places carry numbers, so that the
drawing says as much in black.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from offtool.core.planning.geometry import PartPicture, ThickPlace
from offtool.reports.axes import hovered, text
from offtool.reports.colours import INK, WHITE
from offtool.reports.drawing import at, svg
from offtool.reports.wall_colours import RIM, WallClass, wall_classes, wall_colour

WIDTH, HEIGHT, EDGE = 560.0, 250.0, 14.0
KEY_LINE, KEY_ROOM, SWATCH, WORD = 18.0, 176.0, 11.0, 10.5
TRIANGLES = 3000
FROM = ((0.55, -0.75, 0.6), (0.55, -0.75, -0.6))
"""Where the viewer stands: to the right, in front, above; then below."""
SIDES = ("from above", "from below")
LIT = 1.118
"""The light comes from the viewer and half as much from above: so long is that direction."""
DARKEST = 0.72
"""Share of the colour that is left on a face that turns away from the light."""
Floats = NDArray[np.float64]
Vector = tuple[float, float, float]


def draw_walls(
    picture: PartPicture,
    median_mm: float,
    thickest: Sequence[ThickPlace] = (),
    *,
    width: float = WIDTH,
    with_key: bool = True,
) -> str:
    """The part seen from its right and front, from above and from below; the thickest places numbered."""
    classes = wall_classes(median_mm)
    coarse = picture.coarser(TRIANGLES)
    room = width / len(FROM)
    views = [_View(coarse, towards, left=i * room, wide=room) for i, towards in enumerate(FROM)]
    columns = max(int((width - 2 * EDGE) // KEY_ROOM), 1)
    lines = -(-(len(classes) + 1) // columns)
    inside = [
        *(stroke for view in views for stroke in (*view.faces(classes), *view.marks(thickest))),
        *(text(said, i * room + EDGE, 10, size=WORD) for i, said in enumerate(SIDES)),
        *(_key(classes, columns) if with_key else ()),
    ]
    said = f"the part from above and from below by wall thickness, median {median_mm:.2g} mm"
    if thickest:
        said += "; thickest " + ", ".join(
            f"{i}: {one.thickness_mm:.2g} mm" for i, one in enumerate(thickest, 1)
        )
    return svg("part-walls", width, HEIGHT + (lines * KEY_LINE + 8 if with_key else 0), said, inside)


def draw_swatch(colour: str) -> str:
    """One colour of the key, to stand before its words."""
    box = f'<rect width="{SWATCH:g}" height="{SWATCH:g}" fill="{colour}" stroke="{INK}" stroke-width="0.8"/>'
    return svg("swatch", SWATCH, SWATCH, "in this colour:", [box])


class _View:
    """The part from one side, in its share of the drawing."""

    def __init__(self, part: PartPicture, towards: Vector, *, left: float, wide: float) -> None:
        self._part = part
        self._towards = np.array(towards) / np.linalg.norm(towards)
        self._right = np.cross([0.0, 0.0, 1.0], self._towards)
        self._right /= np.linalg.norm(self._right)
        self._up = np.cross(self._towards, self._right)
        flat = self._flat(part.vertices)
        low, high = flat.min(axis=0), flat.max(axis=0)
        room = np.array([wide - 2 * EDGE, HEIGHT - 2 * EDGE])
        self._scale = float((room / np.maximum(high - low, 1e-9)).min())
        self._middle = (low + high) / 2
        self._at = np.array([left + wide / 2, HEIGHT / 2])

    def faces(self, classes: tuple[WallClass, ...]) -> Iterator[str]:
        """From back to front; what looks away is behind something, and is not drawn."""
        a, b, c = (self._part.vertices[self._part.faces[:, i]] for i in range(3))
        normal = np.cross(b - a, c - a)
        length = np.maximum(np.linalg.norm(normal, axis=1), 1e-300)
        light = np.abs(normal @ (self._towards + self._up / 2)) / length / LIT
        wall = _means(self._part.thickness_mm[self._part.faces])
        places = self._placed(self._part.vertices)
        order = np.argsort(((a + b + c) / 3) @ self._towards)
        yield '<g stroke-width="0.5">'
        for i in order[(normal @ self._towards)[order] > 0]:
            colour = _shaded(wall_colour(classes, float(wall[i])), min(float(light[i]), 1.0))
            yield f'<path d="{_triangle(places[self._part.faces[i]])}" fill="{colour}" stroke="{colour}"/>'
        yield "</g>"

    def marks(self, thickest: Sequence[ThickPlace]) -> Iterator[str]:
        """The thickest places, numbered."""
        for number, one in enumerate(thickest, 1):
            x, y = self._placed(np.array([[one.x_mm, one.y_mm, one.z_mm]]))[0]
            place = f'cx="{at(x)}" cy="{at(y)}" r="8"'
            ring = f'<circle {place} fill="{WHITE}" stroke="{INK}" stroke-width="1.4"/>'
            label = text(str(number), x, y + 3.7, anchor="middle", colour=INK, size=WORD)
            yield hovered(ring + label, f"{number}: {one.thickness_mm:.2g} mm")

    def _flat(self, points: Floats) -> Floats:
        return np.column_stack([points @ self._right, points @ self._up])

    def _placed(self, points: Floats) -> Floats:
        moved = (self._flat(points) - self._middle) * self._scale
        return np.asarray(self._at + moved * [1, -1])


def _triangle(places: Floats) -> str:
    """The first corner, and the two steps from it: short, since there are thousands."""
    (x, y), (right, down), (left, up) = places[0], places[1] - places[0], places[2] - places[1]
    return f"M{at(x)} {at(y)}l{at(right)} {at(down)} {at(left)} {at(up)}z"


def _means(corners: Floats) -> Floats:
    """The mean of the corners that have a wall; not a number where none has."""
    known = np.isfinite(corners)
    many = known.sum(axis=1)
    total = np.where(known, corners, 0).sum(axis=1)
    return np.asarray(np.divide(total, many, out=np.full(len(corners), np.nan), where=many > 0))


def _shaded(colour: str, light: float) -> str:
    share = DARKEST + (1 - DARKEST) * light
    parts = (round(int(colour[i : i + 2], 16) * share) for i in (1, 3, 5))
    return "#" + "".join(f"{part:02x}" for part in parts)


def _key(classes: tuple[WallClass, ...], columns: int) -> Iterator[str]:
    told = [*((one.colour, one.words) for one in classes), (RIM, "rim or outer corner")]
    for i, (colour, said) in enumerate(told):
        x, y = EDGE + (i % columns) * KEY_ROOM, HEIGHT + (i // columns) * KEY_LINE + 4
        place = f'x="{at(x)}" y="{at(y)}" width="{SWATCH:g}" height="{SWATCH:g}"'
        yield f'<rect class="swatch" {place} fill="{colour}" stroke="{INK}" stroke-width="0.6"/>'
        yield text(said, x + SWATCH + 6, y + 9.5, colour=INK, size=WORD)

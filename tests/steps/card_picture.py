"""A drawn photograph: a card and a piece of known colours under a lamp that is not white."""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence

import numpy as np
from PIL import Image, ImageDraw

from offtool.core.colour.spaces import linear_from_lab, srgb_from_linear
from offtool.steps.card_marks import Corners

WIDE, HIGH = 600, 400
LAMP = (0.62, 0.55, 0.40)
"""What the picture shows of each channel: a warm lamp, and not too bright."""
Lab = tuple[float, float, float]
LABS: tuple[Lab, ...] = (
    *((95.0, 0.0, 0.0), (80.0, 0.0, 0.0), (65.0, 0.0, 0.0), (50.0, 0.0, 0.0)),
    *((35.0, 0.0, 0.0), (22.0, 0.0, 0.0), (45.0, 45.0, 25.0), (62.0, 30.0, 50.0)),
    *((80.0, 2.0, 60.0), (55.0, -32.0, 28.0), (38.0, 8.0, -35.0), (52.0, 40.0, -12.0)),
)
"""Three rows of four; under D65 and 2 degrees."""
ROWS, COLUMNS = 3, 4
CORNERS: Corners = ((0.55, 0.15), (0.93, 0.15), (0.93, 0.60), (0.55, 0.60))
TORSO: Lab = (58.0, -20.0, 12.0)
BOX = (0.10, 0.20, 0.30, 0.60)
CARD = "patch,L,a,b\n" + "\n".join(f"P{i},{l},{a},{b}" for i, (l, a, b) in enumerate(LABS, start=1)) + "\n"


def seen(lab: Lab) -> tuple[int, int, int]:
    """What the camera writes of a colour under the lamp."""
    light = np.clip(linear_from_lab(np.array(lab), "D65/2"), 0, 1) * np.array(LAMP)
    red, green, blue = (round(float(one)) for one in np.ravel(srgb_from_linear(light)))
    return red, green, blue


def photograph(
    *,
    corners: Corners = CORNERS,
    labs: Sequence[Lab] = LABS,
    piece: Mapping[tuple[float, float, float, float], tuple[int, int, int]] | None = None,
) -> bytes:
    """A PNG: the card between these corners, patch beside patch, and the boxes of the piece."""
    picture = Image.new("RGB", (WIDE, HIGH), seen((60.0, 3.0, 8.0)))
    pen = ImageDraw.Draw(picture)
    for (x0, y0, x1, y1), colour in (piece or {BOX: seen(TORSO)}).items():
        pen.rectangle((x0 * WIDE, y0 * HIGH, x1 * WIDE, y1 * HIGH), fill=colour)
    _draw_card(pen, corners, labs)
    written = io.BytesIO()
    picture.save(written, "PNG")
    return written.getvalue()


def _draw_card(pen: ImageDraw.ImageDraw, corners: Corners, labs: Sequence[Lab]) -> None:
    """Each patch as a quadrangle between the corners; the card is not seen in perspective."""
    a, b, c, d = (np.array(one) * (WIDE, HIGH) for one in corners)

    def at(x: float, y: float) -> tuple[float, float]:
        place = (1 - y) * ((1 - x) * a + x * b) + y * ((1 - x) * d + x * c)
        return float(place[0]), float(place[1])

    for number, lab in enumerate(labs):
        row, column = divmod(number, COLUMNS)
        x, y = (column / COLUMNS, (column + 1) / COLUMNS), (row / ROWS, (row + 1) / ROWS)
        pen.polygon([at(x[0], y[0]), at(x[1], y[0]), at(x[1], y[1]), at(x[0], y[1])], fill=seen(lab))

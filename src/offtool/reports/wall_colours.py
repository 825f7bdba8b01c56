"""The colours of wall thickness: one hue from light to dark, and a second one, hatched in words and numbers,
for what is thicker than one and a half times the usual wall."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from offtool.core.planning.geometry.walls import THICK

SHARES = (0.5, 0.75, 1.25, THICK)
"""Ends of the classes, as shares of the median."""
HUE = ("#dcebec", "#a9cdd0", "#6ba6ab", "#2f7f87")
TOO_THICK = "#b3541e"
RIM = "#e4e0d8"


@dataclass(frozen=True, slots=True, kw_only=True)
class WallClass:
    """One colour, from and to which thickness, and in words."""

    low_mm: float
    high_mm: float
    colour: str
    words: str

    def holds(self, thickness_mm: float) -> bool:
        """Whether a wall is of this class."""
        return self.low_mm <= thickness_mm < self.high_mm


def wall_classes(median_mm: float) -> tuple[WallClass, ...]:
    """The classes about a median wall, the thinnest first."""
    ends = (0.0, *(share * median_mm for share in SHARES), float("inf"))
    colours = (*HUE, TOO_THICK)
    return tuple(
        WallClass(low_mm=low, high_mm=high, colour=colour, words=_words(low, high))
        for (low, high), colour in zip(pairwise(ends), colours, strict=True)
    )


def wall_colour(classes: tuple[WallClass, ...], thickness_mm: float) -> str:
    """The colour of a wall; that of a rim where none was measured."""
    return next((one.colour for one in classes if one.holds(thickness_mm)), RIM)


def _words(low: float, high: float) -> str:
    if low == 0:
        return f"under {high:.2g} mm"
    if high == float("inf"):
        return f"over {low:.2g} mm: cools last"
    return f"{low:.2g} to {high:.2g} mm"

"""What a gauge room writes down of a trial: the hidden tool's parts, rounded as each gauge shows them."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date

import numpy as np
from examples.otter_story.drawings import Size, ToolDrawing
from numpy.typing import NDArray

SHOWN = {
    "MIC-07": (0.001, 3),
    "MSC-02": (0.001, 3),
    "CAL-11": (0.02, 2),
    "SCL-03": (0.01, 2),
    "PRO-05": (0.1, 1),
}
"""Smallest step and decimals of each gauge's display."""

Cell = tuple[int, str, str]
"""Shot, cavity, and part and number of a size."""
Hand = Callable[[str], str]
"""What somebody made of the number in a cell."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """One trial as measured, value[shot, size, cavity]; `by_hand` says which cells were written otherwise."""

    drawing: ToolDrawing
    trial: str
    shot_on: date
    shots: NDArray[np.int64]
    value: NDArray[np.float64]
    by_hand: Mapping[Cell, Hand] = field(default_factory=dict)

    def text(self, shot: int, size: int, cavity: int, *, decimal: str = ".") -> str:
        """The cell of a shot (by place), size and cavity, as it is written down."""
        asked = self.drawing.sizes[size]
        text = f"{self.value[shot, size, cavity]:.{SHOWN[asked.gauge][1]}f}".replace(".", decimal)
        hand = self.by_hand.get((int(self.shots[shot]), self.drawing.labels[cavity], asked.key))
        return hand(text) if hand else text

    def places(self) -> Iterator[tuple[int, int]]:
        """Shot and cavity of every part, shot by shot."""
        for shot in range(len(self.shots)):
            for cavity in range(self.drawing.cavities):
                yield shot, cavity


def read_off(value: NDArray[np.float64], sizes: tuple[Size, ...]) -> NDArray[np.float64]:
    """Values as the gauges' displays show them."""
    step = np.array([SHOWN[size.gauge][0] for size in sizes])[None, :, None]
    return np.asarray(np.round(np.round(value / step) * step, 6))

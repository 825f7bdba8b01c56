"""Where the patches of a card lie on a photograph, from its four corners."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from offtool.core.values import ImpossibleInput
from offtool.exchange.photographed import Region

Point = tuple[float, float]
"""From left and from top, as shares of the upright picture."""
Corners = tuple[Point, Point, Point, Point]
"""Upper left, upper right, lower right, lower left of the card, as it lies."""

INSIDE = 0.5
"""The middle of a patch that is read, as a share of its shorter side: printed edges and frames stay out, and
so it fits into a patch that lies at any angle. Our own."""
MOST_ACROSS = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class CardGrid:
    """A card of rows and columns of patches; the corners are those of its outermost patches."""

    corners: Corners
    rows: int
    columns: int

    def patches(self, width: int, height: int) -> tuple[Region, ...]:
        """The region of each patch on a picture of this size, row by row from the card's upper left.

        Raises ImpossibleInput for corners that do not go round a card, or one that is not on the picture.
        """
        self._refuse_impossible()
        size = np.array([width, height], dtype=float)
        seen = np.array(self.corners) * size
        _refuse_crossed(seen)
        across = _places(self.columns)
        down = _places(self.rows)
        middles = [(x, y) for y in down for x in across]
        found = _carried(_from_square(seen), np.array(middles))
        half = INSIDE / 2 * self._shortest(seen)
        ends = np.column_stack([found - half[:, None], found + half[:, None]]) / np.tile(size, 2)
        return tuple((float(a), float(b), float(c), float(d)) for a, b, c, d in ends)

    def _refuse_impossible(self) -> None:
        for name, number in (("rows", self.rows), ("columns", self.columns)):
            if not 1 <= number <= MOST_ACROSS:
                limit = f"must be 1 to {MOST_ACROSS}"
                raise ImpossibleInput(name, number, "", limit, "count the patches of the card")
        if not all(0 <= share <= 1 for corner in self.corners for share in corner):
            raise ImpossibleInput(
                "corners", _shown(self.corners), "", "must lie on the picture", "mark the card's corners"
            )

    def _shortest(self, seen: NDArray[np.float64]) -> NDArray[np.float64]:
        """The shorter side of each patch, in pixels: a card that lies askew has smaller ones at the back."""
        square = _from_square(seen)
        edges_x = np.linspace(0, 1, self.columns + 1)
        edges_y = np.linspace(0, 1, self.rows + 1)
        found = _carried(square, np.array([(x, y) for y in edges_y for x in edges_x]))
        net = found.reshape(self.rows + 1, self.columns + 1, 2)
        along = np.linalg.norm(np.diff(net, axis=1), axis=2)
        up = np.linalg.norm(np.diff(net, axis=0), axis=2)
        shorter = np.minimum(np.minimum(along[:-1], along[1:]), np.minimum(up[:, :-1], up[:, 1:]))
        return np.asarray(shorter.ravel())


def _places(count: int) -> list[float]:
    """The middles of so many patches in a row, from 0 to 1."""
    return [(i + 0.5) / count for i in range(count)]


def _from_square(seen: NDArray[np.float64]) -> NDArray[np.float64]:
    """How a flat card is seen: the projection that takes the unit square to these four corners."""
    rows, wanted = [], []
    for (x, y), (u, v) in zip(((0, 0), (1, 0), (1, 1), (0, 1)), seen, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        wanted += [u, v]
    found = np.linalg.solve(np.array(rows, dtype=float), np.array(wanted, dtype=float))
    return np.append(found, 1.0).reshape(3, 3)


def _carried(projection: NDArray[np.float64], places: NDArray[np.float64]) -> NDArray[np.float64]:
    seen = np.column_stack([places, np.ones(len(places))]) @ projection.T
    return np.asarray(seen[:, :2] / seen[:, 2:])


def _refuse_crossed(seen: NDArray[np.float64]) -> None:
    """Going round the card, every corner turns the same way; else two were mixed up."""
    sides = np.roll(seen, -1, axis=0) - seen
    turns = [a[0] * b[1] - a[1] * b[0] for a, b in pairwise([*sides, sides[0]])]
    if min(turns) <= 0:
        raise ImpossibleInput(
            "corners", "the four corners", "", "must go round the card",
            "give upper left, upper right, lower right, lower left, as the card lies",
        )  # fmt: skip


def _shown(corners: Corners) -> str:
    return ", ".join(f"{100 * x:.3g} {100 * y:.3g}" for x, y in corners)

"""Lines of equal value over a grid, as straight pieces from side to side of its cells."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import isfinite

Spot = tuple[float, float]
"""Column and row, in cells."""

_SIDES = ((0, 1), (1, 2), (2, 3), (3, 0))
_CORNERS = ((0, 0), (0, 1), (1, 1), (1, 0))
"""Row and column of the corners of a cell, around it."""


def contour(values: Sequence[Sequence[float]], value: float) -> Iterator[tuple[Spot, Spot]]:
    """The pieces of the line where the grid has this value; cells with a value that is not finite are left
    out.

    Where two opposite corners lie above, the mean of the four says which are joined.
    """
    for row in range(len(values) - 1):
        for column in range(len(values[row]) - 1):
            heights = [values[row + r][column + c] - value for r, c in _CORNERS]
            if all(isfinite(one) for one in heights):
                spots = [(column + x, row + y) for x, y in _crossings(heights)]
                yield from zip(spots[::2], spots[1::2], strict=True)


def _crossings(heights: Sequence[float]) -> list[Spot]:
    """Where the sides of a cell pass the value, in pairs that belong together."""
    found = [
        _between(first, second, heights)
        for first, second in _SIDES
        if (heights[first] >= 0) is not (heights[second] >= 0)
    ]
    if len(found) == 4 and (sum(heights) >= 0) is (heights[0] >= 0):
        return found  # the corners above are joined across the cell: pieces cut off the others
    return [found[-1], *found[:-1]] if len(found) == 4 else found


def _between(first: int, second: int, heights: Sequence[float]) -> Spot:
    share = heights[first] / (heights[first] - heights[second])
    (row, column), (other_row, other_column) = _CORNERS[first], _CORNERS[second]
    return column + share * (other_column - column), row + share * (other_row - row)

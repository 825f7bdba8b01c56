"""All directions, or all ways to turn a shape, cut into cells, each with how far a point may move within it.

A direction is a vector of three numbers, a turn one of four, a unit quaternion; and v and -v are the same for
what is asked here. So the faces of a cube about the sphere that look one way each hold them all.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product
from typing import Any

import numpy as np
from numpy.typing import NDArray

from offtool.core.pilot.safety.gauge import Floats

FIRST = 4
"""Cells along an edge of a face to begin with."""
DIRECTIONS, TURNS = 3, 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Cells:
    """Squares or cubes on the faces: which face, the middle on it, and half an edge, the same for all."""

    face: NDArray[np.int64]
    middle: Floats
    half: float

    def __len__(self) -> int:
        return len(self.face)

    @property
    def numbers(self) -> int:
        """How many numbers a vector has: three for a direction, four for a turn."""
        return int(self.middle.shape[1]) + 1

    def chosen(self, which: NDArray[Any]) -> Cells:
        """Some of them."""
        return Cells(face=self.face[which], middle=self.middle[which], half=self.half)

    def cut(self) -> Cells:
        """Each cut in half along every edge."""
        half = self.half / 2
        corners = np.array(list(product((-half, half), repeat=self.numbers - 1)))
        middle = (self.middle[:, None] + corners[None]).reshape(-1, self.numbers - 1)
        return Cells(face=np.repeat(self.face, len(corners)), middle=middle, half=half)

    def vectors(self) -> Floats:
        """The unit vector in the middle of each."""
        v = np.insert(self.middle, 0, 1.0, axis=1)
        order = (np.arange(self.numbers)[None] - self.face[:, None]) % self.numbers
        v = np.take_along_axis(v, order, axis=1)
        return np.asarray(v / np.linalg.norm(v, axis=1, keepdims=True))

    def reach(self) -> Floats:
        """How far a point at the distance 1 moves at most from the middle of the cell to any place in it.

        Two places on a face, s apart and not nearer to the centre than m, are seen at an angle a of at most
        2 asin(s / 2 m). A direction turns by a, which moves the point by 2 sin(a / 2); a turn by 2 a.
        """
        s = self.half * np.sqrt(self.numbers - 1)
        m = np.sqrt(1 + (np.maximum(np.abs(self.middle) - self.half, 0) ** 2).sum(axis=1))
        a = 2 * np.arcsin(np.minimum(s / (2 * m), 1.0))
        half_turned = a / 2 if self.numbers == DIRECTIONS else a
        return np.asarray(2 * np.sin(np.minimum(half_turned, np.pi / 2)))


def all_cells(numbers: int) -> Cells:
    """Cells that hold every direction (three numbers) or every turn (four)."""
    ticks = (np.arange(FIRST) + 0.5) * 2 / FIRST - 1
    grid = np.array(list(product(ticks, repeat=numbers - 1)))
    face = np.repeat(np.arange(numbers, dtype=np.int64), len(grid))
    return Cells(face=face, middle=np.tile(grid, (numbers, 1)), half=1 / FIRST)


def _squares() -> Floats:
    """Each entry of the matrix of a turn as a form in the four numbers: entry ij is q·S[i, j]·q."""
    w, x, y, z = range(4)
    twice = {
        (0, 0): {(w, w): 1, (x, x): 1, (y, y): -1, (z, z): -1},
        (1, 1): {(w, w): 1, (x, x): -1, (y, y): 1, (z, z): -1},
        (2, 2): {(w, w): 1, (x, x): -1, (y, y): -1, (z, z): 1},
        (0, 1): {(x, y): 2, (w, z): -2},
        (1, 0): {(x, y): 2, (w, z): 2},
        (0, 2): {(x, z): 2, (w, y): 2},
        (2, 0): {(x, z): 2, (w, y): -2},
        (1, 2): {(y, z): 2, (w, x): -2},
        (2, 1): {(y, z): 2, (w, x): 2},
    }
    forms = np.zeros((3, 3, 4, 4))
    for entry, products in twice.items():
        for pair, factor in products.items():
            forms[entry][pair] += factor / 2
            forms[entry][pair[::-1]] += factor / 2
    return forms


SQUARES = _squares()


def frames(q: Floats) -> Floats:
    """Turns as matrices; a row of each is an axis of the gauge as the shape sees it: across, along, up."""
    pairs = (q[..., :, None] * q[..., None, :]).reshape(*q.shape[:-1], 16)
    return np.asarray((pairs @ SQUARES.reshape(9, 16).T).reshape(*q.shape[:-1], 3, 3))


def frames_up(up: Floats) -> Floats:
    """A frame for each direction, whose third row it is; how it is turned about it does not matter."""
    least = np.eye(3)[np.argmin(np.abs(up), axis=1)]
    across = np.cross(up, least)
    across /= np.linalg.norm(across, axis=1, keepdims=True)
    return np.stack([across, np.cross(up, across), up], axis=1)

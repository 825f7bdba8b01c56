"""The window between the settings that were tried: where both hold, and where in it to stand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from offtool.core.welding.study.looks import firth_fit, good_bounds
from offtool.core.welding.study.response import Response, fit_response, model
from offtool.core.welding.study.results import Grid, WindowGrid, WindowSetting
from offtool.core.welding.study.runs import NAMES, VARIED, WeldRun

Array = NDArray[np.float64]

ALONG = 25
"""Places along each axis of the window."""
ALONE = 61


@dataclass(frozen=True, slots=True)
class Scale:
    """The settings that were varied, coded so that the range tried is -1 to 1."""

    names: tuple[str, ...]
    low: Array
    high: Array

    @classmethod
    def of(cls, runs: Sequence[WeldRun]) -> Scale:
        known = {name: {getattr(run, name) for run in runs} - {None} for name in VARIED}
        names = tuple(name for name in VARIED if len(known[name]) > 1)
        ends = [(min(known[name]), max(known[name])) for name in names]
        return cls(names, np.array([low for low, _ in ends]), np.array([high for _, high in ends]))

    def coded(self, runs: Sequence[WeldRun]) -> Array:
        """A row for each run that says all varied settings."""
        plain = [[getattr(run, name) for name in self.names] for run in runs]
        return np.asarray(self.code(np.array(plain, dtype=float).reshape(len(runs), len(self.names))))

    def code(self, plain: Array) -> Array:
        return np.asarray((2 * plain - self.low - self.high) / (self.high - self.low))

    def plain(self, coded: Array) -> Array:
        return np.asarray((self.low + self.high + coded * (self.high - self.low)) / 2)

    def says_all(self, run: WeldRun) -> bool:
        """Whether the run names every setting that was varied."""
        return all(getattr(run, name) is not None for name in self.names)


@dataclass(frozen=True, slots=True)
class Fits:
    """Strength and look along the settings, each None where the runs do not suffice."""

    scale: Scale
    coded: Array
    strength: Response | None
    looks_at: Array
    good: Array
    looks: Array | None

    @classmethod
    def of(cls, scale: Scale, runs: Sequence[WeldRun], largest_flash_mm: float | None) -> Fits:
        coded = scale.coded(runs)
        pulled = np.array([run.strength_n is not None for run in runs], dtype=bool)
        strengths = np.array([run.strength_n for run in runs if run.strength_n is not None], dtype=float)
        stopped = np.array([run.stopped for run in runs if run.strength_n is not None], dtype=bool)
        strength = fit_response(coded[pulled], strengths, stopped) if strengths.size else None
        seen = [run.looks_good(largest_flash_mm) for run in runs]
        looked = np.array([one is not None for one in seen], dtype=bool)
        x = model(coded[looked], linear(len(scale.names)))
        good = np.array([one for one in seen if one is not None], dtype=float)
        enough = len(good) > x.shape[1] and np.linalg.matrix_rank(x) == x.shape[1]
        return cls(scale, coded, strength, x, good, firth_fit(x, good) if enough else None)

    def looks_bounds(self, coded: Array, confidence: float) -> tuple[Array, Array]:
        """Probability of a good look and its lower bound."""
        places = model(coded, linear(len(self.scale.names)))
        return good_bounds(self.looks_at, self.good, places, confidence)


def linear(count: int) -> tuple[tuple[int, ...], ...]:
    """The mean and each setting."""
    return ((), *((i,) for i in range(count)))


@dataclass(frozen=True, slots=True)
class Plane:
    """The places of a window: which settings run along its axes, what the others are held at."""

    along: tuple[int, ...]
    steps: tuple[Array, ...]
    coded: Array

    @property
    def shape(self) -> tuple[int, int]:
        """Rows over the second axis, columns over the first."""
        return (self.steps[1].size if len(self.steps) > 1 else 1, self.steps[0].size)


def planes(fits: Fits) -> list[Plane]:
    """The two most varied settings, at each level of the others; one setting alone makes a line."""
    coded = fits.coded
    levels = [np.unique(coded[:, i]) for i in range(coded.shape[1])]
    order = sorted(range(len(levels)), key=lambda i: -levels[i].size)
    along, rest = tuple(sorted(order[:2])), order[2:]
    step = np.linspace(-1, 1, ALONG if len(along) > 1 else ALONE)
    found = []
    for held in product(*(levels[i] for i in rest)):
        rows, columns = (step, step) if len(along) > 1 else (np.zeros(1), step)
        places = np.zeros((rows.size * columns.size, coded.shape[1]))
        places[:, along[0]] = np.tile(columns, rows.size)
        if len(along) > 1:
            places[:, along[1]] = np.repeat(rows, columns.size)
        for i, value in zip(rest, held, strict=True):
            places[:, i] = value
        found.append(Plane(along, tuple(step for _ in along), places))
    return found


@dataclass(frozen=True, slots=True)
class Judged:
    """A plane with what is predicted and shown at each of its places."""

    plane: Plane
    mean: Array
    low: Array
    looks: Array
    looks_low: Array
    holds: NDArray[np.bool_]


def best_plane(fits: Fits, required_n: float, share: float, good_share: float, confidence: float) -> Judged:
    """The plane whose window is largest; where none has one, that with the highest bounds of strength."""
    judged = [_judged(fits, one, required_n, share, good_share, confidence) for one in planes(fits)]
    return max(judged, key=lambda one: (int(one.holds.sum()), float(one.low.max())))


def _judged(
    fits: Fits, plane: Plane, required_n: float, share: float, good_share: float, confidence: float
) -> Judged:
    strength = fits.strength
    if strength is None:
        raise RuntimeError("no strength was fitted")
    mean, low = strength.predicted(plane.coded), strength.lower(plane.coded, share, confidence)
    if fits.looks is None:
        looks, looks_low = np.zeros(mean.shape), np.zeros(mean.shape)
    else:
        looks, looks_low = fits.looks_bounds(plane.coded, confidence)
    return Judged(plane, mean, low, looks, looks_low, (low >= required_n) & (looks_low >= good_share))


def window_grid(fits: Fits, judged: Judged) -> WindowGrid:
    """The window as plain numbers, and the place farthest from its edge."""
    plane = judged.plane
    holds = judged.holds.reshape(plane.shape)
    stand = _farthest_inside(holds, plane)
    axes = tuple(_axis(fits.scale, plane, holds, stand, place) for place in range(len(plane.along)))
    others = [i for i in range(len(fits.scale.names)) if i not in plane.along]
    held = fits.scale.plain(plane.coded[:1])[0]
    return WindowGrid(
        axes=axes,
        held=tuple((NAMES[fits.scale.names[i]], float(held[i])) for i in others),
        holds=tuple(tuple(bool(one) for one in row) for row in holds),
        strength_mean=_rows(judged.mean, plane),
        strength_low=_rows(judged.low, plane),
        looks_mean=_rows(judged.looks, plane),
        looks_low=_rows(judged.looks_low, plane),
        room=None if stand is None else stand[2],
        share_of_range=float(holds.mean()),
    )


def stand_of(fits: Fits, judged: Judged, grid: WindowGrid) -> Array | None:
    """The place of the window where to stand, coded, as a single row; None without a window."""
    if grid.room is None:
        return None
    stand = np.array([axis.stand_at for axis in grid.axes], dtype=float)
    plain = fits.scale.plain(judged.plane.coded)[:, list(judged.plane.along)]
    ends = (fits.scale.high - fits.scale.low)[list(judged.plane.along)]
    here = int(np.argmin((np.abs(plain - stand) / ends).sum(axis=1)))
    return judged.plane.coded[here : here + 1]


def holds_at(
    fits: Fits, place: Array, required_n: float, share: float, good_share: float, confidence: float
) -> bool:
    """Whether both bounds reach what is asked at a place."""
    if fits.strength is None or fits.looks is None:
        return False
    strong = fits.strength.lower(place, share, confidence)[0] >= required_n
    return bool(strong and fits.looks_bounds(place, confidence)[1][0] >= good_share)


def _rows(values: Array, plane: Plane) -> Grid:
    return tuple(tuple(float(one) for one in row) for row in values.reshape(plane.shape))


def _farthest_inside(holds: NDArray[np.bool_], plane: Plane) -> tuple[int, int, float] | None:
    """Row and column of the place farthest from every edge, and how far in shares of the range tried.

    The end of the range is an edge as well: nothing is known beyond it.
    """
    if not holds.any():
        return None
    padded = np.pad(holds, ((1, 1) if len(plane.along) > 1 else (0, 0), (1, 1)))
    far = ndimage.distance_transform_edt(
        padded, sampling=[1 / (step.size - 1) for step in plane.steps[:1]] * 2
    )
    far = far[1:-1, 1:-1] if len(plane.along) > 1 else far[:, 1:-1]
    # Of equally far places the one nearest the middle of them all, so that mirrored runs stand mirrored.
    rows, columns = np.nonzero(far >= far.max() * (1 - 1e-9))
    away = (rows - rows.mean()) ** 2 + (columns - columns.mean()) ** 2
    best = int(np.argmin(away))
    row, column = int(rows[best]), int(columns[best])
    return row, column, float(far[row, column])


def _axis(
    scale: Scale,
    plane: Plane,
    holds: NDArray[np.bool_],
    stand: tuple[int, int, float] | None,
    place: int,
) -> WindowSetting:
    i, step = plane.along[place], plane.steps[place]
    values = (scale.low[i] + scale.high[i] + step * (scale.high[i] - scale.low[i])) / 2
    at = low = high = None
    if stand is not None:
        line, here = (holds[stand[0]], stand[1]) if place == 0 else (holds[:, stand[1]], stand[0])
        outside = np.flatnonzero(~line)
        first = int(outside[outside < here].max(initial=-1)) + 1
        last = int(outside[outside > here].min(initial=line.size)) - 1
        at, low, high = float(values[here]), float(values[first]), float(values[last])
    return WindowSetting(
        name=NAMES[scale.names[i]],
        unit=VARIED[scale.names[i]],
        stand_at=at,
        low=low,
        high=high,
        values=tuple(float(value) for value in values),
    )

"""How readings approach their settled values: exponentials with one time constant for all series."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import inf, sqrt

import numpy as np
from numpy.typing import NDArray
from scipy import special

from offtool.core.values import Interval

Array = NDArray[np.float64]
SHORTEST = 0.4
"""Time constants are looked for from here, in steps between shots: below, only the first shot moved."""
LONGEST = 0.5
"""... to here, in spans of the run: longer ones cannot be told from a straight line."""
TRIED = 12
TRIED_AT_ENDS = 60
HALVINGS = 16


@dataclass(frozen=True, slots=True)
class Approach:
    """The likeliest time constant, how sure, and the place from which the drift that is left does not matter.

    `p` is the share of shuffled runs that an exponential fits as well; `place` counts shots from 0, None
    where the run is too short for it.
    """

    time_constant: float
    interval: Interval
    p: float
    shape: Array
    place: int | None


@dataclass(frozen=True, slots=True)
class _Run:
    """Series on their own spread, [shot, series], nothing where not measured; and where they were."""

    x: Array
    value: Array
    measured: Array | None
    count: Array

    @classmethod
    def of(cls, shots: Array, series: Array) -> _Run:
        here = ~np.isnan(series)
        full = bool(here.all())
        return cls(
            x=shots - shots[0],
            value=series if full else np.where(here, series, 0.0),
            measured=None if full else here.astype(float),
            count=here.sum(axis=0).astype(float),
        )

    def fitted(self, shapes: Array) -> tuple[Array, Array]:
        """Product with each series and squares of each shape about its mean; [shape, series]."""
        if self.measured is None:
            apart = shapes - shapes.mean(axis=1, keepdims=True)
            return apart @ self.value, np.square(apart).sum(axis=1, keepdims=True)
        squares = shapes**2 @ self.measured - (shapes @ self.measured) ** 2 / self.count
        return shapes @ self.value, squares

    def gains(self, shapes: Array) -> Array:
        """Squares that each shape takes off all series together."""
        product, squares = self.fitted(shapes)
        known = squares > 1e-12
        return np.asarray((product**2 / np.where(known, squares, np.inf)).sum(axis=1))


def find_approach(
    shots: Array, series: Array, orders: NDArray[np.intp], confidence: float
) -> Approach | None:
    """Fit y_j = a_j + b_j exp(-(shot - first) / tau), one tau for all (variable projection).

    For each tau the a_j and b_j are least squares, so only tau is searched. `orders` are shuffled shots, by
    which chance is judged: sizes that move together count once. None where there is nothing to fit.
    """
    run = _Run.of(shots, series)
    if series.shape[1] == 0 or len(shots) < 5:
        return None
    step, span = float(np.median(np.diff(shots))), float(run.x[-1])
    tried = np.geomspace(SHORTEST * step, max(LONGEST * span, 2 * SHORTEST * step), TRIED)
    shapes = _shapes(run.x, tried)
    gains = run.gains(shapes)
    by_chance = run.gains(shapes[:, orders].reshape(-1, len(shots)))
    most = by_chance.reshape(TRIED, len(orders)).max(axis=0)
    p = float((1 + (most >= gains.max() * (1 - 1e-9)).sum()) / (1 + len(orders)))
    best = int(gains.argmax())
    ends = tried[max(best - 1, 0)], tried[min(best + 1, TRIED - 1)]
    time_constant = _likeliest(run, *ends)
    shape = _shapes(run.x, np.array([time_constant]))[0]
    return Approach(
        time_constant=time_constant,
        interval=_interval(run, time_constant, shape, step, span, confidence),
        p=p,
        shape=shape,
        place=_settled_place(run, shape),
    )


def is_curved(approach: Approach, shots: Array) -> bool:
    """Whether the time constant is inside what was looked for: at the end it is a straight line."""
    return approach.time_constant < 0.98 * LONGEST * float(shots[-1] - shots[0])


def line_chance(
    shots: Array, series: Array, shape: Array | None, rng: np.random.Generator, orders: int
) -> float:
    """p of a straight line over shots in all series together, beside an exponential shape if one is given."""
    x = shots - shots.mean()
    columns = np.ones((len(x), 1)) if shape is None else np.column_stack([np.ones(len(x)), shape])
    basis, _ = np.linalg.qr(columns)
    left = np.where(np.isnan(series), 0.0, series - np.nanmean(series, axis=0))
    left = left - basis @ (basis.T @ left)
    x = x - basis @ (basis.T @ x)
    shuffled = rng.permuted(np.tile(x, (orders, 1)), axis=1)
    found = float(np.square(x @ left).sum())
    return float((1 + (np.square(shuffled @ left).sum(axis=1) >= found * (1 - 1e-9)).sum()) / (1 + orders))


def _shapes(x: Array, time_constants: Array) -> Array:
    return np.asarray(np.exp(-x / time_constants[:, None]))


def _likeliest(run: _Run, low: float, high: float) -> float:
    """The best time constant between two, by three finer and finer grids."""
    for _ in range(3):
        tried = np.geomspace(low, high, 17)
        best = int(run.gains(_shapes(run.x, tried)).argmax())
        low, high = tried[max(best - 1, 0)], tried[min(best + 1, 16)]
    return float(tried[best])


def _interval(
    run: _Run, time_constant: float, shape: Array, step: float, span: float, confidence: float
) -> Interval:
    """Time constants that lose no more squares than F allows.

    What moves tau is the noise along the fitted b: series of one shot may share theirs, so it is taken from
    that one combination of the residuals.
    """
    b, apart = _amplitudes(run, shape)
    left = run.value - apart * b
    if run.measured is not None:
        left = left * run.measured
    size = float(b @ b)
    freedom = len(run.x) - 3
    noise = float(np.square(left @ b).sum()) / size / freedom if size > 0 else 0.0
    allowed = noise * float(special.fdtri(1, freedom, confidence))
    most = run.gains(shape[None])[0]

    def lost(time_constants: Array) -> Array:
        return np.asarray(most - run.gains(_shapes(run.x, time_constants)))

    tried = np.geomspace(0.05 * step, 20 * span, TRIED_AT_ENDS)
    outside = lost(tried) > allowed
    below = tried[outside & (tried < time_constant)][-1:]
    above = tried[outside & (tried > time_constant)][:1]
    return Interval(
        low=_crossing(lost, allowed, float(below[0]), time_constant) if below.size else 0.0,
        high=_crossing(lost, allowed, float(above[0]), time_constant) if above.size else inf,
        confidence=confidence,
    )


def _crossing(lost: Callable[[Array], Array], allowed: float, outside: float, inside: float) -> float:
    """Where the loss passes what is allowed, by halving in the logarithm."""
    for _ in range(HALVINGS):
        middle = sqrt(outside * inside)
        if lost(np.array([middle]))[0] > allowed:
            outside = middle
        else:
            inside = middle
    return sqrt(outside * inside)


def _amplitudes(run: _Run, shape: Array) -> tuple[Array, Array]:
    """b of each series, and the shape about its mean where that series was measured."""
    product, squares = run.fitted(shape[None])
    b = np.where(squares[0] > 1e-12, product[0] / np.maximum(squares[0], 1e-12), 0.0)
    if run.measured is None:
        return np.broadcast_to(b, product[0].shape), (shape - shape.mean())[:, None]
    return b, shape[:, None] - (shape @ run.measured) / run.count


def _settled_place(run: _Run, shape: Array) -> int | None:
    """The first shot from which the mean drift left is below the standard error of the mean left.

    Over all series, root mean square; squares of b less what noise adds to them.
    """
    b, apart = _amplitudes(run, shape)
    squares = np.square(apart).sum(axis=0) if run.measured is None else run.fitted(shape[None])[1][0]
    left = run.value - apart * b
    if run.measured is not None:
        left = left * run.measured
    noise = np.square(left).sum(axis=0) / np.maximum(run.count - 2, 1)
    height = sqrt(max(float((b**2 - noise / np.maximum(squares, 1e-12)).sum()), 0.0))
    remain = np.arange(len(shape), 0, -1)
    drift = height * shape[::-1].cumsum()[::-1] / remain
    small = np.flatnonzero(drift[:-2] <= np.sqrt(noise.sum() / remain[:-2]))
    return int(small[0]) if small.size else None

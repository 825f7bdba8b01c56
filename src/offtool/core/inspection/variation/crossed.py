"""Cavities by shots: what each cavity, the line over shots and the shots leave, with any cells missing.

Model: reading = cavity + slope (shot - mean shot) + shot + rest; cavities and the line are fixed, shots and
the rest are random. Inside a shot the readings share one shot effect, so the variance matrix is a sum of one
identity and one constant a shot: every sum is over shots and cavities, none over pairs of readings.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import optimize

from offtool.core.inspection.variation.table import Parts

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Blocks:
    """Cavity means with the shots as blocks taken out, and what remains (least squares)."""

    cavity: Array
    cavity_factor: Array
    """Times the variance of the rest: covariance of the cavity values' differences."""
    shot: Array
    squares: float
    freedom: int


def within_blocks(parts: Parts) -> Blocks:
    """Least squares with a value for each cavity and each shot."""
    where = parts.measured
    a_shot, a_cavity = where.sum(axis=1), where.sum(axis=0)
    shot_mean = np.bincount(parts.shot, parts.value) / a_shot
    total = np.bincount(parts.cavity, parts.value) - where.T @ shot_mean
    information = np.diag(a_cavity) - where.T @ (where / a_shot[:, None])
    factor = np.linalg.pinv(information, rcond=1e-10, hermitian=True)
    cavity = factor @ total
    shot = shot_mean - (where @ cavity) / a_shot
    left = parts.value - cavity[parts.cavity] - shot[parts.shot]
    separate = int(np.linalg.matrix_rank(information, tol=1e-9 * a_cavity.max(), hermitian=True))
    return Blocks(
        cavity=cavity,
        cavity_factor=factor,
        shot=shot,
        squares=float(np.square(left).sum()),
        freedom=parts.value.size - len(parts.shots) - separate,
    )


@dataclass(frozen=True, slots=True)
class Fit:
    """Restricted maximum likelihood; factors are times the variance of the rest."""

    ratio: float
    rest: float
    freedom: int
    cavity: Array
    cavity_factor: Array
    slope: float
    slope_factor: float


def fit_crossed(parts: Parts, *, with_shot: bool, with_line: bool) -> Fit:
    """Find the ratio of shot to rest that is likeliest, the cavities and the slope with it."""
    sums = _Sums.of(parts, with_line=with_line)
    ratio = 0.0
    if with_shot:
        found = optimize.minimize_scalar(
            lambda share: sums.deviance(share / (1 - share)),
            bounds=(0.0, 1 - 1e-9),
            method="bounded",
            options={"xatol": 1e-9},
        )
        ratio = float(found.x / (1 - found.x))
        if sums.deviance(0.0) <= float(found.fun):
            ratio = 0.0
    matrix, _, beta, squares = sums.solved(ratio)
    inverse = np.linalg.pinv(matrix, rcond=1e-12, hermitian=True)
    width = len(parts.labels)
    freedom = parts.value.size - matrix.shape[0]
    return Fit(
        ratio=ratio,
        rest=squares / freedom,
        freedom=freedom,
        cavity=sums.own + beta[:width],
        cavity_factor=np.asarray(inverse[:width, :width], dtype=float),
        slope=float(beta[width]) if with_line else 0.0,
        slope_factor=float(inverse[width, width]) if with_line else 0.0,
    )


@dataclass(frozen=True, slots=True)
class _Sums:
    """Sums over shots of the columns (one a cavity, one the line), enough for every ratio."""

    a_shot: Array
    columns: Array
    products: Array
    shot_total: Array
    column_total: Array
    squares: float
    own: Array

    @classmethod
    def of(cls, parts: Parts, *, with_line: bool) -> _Sums:
        where = parts.measured
        a_shot = where.sum(axis=1)
        columns = where
        products = np.diag(where.sum(axis=0))
        # From each cavity's own mean: large differences between cavities cost the small ones no digit.
        own = np.bincount(parts.cavity, parts.value) / where.sum(axis=0)
        value = parts.value - own[parts.cavity]
        shot_total = np.bincount(parts.shot, weights=value).astype(np.float64)
        column_total = np.bincount(parts.cavity, weights=value).astype(np.float64)
        if with_line:
            x = line(parts.shots)
            columns = np.column_stack([where, a_shot * x])
            side = where.T @ x
            products = np.block([[products, side[:, None]], [side[None, :], np.array([[a_shot @ x**2]])]])
            column_total = np.append(column_total, x @ shot_total)
        return cls(a_shot, columns, products, shot_total, column_total, float(np.square(value).sum()), own)

    def solved(self, ratio: float) -> tuple[Array, Array, Array, float]:
        """X'V^-1 X, X'V^-1 y, its solution and the weighted squares left; V in units of the rest."""
        w = ratio / (1 + ratio * self.a_shot)
        matrix = self.products - self.columns.T @ (w[:, None] * self.columns)
        right = self.column_total - self.columns.T @ (w * self.shot_total)
        beta = np.asarray(np.linalg.solve(matrix, right), dtype=float)
        left = self.squares - float(w @ self.shot_total**2) - float(right @ beta)
        return matrix, right, beta, max(left, 0.0)

    def deviance(self, ratio: float) -> float:
        """-2 log restricted likelihood with the rest profiled out, but for a constant."""
        matrix, _, _, squares = self.solved(ratio)
        freedom = self.count - matrix.shape[0]
        logs = np.log1p(ratio * self.a_shot).sum() + np.linalg.slogdet(matrix)[1]
        return float(logs + freedom * np.log(max(squares, 1e-300)))

    @property
    def count(self) -> int:
        return int(float(self.a_shot.sum()))


def line(shots: Array) -> Array:
    """Shot numbers less their mean, over their span."""
    apart = shots - shots.mean()
    return np.asarray(apart / max(float(np.ptp(apart)), 1e-300))

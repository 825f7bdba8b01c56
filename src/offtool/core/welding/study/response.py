"""Strength along the settings: a fitted polynomial, and the bound that a share of all seams exceeds."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray
from scipy import interpolate, optimize, special

from offtool.core.inspection.tolerance import chance_below

Array = NDArray[np.float64]
Term = tuple[int, ...]

LEAST_FREEDOM = 3
"""Degrees of freedom that must be left behind the deviation; our own rule."""
NODES = 24
MOST_FILLINGS = 2000
SMALLEST_LEVERAGE = 1e-4


@dataclass(frozen=True, slots=True)
class Response:
    """The fit. A term names the settings that it multiplies: () is the mean, (0, 0) a square."""

    terms: tuple[Term, ...]
    coefficients: Array
    sd: float
    freedom: int
    inverse: Array
    lack_p: float | None
    pure_freedom: int

    def predicted(self, coded: Array) -> Array:
        """Mean strength at coded settings, a row each."""
        return model(coded, self.terms) @ self.coefficients

    def leverage(self, coded: Array) -> Array:
        """Variance of the predicted mean over that of one seam."""
        x = model(coded, self.terms)
        return np.asarray(np.einsum("gi,ij,gj->g", x, self.inverse, x))

    def lower(self, coded: Array, share: float, confidence: float) -> Array:
        """What this share of all seams exceeds there, with the confidence at each place."""
        k = regression_factors(self.leverage(coded), self.freedom, share, confidence)
        return np.asarray(self.predicted(coded) - k * self.sd)


def fit_response(coded: Array, strengths: Array, stopped: NDArray[np.bool_]) -> Response | None:
    """The richest polynomial that the settings allow with freedom left; None where there is none.

    Freedom is counted over the pulls that came apart.
    """
    count = coded.shape[1]
    for terms in _candidates(coded, count):
        x = model(coded, terms)
        freedom = int((~stopped).sum()) - len(terms)
        if freedom < LEAST_FREEDOM or np.linalg.matrix_rank(x[~stopped], tol=1e-8) < len(terms):
            continue
        if stopped.any():
            return _with_stopped(strengths, stopped, x, terms, freedom)
        return _fitted(coded, strengths, x, terms, freedom)
    return None


def model(coded: Array, terms: tuple[Term, ...]) -> Array:
    """A column for each term."""
    return np.stack([np.prod(coded[:, list(term)], axis=1) for term in terms], axis=1)


def _candidates(coded: Array, count: int) -> list[tuple[Term, ...]]:
    """From squares and products to the mean alone; a setting at two places has no square."""
    linear: tuple[Term, ...] = ((), *((i,) for i in range(count)))
    products: tuple[Term, ...] = tuple(combinations(range(count), 2))
    squares: tuple[Term, ...] = tuple((i, i) for i in range(count) if len(np.unique(coded[:, i])) > 2)
    tried = [linear + products + squares, linear + squares, linear + products, linear]
    return [terms for place, terms in enumerate(tried) if terms not in tried[:place]]


def _fitted(coded: Array, strengths: Array, x: Array, terms: tuple[Term, ...], freedom: int) -> Response:
    q, r = np.linalg.qr(x)
    coefficients = np.linalg.solve(r, q.T @ strengths)
    root = np.linalg.inv(r)
    left = float(((strengths - x @ coefficients) ** 2).sum())
    lack_p, pure = _lack_of_fit(coded, strengths, left, freedom)
    return Response(terms, coefficients, float(np.sqrt(left / freedom)), freedom, root @ root.T, lack_p, pure)


def _with_stopped(
    strengths: Array, stopped: NDArray[np.bool_], x: Array, terms: tuple[Term, ...], freedom: int
) -> Response:
    """Maximum likelihood with stopped pulls, each filled with what is expected above its stop.

    The freedom is that of the pulls that came apart, and each place is as uncertain as if only they had told
    of it: on the safe side (`python -m tests.coverage weld window`).
    """
    n, p = x.shape
    filled, extra, sd = strengths.copy(), np.zeros(n), 0.0
    for _ in range(MOST_FILLINGS):
        coefficients = np.asarray(np.linalg.lstsq(x, filled, rcond=None)[0], dtype=np.float64)
        mean = x @ coefficients
        last, sd = sd, float(np.sqrt((((filled - mean) ** 2).sum() + extra.sum()) / n))
        if not sd > 0 or abs(sd - last) <= 1e-9 * sd:
            break
        above = (strengths - mean)[stopped] / sd
        pulled = np.exp(-(above**2) / 2 - special.log_ndtr(-above)) / np.sqrt(2 * np.pi)
        filled[stopped] = mean[stopped] + sd * pulled
        extra[stopped] = sd**2 * np.maximum(1 + above * pulled - pulled**2, 0.0)
    inverse = np.asarray(np.linalg.inv(x[~stopped].T @ x[~stopped]), dtype=np.float64)
    return Response(terms, coefficients, sd * float(np.sqrt(n / (n - p))), freedom, inverse, None, 0)


def _lack_of_fit(coded: Array, strengths: Array, left: float, freedom: int) -> tuple[float | None, int]:
    """Whether the settings' own means stray from the fit by more than their runs do (F test)."""
    _, codes, counts = np.unique(coded, axis=0, return_inverse=True, return_counts=True)
    codes = codes.ravel()
    means = np.bincount(codes, weights=strengths) / counts
    pure = float(((strengths - means[codes]) ** 2).sum())
    pure_freedom = len(strengths) - len(counts)
    lack_freedom = freedom - pure_freedom
    if pure_freedom < 1 or lack_freedom < 1 or not pure > 0:
        return None, pure_freedom
    ratio = max(left - pure, 0.0) / lack_freedom / (pure / pure_freedom)
    return float(special.fdtrc(lack_freedom, pure_freedom, ratio)), pure_freedom


def regression_factors(leverage: Array, freedom: int, share: float, confidence: float) -> Array:
    """k of the one-sided tolerance bound at places of this leverage.

    k with P(T <= k / sqrt(h)) = confidence, T noncentral t with noncentrality z / sqrt(h): the factor of 1/h
    pulls at one setting. For many places it is solved at a few leverages and put through a smooth curve.
    """
    z = float(special.ndtri(share))
    if leverage.size <= NODES:
        return np.array([_factor(max(float(h), SMALLEST_LEVERAGE), freedom, z, confidence) for h in leverage])
    ends = np.log(np.clip([leverage.min(), leverage.max()], SMALLEST_LEVERAGE, 1e6))
    if ends[1] - ends[0] < 1e-9:
        return np.full(leverage.shape, _factor(float(np.exp(ends[0])), freedom, z, confidence))
    nodes = np.linspace(ends[0], ends[1], NODES)
    factors = [_factor(float(np.exp(node)), freedom, z, confidence) for node in nodes]
    curve = interpolate.CubicSpline(nodes, factors)
    return np.asarray(curve(np.log(np.maximum(leverage, SMALLEST_LEVERAGE))))


def _factor(leverage: float, freedom: int, z: float, confidence: float) -> float:
    parts = 1 / leverage

    def missed(k: float) -> float:
        return chance_below(k, z, parts, freedom) - (1 - confidence)

    high = z + 1.0
    while missed(high) > 0 and high < 1e6:
        high *= 2
    return float(optimize.brentq(missed, z * 0.1 + 1e-6, high, xtol=1e-9))

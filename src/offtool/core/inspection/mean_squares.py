"""What sums, differences and ratios of independent mean squares tell of the variances behind them.

A mean square of an analysis of variance, over its expectation, is chi-square over its degrees of freedom. A
variance component is a sum of mean squares with coefficients of either sign; its interval is a modified
large-sample one: exact where only one mean square counts, or two in a ratio, close to exact elsewhere.
Sources: Graybill and Wang 1980 (sums), Ting, Burdick, Graybill, Jeyaratnam and Lu 1990 (differences), Gui,
Graybill, Burdick and Ting 1995 (ratios); all in Burdick and Graybill 1992, Confidence Intervals on Variance
Components, ch. 3. Formulas written from memory and tested by what they must cover.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import inf, sqrt

import numpy as np
from scipy import optimize, special

from offtool.core.values import Interval, NotEnoughData


@dataclass(frozen=True, slots=True)
class MeanSquare:
    """A mean square and the degrees of freedom behind it."""

    value: float
    freedom: float


def mean_square_interval(mean_square: MeanSquare, confidence: float) -> Interval:
    """Where the expectation of one mean square lies: exact, from chi-square.

    n S / chi2(1 - a/2, n) to n S / chi2(a/2, n).
    """
    return combination_interval((1.0,), (mean_square,), confidence)


def chance_of_ratio(square: float, beside: float, freedom: float, beside_freedom: float) -> float:
    """p of two mean squares being alike, by F; where the one beside is zero, 0 or, with both zero, 1."""
    if not beside > 0:
        return 0.0 if square > 0 else 1.0
    return float(special.fdtrc(freedom, beside_freedom, square / beside))


def combination(coefficients: Sequence[float], mean_squares: Sequence[MeanSquare]) -> float:
    """The estimate c1 S1 + c2 S2 + ..., which may be negative."""
    return sum(_terms(coefficients, mean_squares))


def combination_freedom(coefficients: Sequence[float], mean_squares: Sequence[MeanSquare]) -> float:
    """Degrees of freedom of the chi-square that a combination is most like (Satterthwaite 1946).

    (sum c S)^2 / sum((c S)^2 / n); 0 where the combination is not above zero.
    """
    terms = _terms(coefficients, mean_squares)
    largest = max(map(abs, terms), default=0.0)
    if not sum(terms) > 0:
        return 0.0
    share = [term / largest for term in terms]
    parts = zip(share, _freedoms(mean_squares), strict=True)
    return sum(share) ** 2 / sum(one * one / freedom for one, freedom in parts)


def combination_interval(
    coefficients: Sequence[float], mean_squares: Sequence[MeanSquare], confidence: float
) -> Interval:
    """Where c1 E(S1) + c2 E(S2) + ... lies; a variance, so that ends below zero are cut at zero.

    Estimate - sqrt(V_low) to estimate + sqrt(V_high), both V quadratic in the mean squares.
    """
    terms = _terms(coefficients, mean_squares)
    factors = _factors(_freedoms(mean_squares), (1 - confidence) / 2)
    return Interval(
        low=max(0.0, factors.lower_end(terms)),
        high=max(0.0, -factors.lower_end([-term for term in terms])),
        confidence=confidence,
    )


def ratio_interval(
    numerator: Sequence[float],
    denominator: Sequence[float],
    mean_squares: Sequence[MeanSquare],
    confidence: float,
) -> Interval:
    """Where the ratio of two combinations of the same mean squares lies; not below zero, perhaps infinite.

    The ends are the g at which an end of the interval of numerator - g denominator is zero; for the ratio of
    two mean squares that is the exact interval from F.
    """
    above, below = _terms(numerator, mean_squares), _terms(denominator, mean_squares)
    factors = _factors(_freedoms(mean_squares), (1 - confidence) / 2)
    sizes = sum(map(abs, above)), sum(map(abs, below))
    if sizes[1] == 0:
        return Interval(low=0.0, high=inf, confidence=confidence)
    scale = (sizes[0] or sizes[1]) / sizes[1]
    pairs = tuple(zip(above, below, strict=True))

    def low_end(t: float) -> float:  # t runs from 0 to 1 as g = scale t / (1 - t) from 0 to infinity
        return factors.lower_end([(1 - t) * a - t * scale * b for a, b in pairs])

    def high_end(t: float) -> float:
        return -factors.lower_end([t * scale * b - (1 - t) * a for a, b in pairs])

    return Interval(
        low=_stretched(_crossing(low_end), scale),
        high=_stretched(_crossing(high_end), scale),
        confidence=confidence,
    )


@dataclass(frozen=True, slots=True)
class _Factors:
    """What the freedoms and the risk alone decide; names as in Ting et al.: G, H, G_qr, G*_qt.

    Plain lists: for the three or four mean squares of a study they are faster than arrays.
    """

    G: list[float]
    H: list[float]
    across: list[list[float]]
    along: list[list[float]]

    def lower_end(self, terms: Sequence[float]) -> float:
        """Estimate - sqrt(V_low); the upper end is minus the lower end of the mirrored terms."""
        plus = [q for q, term in enumerate(terms) if term > 0]
        minus = [r for r, term in enumerate(terms) if term < 0]
        alone = [self.G[q] * terms[q] for q in plus] + [self.H[r] * terms[r] for r in minus]
        v = sum(one * one for one in alone)
        v -= sum(self.across[q][r] * terms[q] * terms[r] for q in plus for r in minus)
        if minus and len(plus) > 1:  # a plain sum has no such term (Graybill and Wang)
            pairs = sum(self.along[q][t] * terms[q] * terms[t] for q in plus for t in plus if q < t)
            v += pairs / (len(plus) - 1)
        return sum(terms) - sqrt(max(v, 0.0))


@lru_cache(maxsize=256)
def _factors(freedoms: tuple[float, ...], tail: float) -> _Factors:
    n = np.asarray(freedoms)
    q, r = n[:, None], n[None, :]
    G = 1 - n / special.chdtri(n, tail)
    H = n / special.chdtri(n, 1 - tail) - 1
    F = special.fdtri(q, r, 1 - tail)
    across = ((F - 1) ** 2 - (G[:, None] * F) ** 2 - H[None, :] ** 2) / F
    both = 1 - (q + r) / special.chdtri(q + r, tail)
    along = both**2 * (q + r) ** 2 / (q * r) - G[:, None] ** 2 * q / r - G[None, :] ** 2 * r / q
    return _Factors(G=G.tolist(), H=H.tolist(), across=across.tolist(), along=along.tolist())


def _terms(coefficients: Sequence[float], mean_squares: Sequence[MeanSquare]) -> list[float]:
    return [float(c) * one.value for c, one in zip(coefficients, mean_squares, strict=True)]


def _freedoms(mean_squares: Sequence[MeanSquare]) -> tuple[float, ...]:
    freedoms = tuple(float(one.freedom) for one in mean_squares)
    if not all(freedom > 0 for freedom in freedoms):
        raise NotEnoughData(
            "a mean square without degrees of freedom says nothing", remedy="leave it out, or measure more"
        )
    return freedoms


def _crossing(end: Callable[[float], float]) -> float:
    """Where an end falls below zero: 0 when it never was above, 1 when it stays above."""
    if not end(0.0) > 0:
        return 0.0
    if not end(1.0) < 0:
        return 1.0
    return float(optimize.brentq(end, 0.0, 1.0, xtol=1e-14, rtol=1e-12))


def _stretched(t: float, scale: float) -> float:
    return scale * t / (1 - t) if t < 1 else inf

"""How sure the product of several shares is, each counted on its own pieces.

Clopper and Pearson's limit of one share is a quantile of a beta distribution: of Beta(x, n - x + 1) at the
low end, of Beta(x + 1, n - x) at the high one. The limits of a product are taken as the same quantiles of the
product of those betas, independent of each other. For one share that is Clopper and Pearson's interval;
for several it rests on no large numbers, and its coverage is tested by simulation. The distribution is not
drawn at random: minus the logarithm of a beta has a closed Laplace transform,

    E exp(-s Y) = Gamma(a + s) Gamma(a + b) / (Gamma(a) Gamma(a + b + s)),

those of a sum multiply, and the sum is turned back by the Euler method of Abate and Whitt 1995: to 1e-6 in
the chance for up to 100,000 pieces a station, to 1e-8 for hundreds.
"""

from __future__ import annotations

from math import exp, inf, log, sqrt

import numpy as np
from numpy.typing import NDArray
from scipy import optimize, special

from offtool.core.values import Interval

Floats = NDArray[np.float64]

TURNED_BACK = 18.4
"""A in [Abate and Whitt 1995]: the error of the sum is exp(-A), 1e-8."""
EULER_TERMS = 15
LEAST_TERMS = 40
TERMS_FOR_SHARP = 12
"""A distribution that is narrow beside its mean needs so many times mean / deviation more."""
MOST_TERMS = 20_000


def product_interval(counts: NDArray[np.int64], tried: NDArray[np.int64], *, confidence: float) -> Interval:
    """Both ends of the product of all good / tried."""
    risk = (1 - confidence) / 2
    good, bad = counts.astype(np.float64), (tried - counts).astype(np.float64)
    low = 0.0 if (good == 0).any() else beta_product_quantile(good, bad + 1.0, risk)
    some_bad = bad > 0  # a share without a bad piece may be 1: it takes nothing from the high end
    high = beta_product_quantile(good[some_bad] + 1.0, bad[some_bad], 1 - risk) if some_bad.any() else 1.0
    return Interval(low=low, high=high, confidence=confidence)


def beta_product_quantile(a: Floats, b: Floats, chance: float) -> float:
    """The value below which the product of independent Beta(a, b) lies with that chance."""
    if a.size == 1:
        return float(special.betaincinv(a[0], b[0], chance))
    mean = float((special.digamma(a + b) - special.digamma(a)).sum())
    spread = sqrt(float((special.polygamma(1, a) - special.polygamma(1, a + b)).sum()))
    low, high = _bracket(a, b, chance, mean, spread)
    found = optimize.brentq(
        lambda log_y: _sum_below(exp(log_y), a, b, mean, spread) - (1 - chance), low, high, xtol=1e-12
    )
    return exp(-exp(found))


def _bracket(a: Floats, b: Floats, chance: float, mean: float, spread: float) -> tuple[float, float]:
    """Logarithms of two sums between which the wanted one lies."""
    step = max(spread / mean, 0.01)
    low = high = log(mean)
    while _sum_below(exp(low), a, b, mean, spread) > 1 - chance and low > -700:
        low -= step
        step *= 1.5
    step = max(spread / mean, 0.01)
    while _sum_below(exp(high), a, b, mean, spread) < 1 - chance and high < 700:
        high += step
        step *= 1.5
    return low, high


def _sum_below(y: float, a: Floats, b: Floats, mean: float, spread: float) -> float:
    """P(sum of -log Beta <= y)."""
    sharp = mean / spread if spread > 0 else inf
    terms = int(min(MOST_TERMS, LEAST_TERMS + TERMS_FOR_SHARP * sharp * max(1.0, y / mean)))
    k = np.arange(terms + EULER_TERMS + 1)
    s = np.asarray((TURNED_BACK + 2j * np.pi * k) / (2 * y), dtype=np.complex128)
    value = (np.exp(_log_transform(s, a, b)) / s).real
    value[0] /= 2
    partial = np.cumsum(np.where(k % 2, -value, value))[terms:]
    weights = special.binom(EULER_TERMS, np.arange(EULER_TERMS + 1)) / 2.0**EULER_TERMS
    return float(np.clip(exp(TURNED_BACK / 2) / y * (weights @ partial), 0.0, 1.0))


def _log_transform(s: NDArray[np.complex128], a: Floats, b: Floats) -> NDArray[np.complex128]:
    """Logarithm of the Laplace transform of the sum."""
    found = np.zeros(s.size, dtype=complex)
    for one, other in zip(a, b, strict=True):
        found += special.loggamma(one + s) - special.loggamma(one + other + s)
        found += special.gammaln(one + other) - special.gammaln(one)
    return found

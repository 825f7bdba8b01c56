"""Which parameters the readings leave plausible: a weighted cloud of them, the same at every call.

From the cloud come the bounds of any quantity: a weighted quantile of the quantity over the cloud. Where the
family is a shift and stretch of one shape, the cloud is the exact distribution of its pivots given the sample
(Fisher; Lawless 2003, Statistical Models and Methods for Lifetime Data, ch. 5 and appendix E), so a quantile
of the family is bounded exactly. `tests.coverage` prints how often the bounds hold for each family.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import lru_cache
from typing import TypeAlias

import numpy as np
from scipy import special

from offtool.core.inspection.distribution.families import Family
from offtool.core.inspection.distribution.location_scale import (
    Array,
    Parameters,
    fit_weibull,
    logs_apart,
    powered,
)
from offtool.core.inspection.distribution.shaped import (
    fit_folded,
    fit_gamma,
    folded_log_density,
    log_of_means,
)

POINTS = 8192
LINE = 1024
"""Points where one parameter is all there is."""
STEPS = 96
"""Points of a grid along one parameter."""
MEAN_ZERO_BELOW = 0.002
REACH = 7.0
"""Standard errors that a grid spans to each side."""

Cloud: TypeAlias = tuple[Parameters, Array]


def plausible(family: Family, values: Array) -> tuple[Cloud, ...]:
    """Clouds of parameters with the weight of each; of several, the one that gives the wider bound counts."""
    cloud = _CLOUDS[family.name](values)
    if family.name == "folded normal" and not _surely_off_zero(values):
        return cloud, _half_normal(values)
    return (cloud,)


def weighted_quantile(values: Array, weights: Array, share: float) -> float:
    """The value below which that share of the weight lies; the weights may be one for a row."""
    weights = np.broadcast_to(weights, values.shape).ravel()
    values = values.ravel()
    order = np.argsort(values, kind="stable")
    below = np.cumsum(weights[order])
    below = (below - weights[order] / 2) / below[-1]
    return float(np.interp(share, below, values[order]))


@lru_cache(maxsize=1)
def uniforms() -> tuple[Array, Array]:
    """Evenly scattered points of the unit square and their mirror images, so that a mirrored size is judged
    alike (additive recurrence on the plastic number).
    """
    plastic = 1.3247179572447460
    i = np.arange(1, POINTS // 2 + 1)
    u, v = (0.5 + i / plastic) % 1, (i - 0.5) / (POINTS // 2)
    return np.concatenate([u, 1 - u]), np.concatenate([v, v])


@lru_cache(maxsize=64)
def even_scores(columns: int, count: int, seed: int) -> Array:
    """Normal scores, each column evenly spread and in a seeded order of its own (Latin hypercube)."""
    rng = np.random.default_rng(seed)
    even = special.ndtri((np.arange(count) + 0.5) / count)
    return np.column_stack([rng.permutation(even) for _ in range(columns)])


@lru_cache(maxsize=64)
def normal_pivots(count: int) -> tuple[Array, Array]:
    """(mean found - true) / s and sigma / s of samples of that size."""
    u, v = uniforms()
    stretch = np.sqrt((count - 1) / special.chdtri(count - 1, v))
    return special.ndtri(u) / np.sqrt(count) * stretch, stretch


def _normal(x: Array) -> Cloud:
    shift, stretch = normal_pivots(x.size)
    apart = x - x[0]
    sd = apart.std(ddof=1)
    return (x[0] + apart.mean() + shift * sd, stretch * sd), _alike()


def _lognormal(x: Array) -> Cloud:
    middle, apart = logs_apart(x)
    shift, stretch = normal_pivots(x.size)
    sd = apart.std(ddof=1)
    return (float(middle[0]) + apart.mean() + shift * sd, stretch * sd), _alike()


def _weibull(x: Array) -> Cloud:
    """On the log scale, given 1/b = s: sum of (x / scale)^b is a gamma, and s has a density on a line."""
    middle, logs = logs_apart(x)
    n = x.size
    shape_found = float(fit_weibull(x)[0])
    # ln s of the grid: the shape's estimate scatters by about 0.78 / sqrt(n) of itself, more to one side.
    reach = REACH * 0.78 / np.sqrt(n - 1)
    s = powered(np.linspace(-0.7 * reach, 1.3 * reach, STEPS)) / shape_found
    z = (logs - logs.max()) / s[:, None]
    level = np.log(np.exp(z).sum(axis=1))
    # s^(-n) e^(sum y / s) (sum e^(y / s))^(-n), over d ln s
    weight = -(n - 1) * np.log(s) + (z.sum(axis=1)) - n * level
    weight = np.exp(weight - weight.max())
    gammas = np.log(special.gammaincinv(n, _middles()))
    log_scale = float(middle[0]) + float(logs.max()) + s[:, None] * (level[:, None] - gammas)
    return (1 / s[:, None], powered(log_scale)), weight[:, None]


def _gamma(x: Array) -> Cloud:
    """The ratio of means depends on the shape alone, and given the shape the mean is a gamma.

    The ratio's distribution is taken as a stretched chi-square of its exact mean and variance (Bain and
    Engelhardt 1975, Technometrics 17:487; the moments worked out, not read).
    """
    n = x.size
    s = float(log_of_means(x))
    found = float(fit_gamma(x)[0])
    reach = REACH * np.sqrt(2.0 / (n - 1))
    shape = found * powered(np.linspace(-1.5 * reach, reach, STEPS + STEPS // 3))
    mean = special.digamma(n * shape) - np.log(n) - special.digamma(shape)
    mean = np.where(shape > 1e4, (1 - 1 / n) / (2 * shape), mean)
    variance = special.polygamma(1, shape) / n - special.polygamma(1, n * shape)
    variance = np.where(shape > 1e4, (1 - 1 / n) / (2 * n * shape**2), variance)
    freedom = 2 * mean**2 / variance
    # Far out in the tails the routine counts for long: there it is 0 or 1.
    apart = (s - mean) / np.sqrt(variance)
    near = np.abs(apart) < 12
    at = np.where(apart > 0, 1.0, 0.0)  # grows with the shape
    at[near] = special.chdtr(freedom[near], s * freedom[near] / mean[near])
    edges = np.maximum.accumulate(at)
    weight = np.diff(edges)
    shape = np.sqrt(shape[1:] * shape[:-1])
    kept = weight > 1e-9
    shape, weight = shape[kept], weight[kept]
    scale = n * x.mean() / _gamma_quantiles(n * shape[:, None], _middles()[1::3])
    return (shape[:, None], scale), weight[:, None]


def _gamma_quantiles(shape: Array, share: Array) -> Array:
    """Of a gamma; by Wilson and Hilferty 1931 where the shape is large, good to four digits there."""
    if shape.min() < 50:
        return np.asarray(special.gammaincinv(shape, share))
    return np.asarray(shape * (1 - 1 / (9 * shape) + special.ndtri(share) / (3 * np.sqrt(shape))) ** 3)


def _folded(x: Array) -> Cloud:
    """Density proportional to likelihood / sigma over mean and sigma: measured, not exact."""
    n = x.size
    size = float(np.sqrt((x**2).mean()))
    mean, sd = (float(one) for one in fit_folded(x))
    found = min(mean / max(sd, 1e-12 * size), 1e6)
    spread = max(float(np.sqrt(1 / n + found**2 / (2 * (n - 1)))), 1.2 * n**-0.25 if found < 3 else 0.0)
    ratio = np.linspace(max(0.0, found - REACH * spread), found + REACH * spread, STEPS // 2)
    reach = REACH / np.sqrt(2 * (n - 1))
    stretch = powered(np.linspace(-reach, 1.5 * reach, STEPS // 2))
    root = stretch * size  # sigma sqrt(1 + ratio^2)
    sigma = root / np.sqrt(1 + ratio[:, None] ** 2)
    weight = (
        -(n - 1) * np.log(sigma / size)
        - n * size**2 / (2 * sigma**2)
        - n * ratio[:, None] ** 2 / 2
        + _log_cosh(x / size, size * ratio[:, None] / sigma)
    )
    weight = np.exp(weight - weight.max())
    weight[0] *= 0.5 if ratio[0] == 0 else 1.0  # the end of a trapezium
    means = ratio[:, None] * sigma
    return (means, sigma), weight


def _half_normal(x: Array) -> Cloud:
    """The folded normal of mean zero: the sum of squares over sigma^2 is chi-square on n."""
    v = (np.arange(LINE) + 0.5) / LINE
    return (np.zeros(LINE), np.sqrt((x**2).sum() / special.chdtri(x.size, v))), np.ones(LINE)


def _surely_off_zero(x: Array) -> bool:
    """Whether the likelihood ratio refuses a folded normal of mean zero (chi-square, p below 0.002)."""
    found = folded_log_density(x, *fit_folded(x)).sum()
    at_zero = folded_log_density(x, np.zeros(()), np.sqrt((x**2).mean())).sum()
    return bool(special.chdtrc(1, max(2 * (found - at_zero), 0.0)) < MEAN_ZERO_BELOW)


def _rayleigh(x: Array) -> Cloud:
    """Sum of squares over sigma^2 is chi-square on 2n."""
    v = (np.arange(LINE) + 0.5) / LINE
    return (np.sqrt((x**2).sum() / special.chdtri(2 * x.size, v)),), np.ones(LINE)


def _log_cosh(x: Array, steepness: Array) -> Array:
    """Sum over the readings of ln cosh(a x) for every steepness a: cubics between exact slopes."""
    low, high = float(steepness.min()), float(steepness.max())
    width = (high - low) / (2 * STEPS)
    a = low + width * np.arange(2 * STEPS + 1)
    z = a[:, None] * x
    value = (z + np.log1p(np.exp(-2 * z)) - np.log(2)).sum(axis=1)
    slope = (x * np.tanh(z)).sum(axis=1) * width
    at = (steepness - low) / width
    i = np.clip(at.astype(int), 0, 2 * STEPS - 1)
    t = at - i
    rise = value[i + 1] - value[i]
    bend = (1 - t) * (slope[i] - rise) - t * (slope[i + 1] - rise)
    return np.asarray(value[i] + t * rise + t * (1 - t) * bend)


@lru_cache(maxsize=1)
def _middles() -> Array:
    """Middles of equal shares of probability, as many as a grid has steps."""
    return (np.arange(STEPS) + 0.5) / STEPS


@lru_cache(maxsize=1)
def _alike() -> Array:
    return np.ones(POINTS)


_CLOUDS: Mapping[str, Callable[[Array], Cloud]] = {
    "normal": _normal,
    "lognormal": _lognormal,
    "Weibull": _weibull,
    "gamma": _gamma,
    "folded normal": _folded,
    "Rayleigh": _rayleigh,
}

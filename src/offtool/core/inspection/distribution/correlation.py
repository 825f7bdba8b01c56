"""How straight a probability plot is, and how straight the plots of such samples are by chance.

The correlation does not change when readings are shifted or stretched, so for the normal, lognormal, Weibull
and Rayleigh its distribution depends on the number of readings alone and is simulated once. For the gamma and
the folded normal it is simulated at the fitted shape.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from scipy import special

from offtool.core.inspection.distribution.families import Family
from offtool.core.inspection.distribution.location_scale import Array, Parameters

SAMPLES = 999
MOST_POINTS = 200
"""Of more readings this many, evenly spaced in rank, are looked at: their straightness says the same."""
SEED = 20
SAMPLES_AT_SHAPE = 499
"""Where the samples must be drawn and fitted anew for each set of readings."""
SHAPES = 24
"""Shapes between which quantiles are interpolated in the simulation."""


def ranks(count: int) -> Array:
    """Ranks from 1 that are looked at."""
    return np.unique(np.round(np.linspace(1, count, min(count, MOST_POINTS))))


@lru_cache(maxsize=64)
def median_positions(count: int) -> Array:
    """The median of each ordered uniform that is looked at: exact, from the beta distribution."""
    i = ranks(count)
    return np.asarray(special.betaincinv(i, count + 1 - i, 0.5))


@lru_cache(maxsize=16)
def ordered_uniforms(count: int) -> Array:
    """Seeded samples of ordered uniforms at the ranks looked at: sums of exponentials, no sorting."""
    rng = np.random.default_rng(SEED)
    i = ranks(count)
    gaps = np.diff(i, prepend=0.0, append=count + 1.0)
    drawn = (
        rng.standard_exponential((SAMPLES, gaps.size))
        if gaps.max() == 1
        else rng.standard_gamma(gaps, (SAMPLES, gaps.size))
    )
    sums = np.cumsum(drawn, axis=1)
    return np.asarray(sums[:, :-1] / sums[:, -1:])


def plotted(family: Family, values: Array) -> Array:
    """Readings as the value axis of the plot shows them."""
    return np.log(values) if family.on_logs else values


def axis(family: Family, positions: Array, parameters: Parameters) -> Array:
    """Where the positions stand on the probability axis: straight where the family is right."""
    quantile = family.quantile(positions, *parameters)
    return np.log(quantile) if family.on_logs else quantile


def standard(family: Family, parameters: Parameters) -> Parameters:
    """The parameters, or one of the family that has the same plot."""
    if family.name in ("normal", "lognormal"):
        return (np.zeros(()), np.ones(()))
    if family.shape_free:
        return tuple(np.ones(()) for _ in parameters)
    if family.name == "gamma":
        return (parameters[0], np.ones(()))
    return (parameters[0] / parameters[1], np.ones(()))


def straightness(ordered: Array, positions: Array) -> Array:
    """Correlation along the last axis."""
    a = ordered - ordered.mean(axis=-1, keepdims=True)
    b = positions - positions.mean(axis=-1, keepdims=True)
    return np.asarray((a * b).sum(axis=-1) / np.sqrt((a**2).sum(axis=-1) * (b**2).sum(axis=-1)))


def correlation(family: Family, ordered: Array, parameters: Parameters) -> tuple[float, float]:
    """The correlation of the plot, and how often such samples give a smaller one."""
    count = ordered.size
    looked_at = ordered[ranks(count).astype(int) - 1]
    positions = median_positions(count)
    found = float(straightness(plotted(family, looked_at), axis(family, positions, parameters)))
    if family.shape_free:
        by_chance = _by_chance(_axis_name(family), count)
    else:
        by_chance = _at_shape(family, count, standard(family, parameters))
    return found, float((1 + np.count_nonzero(by_chance <= found)) / (1 + by_chance.size))


def _axis_name(family: Family) -> str:
    return "normal" if family.name == "lognormal" else family.name


@lru_cache(maxsize=64)
def _by_chance(name: str, count: int) -> Array:
    u, positions = ordered_uniforms(count), median_positions(count)
    match name:
        case "normal":
            return straightness(special.ndtri(u), special.ndtri(positions))
        case "Weibull":
            return straightness(np.log(-np.log1p(-u)), np.log(-np.log1p(-positions)))
        case _:
            return straightness(np.sqrt(-np.log1p(-u)), np.sqrt(-np.log1p(-positions)))


def _at_shape(family: Family, count: int, parameters: Parameters) -> Array:
    """Samples of the fitted shape, each put on the axis of the shape that it would be fitted by itself."""
    positions = median_positions(count)
    samples = _quantiles_at(family, ordered_uniforms(count)[:SAMPLES_AT_SHAPE], parameters)
    fitted = standard(family, family.fit(samples))[0]
    shapes = np.quantile(fitted, np.linspace(0, 1, SHAPES))
    tables = family.quantile(positions, shapes[:, None], np.ones(()))
    right = np.clip(np.searchsorted(shapes, fitted), 1, SHAPES - 1)
    width = shapes[right] - shapes[right - 1]
    part = np.divide(fitted - shapes[right - 1], width, out=np.zeros_like(fitted), where=width > 0)
    between = tables[right - 1] + part[:, None] * (tables[right] - tables[right - 1])
    return straightness(samples, between)


def _quantiles_at(family: Family, u: Array, parameters: Parameters) -> Array:
    """Quantiles of very many positions through a fine table on the normal scale."""
    z = np.linspace(-6, 6, 481)
    table = family.quantile(special.ndtr(z), *parameters)
    return np.interp(special.ndtri(u), z, table)

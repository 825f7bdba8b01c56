"""The gamma, the folded normal and the Rayleigh: positive families with a shape of their own, or none."""

from __future__ import annotations

import numpy as np
from scipy import special

from offtool.core.inspection.distribution.location_scale import (
    CLOSE,
    NEWTON_STEPS,
    Array,
    Parameters,
    powered,
)

LARGE_SHAPE = 50.0
FOLD_STEPS = 60
FOLD_CLOSE = 1e-10


def log_less_digamma(shape: Array) -> Array:
    """ln k - psi(k); the difference of two near numbers where k is large, so its series there."""
    k = np.asarray(shape, dtype=float)
    series = 1 / (2 * k) + 1 / (12 * k**2) - 1 / (120 * k**4) + 1 / (252 * k**6)
    return np.where(k > LARGE_SHAPE, series, np.log(k) - special.digamma(k))


def log_of_means(x: Array) -> Array:
    """ln(arithmetic mean / geometric mean), to the last digit also where the spread is small."""
    mean = x.mean(axis=-1, keepdims=True)
    apart = (x - mean) / mean
    return np.asarray(np.maximum((apart - np.log1p(apart)).mean(axis=-1), 0.0))


def fit_gamma(x: Array) -> Parameters:
    """Shape and scale: ln k - psi(k) = ln(arithmetic mean / geometric mean), by Newton on 1/k."""
    s = log_of_means(x)
    shape = (3 - s + np.sqrt((s - 3) ** 2 + 24 * s)) / (12 * s)
    for _ in range(NEWTON_STEPS):
        slope = np.where(
            shape > LARGE_SHAPE,
            -1 / (2 * shape**2) - 1 / (6 * shape**3),
            1 / shape - special.polygamma(1, shape),
        )
        # Newton in 1/k (Minka 2002, Estimating a gamma distribution): converges in four steps.
        inverse = 1 / shape + (log_less_digamma(shape) - s) / (shape**2 * slope)
        nearer = 1 / np.where(inverse > 0, inverse, 1 / (2 * shape))
        done = np.all(np.abs(nearer - shape) <= CLOSE * shape)
        shape = nearer
        if done:
            break
    return np.asarray(shape), np.asarray(x.mean(axis=-1) / shape)


def gamma_quantile(p: Array, shape: Array, scale: Array) -> Array:
    return np.asarray(scale * special.gammaincinv(shape, p))


def gamma_cdf(x: Array, shape: Array, scale: Array) -> Array:
    return np.asarray(special.gammainc(shape, np.maximum(x, 0.0) / scale))


def gamma_outside(x: Array, shape: Array, scale: Array) -> Array:
    return np.asarray(special.gammaincc(shape, np.maximum(x, 0.0) / scale))


def gamma_log_density(x: Array, shape: Array, scale: Array) -> Array:
    """About its mean, where the large terms of a large shape cancel by themselves."""
    ratio = x / (shape * scale)
    apart = ratio - 1
    # k ln k - k - ln Gamma(k) - ln k / 2 -> -ln(2 pi) / 2 - 1/12k, by Stirling
    peak = np.where(
        shape > LARGE_SHAPE,
        -0.5 * np.log(2 * np.pi) - 1 / (12 * shape) + 1 / (360 * shape**3),
        (shape - 0.5) * np.log(shape) - shape - special.gammaln(shape),
    )
    return np.asarray(peak + 0.5 * np.log(shape) + shape * (np.log(ratio) - apart) - np.log(x))


def fit_folded(x: Array) -> Parameters:
    """Mean and deviation of the normal whose sign was lost.

    mu = mean(x tanh(mu x / sigma^2)), sigma^2 = mean(x^2) - mu^2: one equation in t = mu^2 / mean(x^2), whose
    root at t = 0 is divided out. By false position (Illinois); t = 0 where the readings are as peaked at zero
    as the half normal.
    """
    size = np.sqrt((x**2).mean(axis=-1))
    u = x / size[..., None]

    def equation(t: Array) -> Array:
        steepness = np.sqrt(t) / np.maximum(1 - t, 1e-300)
        pulled = (u * np.tanh(steepness[..., None] * u)).mean(axis=-1)
        return np.asarray((pulled / np.sqrt(t) - 1) / t)

    a, at_a = np.zeros(size.shape), 1 - (u**4).mean(axis=-1) / 3
    inside = at_a > 0
    b = np.asarray(u.mean(axis=-1) ** 2)  # the largest that the root can be
    at_b = np.minimum(equation(b), 0.0)
    for _ in range(FOLD_STEPS):
        width = np.where(inside & (at_a != at_b), at_b - at_a, 1.0)
        c = np.where(inside, b - at_b * (b - a) / width, b)
        if np.all(np.abs(c - b) <= FOLD_CLOSE):
            break
        at_c = equation(np.maximum(c, 1e-12))
        crossed = at_c * at_b < 0
        a, at_a = np.where(crossed, b, a), np.where(crossed, at_b, at_a / 2)
        b, at_b = c, at_c
    t = np.where(inside, np.clip(b, 0.0, 1.0), 0.0)
    return np.asarray(size * np.sqrt(t)), np.asarray(size * np.sqrt(1 - t))


def folded_quantile(p: Array, mean: Array, sd: Array) -> Array:
    """By Newton inside a bracket, from where the quantile lies if one of the two sides is empty."""
    ratio, p = np.broadcast_arrays(np.asarray(mean / sd, dtype=float), np.asarray(p, dtype=float))
    low = np.maximum(ratio + special.ndtri(p), 0.0)
    high = ratio + special.ndtri((1 + p) / 2)
    flat = p * np.sqrt(np.pi / 2) * powered(0.5 * ratio**2)
    z = np.where(low > 0.3, low, np.clip(flat, low, high))
    for _ in range(FOLD_STEPS):
        over = folded_cdf(z, ratio, np.ones(())) - p
        low, high = np.where(over < 0, z, low), np.where(over < 0, high, z)
        density = (np.exp(-0.5 * (z - ratio) ** 2) + np.exp(-0.5 * (z + ratio) ** 2)) / np.sqrt(2 * np.pi)
        newton = z - over / np.maximum(density, 1e-300)
        nearer = np.where((newton >= low) & (newton <= high), newton, (low + high) / 2)
        # Near 1 the position itself has no more digits to give.
        done = np.all((np.abs(nearer - z) <= CLOSE * (1 + z)) | (np.abs(over) <= 1e-15))
        z = nearer
        if done:
            break
    return np.asarray(sd * z)


def folded_cdf(x: Array, mean: Array, sd: Array) -> Array:
    x = np.maximum(x, 0.0)
    return np.asarray(special.ndtr((x - mean) / sd) - special.ndtr((-x - mean) / sd))


def folded_outside(x: Array, mean: Array, sd: Array) -> Array:
    x = np.maximum(x, 0.0)
    return np.asarray(special.ndtr((mean - x) / sd) + special.ndtr((-x - mean) / sd))


def folded_log_density(x: Array, mean: Array, sd: Array) -> Array:
    plain = -0.5 * ((x - mean) / sd) ** 2 - np.log(sd) - 0.5 * np.log(2 * np.pi)
    return np.asarray(plain + np.log1p(powered(-2 * mean * x / sd**2)))


def fit_rayleigh(x: Array) -> Parameters:
    """Deviation of each of the two coordinates."""
    return (np.asarray(np.sqrt((x**2).mean(axis=-1) / 2)),)


def rayleigh_quantile(p: Array, sd: Array) -> Array:
    return np.asarray(sd * np.sqrt(-2 * np.log1p(-p)))


def rayleigh_cdf(x: Array, sd: Array) -> Array:
    return np.asarray(-np.expm1(-0.5 * (np.maximum(x, 0.0) / sd) ** 2))


def rayleigh_outside(x: Array, sd: Array) -> Array:
    return np.asarray(np.exp(-0.5 * (np.maximum(x, 0.0) / sd) ** 2))


def rayleigh_log_density(x: Array, sd: Array) -> Array:
    return np.asarray(np.log(x) - 2 * np.log(sd) - 0.5 * (x / sd) ** 2)

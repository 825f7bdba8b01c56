"""The normal, the lognormal and the Weibull: families that a shift and a stretch carry into each other.

Every function works along the last axis, so that one sample and a thousand simulated ones are fitted by the
same lines. Parameters are arrays without that axis.
"""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray
from scipy import special

Array: TypeAlias = NDArray[np.float64]
Parameters: TypeAlias = tuple[Array, ...]

LARGEST_LOG = 650.0
"""Beyond it a number leaves the range of a computer."""
NEWTON_STEPS = 40
CLOSE = 1e-12


def powered(logs: Array) -> Array:
    """exp, held inside what a computer's number holds."""
    return np.exp(np.clip(logs, -LARGEST_LOG, LARGEST_LOG))


def fit_normal(x: Array) -> Parameters:
    """Mean and root mean square about it."""
    first = x[..., :1]  # equal readings then differ by nothing, and a large size loses no digit
    apart = x - first
    return np.asarray(first[..., 0] + apart.mean(axis=-1)), np.asarray(apart.std(axis=-1))


def normal_quantile(p: Array, mean: Array, sd: Array) -> Array:
    return np.asarray(mean + sd * special.ndtri(p))


def normal_cdf(x: Array, mean: Array, sd: Array) -> Array:
    return np.asarray(special.ndtr((x - mean) / sd))


def normal_outside(x: Array, mean: Array, sd: Array) -> Array:
    return np.asarray(special.ndtr((mean - x) / sd))


def normal_log_density(x: Array, mean: Array, sd: Array) -> Array:
    return np.asarray(-0.5 * ((x - mean) / sd) ** 2 - np.log(sd) - 0.5 * np.log(2 * np.pi))


def logs_apart(x: Array) -> tuple[Array, Array]:
    """ln x as the log of a middle value and the rest, which keeps its digits where the spread is small."""
    middle = np.median(x, axis=-1, keepdims=True)
    return np.log(middle), np.log1p((x - middle) / middle)


def fit_lognormal(x: Array) -> Parameters:
    """Mean and root mean square of the logarithms."""
    middle, apart = logs_apart(x)
    return np.asarray(middle[..., 0] + apart.mean(axis=-1)), np.asarray(apart.std(axis=-1))


def lognormal_quantile(p: Array, log_mean: Array, log_sd: Array) -> Array:
    return powered(log_mean + log_sd * special.ndtri(p))


def lognormal_cdf(x: Array, log_mean: Array, log_sd: Array) -> Array:
    return normal_cdf(_log(x), log_mean, log_sd)


def lognormal_outside(x: Array, log_mean: Array, log_sd: Array) -> Array:
    return normal_outside(_log(x), log_mean, log_sd)


def lognormal_log_density(x: Array, log_mean: Array, log_sd: Array) -> Array:
    return normal_log_density(np.log(x), log_mean, log_sd) - np.log(x)


def fit_weibull(x: Array) -> Parameters:
    """Shape and scale: the shape is the root of sum x^b ln x / sum x^b - 1/b = mean ln x, by Newton."""
    middle, logs = logs_apart(x)
    spread = logs.std(axis=-1, keepdims=True)
    spread = np.where(spread > 0, spread, 1.0)
    y = (logs - logs.mean(axis=-1, keepdims=True)) / spread
    top = y.max(axis=-1, keepdims=True)
    shape = np.full(y.shape[:-1], np.pi / np.sqrt(6))
    for _ in range(NEWTON_STEPS):
        weight = np.exp(shape[..., None] * (y - top))
        total = weight.sum(axis=-1)
        first = (weight * y).sum(axis=-1) / total
        second = (weight * y**2).sum(axis=-1) / total - first**2
        step = (first - 1 / shape) / (second + 1 / shape**2)
        shape = np.maximum(shape - step, shape / 4)
        if np.all(np.abs(step) <= CLOSE * shape):
            break
    # ln scale = ln mean(x^b) / b
    level = top[..., 0] + np.log(np.exp(shape[..., None] * (y - top)).mean(axis=-1)) / shape
    log_scale = middle[..., 0] + logs.mean(axis=-1) + spread[..., 0] * level
    return np.asarray(shape / spread[..., 0]), powered(log_scale)


def weibull_quantile(p: Array, shape: Array, scale: Array) -> Array:
    return powered(np.log(scale) + np.log(-np.log1p(-p)) / shape)


def weibull_cdf(x: Array, shape: Array, scale: Array) -> Array:
    return np.asarray(-np.expm1(-powered(shape * (_log(x) - np.log(scale)))))


def weibull_outside(x: Array, shape: Array, scale: Array) -> Array:
    return np.asarray(np.exp(-powered(shape * (_log(x) - np.log(scale)))))


def weibull_log_density(x: Array, shape: Array, scale: Array) -> Array:
    z = shape * (np.log(x) - np.log(scale))
    return np.asarray(np.log(shape) + z - np.log(x) - powered(z))


def _log(x: Array) -> Array:
    """ln x; a limit at or below zero lies below everything that is positive."""
    x = np.asarray(x, dtype=float)
    return np.where(x > 0, np.log(np.where(x > 0, x, 1.0)), -np.inf)

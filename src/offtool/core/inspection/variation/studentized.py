"""The largest of several differences over a standard deviation found on so many degrees of freedom.

Three kinds of largest: between any two of k means (`range`, Tukey), between a mean and the mean of all k
(`about`, analysis of means, equal counts), and of k numbers that hang together in any way (`any`, the
studentized maximum modulus, on the safe side by Šidák's inequality). Each is first tabulated for a known
standard deviation, then averaged over what the found one may be.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy import special

Kind = Literal["range", "about", "any"]
STEP = 0.02
"""Of the tables; read by cubics, which is good to 1e-8."""
FARTHEST = 16.0
MOST_FREEDOM = 1e6
"""As good as a known standard deviation."""
Array = NDArray[np.float64]


def passed(kind: Kind, largest: Array, k: int, freedom: Array) -> Array:
    """How often such a largest or a larger one comes by chance; `freedom` need not be whole."""
    f, where = np.unique(freedom, return_inverse=True)
    scale, weight = _scales(np.minimum(f, MOST_FREEDOM))
    return _passed(_table(kind, k), np.asarray(largest, dtype=float), scale[where], weight[where])


def _passed(table: Array, largest: Array, scale: Array, weight: Array) -> Array:
    inside = _read(table, largest[:, None] * scale)
    return np.asarray(np.clip(1 - (weight * inside).sum(axis=-1), 0.0, 1.0))


@lru_cache(maxsize=4096)
def quantile(kind: Kind, confidence: float, k: int, freedom: float) -> float:
    """The largest that is passed with probability 1 - confidence."""
    return float(_quantiles(kind, confidence, k, np.array([freedom]))[0])


def quantiles(kind: Kind, confidence: float, k: int, freedom: Array) -> Array:
    """`quantile` for many freedoms at once."""
    f, where = np.unique(freedom, return_inverse=True)
    if f.size == 1:
        return np.full(where.shape, quantile(kind, confidence, k, float(f[0])))
    return _quantiles(kind, confidence, k, f)[where]


def _quantiles(kind: Kind, confidence: float, k: int, f: Array) -> Array:
    """Regula falsi with halved ends (Illinois) in the logarithm."""
    table, (scale, weight) = _table(kind, k), _scales(np.minimum(f, MOST_FREEDOM))

    def over(log_x: Array) -> Array:
        return _passed(table, np.exp(log_x), scale, weight) - (1 - confidence)

    low, high = np.full(f.shape, -5.0), np.full(f.shape, 2.0)
    while (over(high) > 0).any() and high[0] < 30:
        high += 2.0
    above, below = over(low), over(high)
    x, side = high, np.zeros(f.shape)
    for _ in range(60):
        x = np.where(above != below, (low * below - high * above) / (below - above), (low + high) / 2)
        value = over(x)
        up = value > 0
        same = np.where(up, 1.0, -1.0) == side  # twice on one side: the far end counts half
        side = np.where(up, 1.0, -1.0)
        above, below = (
            np.where(up, value, np.where(same, above / 2, above)),
            np.where(up, np.where(same, below / 2, below), value),
        )
        low, high = np.where(up, x, low), np.where(up, high, x)
        if bool(((np.abs(value) < 1e-11) | (high - low < 1e-10)).all()):
            break
    return np.asarray(np.exp(x))


def _scales(freedom: Array) -> tuple[Array, Array]:
    """Nodes and weights of s / sigma, the square root of chi-square over its freedom, one row each.

    In t = ln s the density goes as exp(f (t - (exp(2t) - 1) / 2)); Gauss-Legendre on both sides of its top.
    """
    f = np.asarray(freedom, dtype=float)[..., None]
    node, weight = _legendre(80)
    low, middle, high = -(30 / f + 9 / np.sqrt(2 * f)), -3 / np.sqrt(2 * f), np.log1p(9 / np.sqrt(f))
    half_left, half_right = (middle - low) / 2, (high - middle) / 2
    t = np.concatenate([low + half_left * (node + 1), middle + half_right * (node + 1)], axis=-1)
    w = np.concatenate([half_left * weight, half_right * weight], axis=-1)
    w = w * np.exp(f * (t - np.expm1(2 * t) / 2))
    return np.exp(t), w / w.sum(axis=-1, keepdims=True)


def _read(table: Array, x: Array) -> Array:
    """The table between its steps, by the cubic through four neighbours; 1 beyond its end."""
    place = np.clip(np.nan_to_num(x / STEP), 0.0, len(table) - 1.0)
    i = np.clip(place.astype(np.intp), 1, len(table) - 3)
    u = place - i
    cubic = (
        -u * (u - 1) * (u - 2) / 6 * table[i - 1]
        + (u + 1) * (u - 1) * (u - 2) / 2 * table[i]
        - (u + 1) * u * (u - 2) / 2 * table[i + 1]
        + (u + 1) * u * (u - 1) / 6 * table[i + 2]
    )
    return np.asarray(np.clip(cubic, 0.0, 1.0))


@lru_cache(maxsize=256)
def _table(kind: Kind, k: int) -> Array:
    x = np.arange(0.0, FARTHEST + 4 * STEP, STEP)
    if kind == "range":
        return _range(x, k)
    return _about(x, k) if kind == "about" else np.asarray((2 * special.ndtr(x) - 1) ** k)


def _range(w: Array, k: int) -> Array:
    """P(range of k normals < w) = k int phi(z) (Phi(z) - Phi(z - w))^(k - 1) dz; z is the largest of them."""
    node, weight = _legendre(96)
    z = 8.5 * node
    density = 8.5 * weight * np.exp(-(z**2) / 2) / np.sqrt(2 * np.pi)
    inside = (special.ndtr(z) - special.ndtr(z - w[:, None])) ** (k - 1)
    return np.asarray(np.minimum(k * (inside @ density), 1.0))


def _about(h: Array, k: int) -> Array:
    """P(all k normals within h standard deviations of their mean), each over its own deviation from it.

    Deviations from the mean are k free normals given that their sum is zero. By Fourier:
    P = sqrt(k / 2 pi) int psi(t)^k dt, psi(t) = int_-c^c phi(x) cos(t x) dx, c = h sqrt((k - 1) / k).
    """
    if k == 2:  # both deviations are one
        return np.asarray(2 * special.ndtr(h) - 1)
    c = h[:, None] * np.sqrt((k - 1) / k)
    step = 0.4 / np.sqrt(k)
    t = np.arange(0.0, {3: 60.0, 4: 30.0, 5: 20.0}.get(k, 12.0), step)
    # psi by the Faddeeva function, so that fast waves at large c t need no nodes.
    beyond = np.exp(-(c**2) / 2 - 1j * c * t) * special.wofz((-t + 1j * c) / np.sqrt(2))
    inside = (np.exp(-(t**2) / 2) - beyond.real) ** k
    total = step * (2 * inside.sum(axis=1) - inside[:, 0])
    return np.asarray(np.clip(np.sqrt(k / (2 * np.pi)) * total, 0.0, 1.0))


@lru_cache(maxsize=4)
def _legendre(count: int) -> tuple[Array, Array]:
    node, weight = np.polynomial.legendre.leggauss(count)
    return node, weight

"""Cavity means and how surely each pair, and each against the mean of all, is told apart."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import sqrt
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy import special

from offtool.core.inspection.mean_squares import chance_of_ratio
from offtool.core.inspection.spread import UNLIKE_BELOW, spreads_by_code
from offtool.core.inspection.variation import studentized
from offtool.core.inspection.variation.crossed import within_blocks
from offtool.core.inspection.variation.table import Parts

Array = NDArray[np.float64]
Method = Literal["pooled spread", "own spreads", "shots as blocks", "shots as blocks, own spreads"]


@dataclass(frozen=True, slots=True)
class Means:
    """Variances and degrees of freedom of pair differences [i, j] and of distances from the mean of all [i].

    `even`: all means are equally well known, so that the exact point of analysis of means holds. Paired own
    spreads hang together in unknown ways: they are judged by Bonferroni.
    """

    mean: Array
    pair_variance: Array
    pair_freedom: Array
    offset_variance: Array
    offset_freedom: Array
    alike_p: float
    method: Method
    even: bool
    sd: float | None

    @property
    def offset(self) -> Array:
        return np.asarray(self.mean - self.mean.mean())

    def pair_chances(self, i: NDArray[np.intp], j: NDArray[np.intp]) -> Array:
        """p of each pair, for all pairs at once."""
        t = _in_errors(self.mean[i] - self.mean[j], self.pair_variance[i, j])
        freedom = self.pair_freedom[i, j]
        if self.method == "shots as blocks, own spreads":
            return _bonferroni_p(t, freedom, len(i))
        return _many(lambda a, f: studentized.passed("range", a * sqrt(2), len(self.mean), f), t, freedom)

    def pair_reach(self, i: NDArray[np.intp], j: NDArray[np.intp], confidence: float) -> Array:
        """Half widths of the intervals of all pairs, which hold together."""
        freedom = self.pair_freedom[i, j]
        if self.method == "shots as blocks, own spreads":
            factor = _bonferroni(freedom, len(i), confidence)
        else:
            factor = studentized.quantiles("range", confidence, len(self.mean), freedom) / sqrt(2)
        return np.asarray(factor * np.sqrt(self.pair_variance[i, j]))

    def offset_chances(self) -> Array:
        """p of each cavity against the mean of all, for all at once."""
        t = _in_errors(self.offset, self.offset_variance)
        if self.method == "shots as blocks, own spreads":
            return _bonferroni_p(t, self.offset_freedom, len(t))
        return _many(lambda a, f: studentized.passed(self._kind, a, len(t), f), t, self.offset_freedom)

    def offset_reach(self, confidence: float) -> Array:
        """Half widths of the intervals of the distances from the mean of all, which hold together."""
        if self.method == "shots as blocks, own spreads":
            factor = _bonferroni(self.offset_freedom, len(self.mean), confidence)
        else:
            factor = studentized.quantiles(self._kind, confidence, len(self.mean), self.offset_freedom)
        return np.asarray(factor * np.sqrt(self.offset_variance))

    @property
    def _kind(self) -> studentized.Kind:
        return "about" if self.even or len(self.mean) == 2 else "any"


def of_readings(values: Array, codes: NDArray[np.intp], labels: tuple[str, ...]) -> Means | None:
    """Every reading a part of its own; None where no cavity has two."""
    found = spreads_by_code(values, codes, labels)
    count, width = found.parts.astype(float), len(labels)
    own_freedom = found.parts - 1
    if own_freedom.sum() < 1:
        return None
    squares = np.nan_to_num(found.own_sd**2) * own_freedom
    # By Bartlett alone: the sharper look for one wild cavity in cavity_spreads would send one trial in twenty
    # to spreads of a few parts each, which cover less than they say once chosen for being unlike.
    unlike = found.alike_p is not None and found.alike_p < UNLIKE_BELOW and bool((own_freedom > 0).all())
    if unlike:
        return _own_spreads(found.mean, found.own_sd**2 / count, own_freedom.astype(float))
    freedom = int(own_freedom.sum())
    variance = float(squares.sum()) / freedom
    centre = (count * found.mean).sum() / count.sum()
    between = float((count * (found.mean - centre) ** 2).sum())
    return _pooled(
        found.mean,
        np.diag(1 / count),
        variance,
        freedom,
        between,
        "pooled spread",
        even=np.ptp(count) == 0,
        width=width,
    )


def of_parts(parts: Parts) -> Means | None:
    """Shots as blocks: what a shot does to all its cavities is taken out; None where that cannot be done."""
    width = len(parts.labels)
    if len(parts.shots) < 2:
        return None
    blocks = within_blocks(parts)
    linked = parts.value.size - len(parts.shots) - blocks.freedom == width - 1
    if blocks.freedom < 1 or not linked:
        return None
    mean = parts.centre + blocks.cavity
    if parts.complete and width > 2 and _residuals_unlike(parts):
        return _paired(parts)
    information = np.linalg.pinv(blocks.cavity_factor, rcond=1e-10, hermitian=True)
    between = float(blocks.cavity @ information @ blocks.cavity)
    variance = blocks.squares / blocks.freedom
    return _pooled(
        mean,
        blocks.cavity_factor,
        variance,
        blocks.freedom,
        between,
        "shots as blocks",
        even=parts.complete,
        width=width,
    )


def _pooled(
    mean: Array,
    factor: Array,
    variance: float,
    freedom: int,
    between: float,
    method: Method,
    *,
    even: bool,
    width: int,
) -> Means:
    own = np.diag(factor)
    offsets = own - 2 * factor.mean(axis=1) + factor.mean()
    return Means(
        mean=mean,
        pair_variance=np.maximum(own[:, None] + own[None, :] - 2 * factor, 0.0) * variance,
        pair_freedom=np.full(factor.shape, float(freedom)),
        offset_variance=np.maximum(offsets, 0.0) * variance,
        offset_freedom=np.full(width, float(freedom)),
        alike_p=chance_of_ratio(between / (width - 1), variance, width - 1, freedom),
        method=method,
        even=even,
        sd=sqrt(variance),
    )


def _own_spreads(mean: Array, v: Array, f: Array) -> Means:
    """Welch's degrees of freedom; `v` are variances of the means."""
    width = len(mean)
    share = np.full((width, width), 1 / width**2)
    np.fill_diagonal(share, (1 - 1 / width) ** 2)
    return Means(
        mean=mean,
        pair_variance=v[:, None] + v[None, :],
        pair_freedom=_welch(v[:, None] + v[None, :], (v**2 / f)[:, None] + (v**2 / f)[None, :], f.min()),
        offset_variance=share @ v,
        offset_freedom=_welch(share @ v, share**2 @ (v**2 / f), f.min()),
        alike_p=_welch_chance(mean, v, f),
        method="own spreads",
        even=False,
        sd=None,
    )


def _paired(parts: Parts) -> Means:
    """Each pair by its own differences, shot by shot."""
    width, shots = len(parts.labels), len(parts.shots)
    table = np.empty((shots, width))
    table[parts.shot, parts.cavity] = parts.value
    covariance = np.cov(table, rowvar=False) / shots
    own, all_ = np.diag(covariance), covariance.mean(axis=1)
    pair_variance = np.maximum(own[:, None] + own[None, :] - 2 * covariance, 0.0)
    mean = table.mean(axis=0)
    i, j = np.triu_indices(width, 1)
    t = _in_errors(mean[i] - mean[j], pair_variance[i, j])
    freedom = float(shots - 1)
    return Means(
        mean=parts.centre + mean,
        pair_variance=pair_variance,
        pair_freedom=np.full((width, width), freedom),
        offset_variance=np.maximum(own - 2 * all_ + covariance.mean(), 0.0),
        offset_freedom=np.full(width, freedom),
        alike_p=float(_bonferroni_p(t, np.full(len(i), freedom), len(i)).min()),
        method="shots as blocks, own spreads",
        even=False,
        sd=None,
    )


def _residuals_unlike(parts: Parts) -> bool:
    """Brown and Forsythe's test of what remains of each cavity without its shot."""
    table = np.empty((len(parts.shots), len(parts.labels)))
    table[parts.shot, parts.cavity] = parts.value
    left = table - table.mean(axis=1, keepdims=True)
    away = np.abs(left - np.median(left, axis=0))
    between = len(table) * float(np.square(away.mean(axis=0) - away.mean()).sum())
    within = float(np.square(away - away.mean(axis=0)).sum())
    freedom = table.shape[1] - 1, table.size - table.shape[1]
    return chance_of_ratio(between / freedom[0], within / freedom[1], *freedom) < UNLIKE_BELOW


def _welch(variance: Array, fourth: Array, least: float) -> Array:
    known = fourth > 0
    return np.asarray(np.where(known, variance**2 / np.where(known, fourth, 1.0), least))


def _welch_chance(mean: Array, v: Array, f: Array) -> float:
    """Welch 1951; a cavity that reads all equal outweighs every other, so that it is told as p = 0 or 1."""
    if not (v > 0).all():
        flat = mean[v == 0]
        return 0.0 if np.ptp(flat) > 0 else 1.0
    k, w = len(mean), 1 / v
    centre = (w * mean).sum() / w.sum()
    lack = float(((1 - w / w.sum()) ** 2 / f).sum())
    square = float((w * (mean - centre) ** 2).sum()) / (k - 1) / (1 + 2 * (k - 2) * lack / (k**2 - 1))
    return float(special.fdtrc(k - 1, (k**2 - 1) / (3 * lack), square))


def _in_errors(distance: Array, variance: Array) -> Array:
    """Distance in standard errors; infinite where there is distance and no error."""
    known = variance > 0
    t = np.abs(distance) / np.sqrt(np.where(known, variance, 1.0))
    return np.asarray(np.where(known, t, np.where(distance != 0, np.inf, 0.0)))


def _many(chance: Callable[[Array, Array], Array], t: Array, freedom: Array) -> Array:
    finite = np.isfinite(t)
    p = np.zeros(t.shape)
    p[finite] = chance(t[finite], freedom[finite])
    return p


def _bonferroni_p(t: Array, freedom: Array, count: int) -> Array:
    return np.asarray(np.minimum(1.0, 2 * count * special.stdtr(freedom, -t)))


def _bonferroni(freedom: Array, count: int, confidence: float) -> Array:
    return np.asarray(special.stdtrit(freedom, 1 - (1 - confidence) / (2 * count)))

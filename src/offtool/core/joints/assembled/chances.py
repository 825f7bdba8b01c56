"""Where each share can lie: the joint worked out again for means, spreads and frictions left plausible.

Few parts leave the mean and the spread of a cavity open: with s of f degrees of freedom, sigma^2 = s^2 f /
chi^2 and mu = mean + z sigma / sqrt(n) (fiducial draws, the same as t and chi-square intervals). Friction is
drawn evenly over its range. For each such set the shares are found along lines through the space of the
pieces: on a line the joint passes from loose to tight at points that are solved for, and what lies between
them has a probability that is known exactly. That is unbiased whatever the direction; along the one in which
the measure moves most, one line says more than thousands of pieces. Joints that pass a limit and come back
within one standard deviation are overlooked.
"""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from math import prod

import numpy as np
from numpy.typing import NDArray
from scipy import special

from offtool.core.inspection.distribution.plausible import even_scores
from offtool.core.joints.assembled.draws import ABOVE, BELOW, GOOD, OVER, PLAUSIBLE, WORKERS, generator
from offtool.core.joints.assembled.known import KnownJoint
from offtool.core.joints.assembled.sizes import Array, VaryingSize, without_gauge

MOST_DRAWS, LEAST_DRAWS = 1000, 200
LINES_IN_ALL = 64_000
LINES = 1
"""Lines a set of means and spreads, each with its mirror image."""
REACH = 6.0
POINTS = 13
NARROWINGS = 5
BLOCK = 8192
"""Lines at a time."""


@dataclass(frozen=True, slots=True)
class Plausible:
    """Shares by draw, combination and place; those of the mix by draw and place, drawn together or not."""

    pairs: Array
    mix: tuple[Array, Array]


def draws_for(known: KnownJoint) -> int:
    """How many sets of plausible values are worth their time."""
    return int(np.clip(LINES_IN_ALL // (2 * LINES * len(known.tuples)), LEAST_DRAWS, MOST_DRAWS))


def plausible_shares(known: KnownJoint, direction: Array, seed: int) -> Plausible:
    """Shares of every combination, and of the mix, for each plausible set."""
    draws = draws_for(known)
    means, kept, sds = _plausible_sizes(known, draws, seed)
    friction = _plausible_friction(known, draws, seed)
    scores = _lines(known, draws, seed)
    pairs = _over_tuples(known, direction, means, sds, friction, scores)
    # The means found scatter by their own errors more than the true ones do, and the draws once again more:
    # what the mix is made of is drawn together again, see `offtool.core.inspection.mix`.
    mix = _over_tuples(known, direction, kept, sds, friction, scores).mean(axis=1)
    return Plausible(pairs=pairs, mix=(mix, pairs.mean(axis=1)))


def exact_shares(known: KnownJoint, direction: Array, seed: int, lines: int = 256) -> Array:
    """Shares of every combination at the best estimates, by many lines; [tuple, place]."""
    means, sds = ([np.repeat(v[None], lines, 0) for v in every] for every in _best(known))
    friction = np.full(lines, known.middle_friction)
    scores = generator(seed, PLAUSIBLE, 1).standard_normal((lines, 1, len(known.sizes)))
    return np.asarray(_over_tuples(known, direction, means, sds, friction, scores).mean(axis=0))


def _best(known: KnownJoint) -> tuple[list[Array], list[Array]]:
    return [size.mean for size in known.sizes], [size.sd for size in known.sizes]


def _plausible_sizes(
    known: KnownJoint, draws: int, seed: int
) -> tuple[list[Array], list[Array], list[Array]]:
    """Means, means drawn together for the mix, and spreads; each [draw, cavity] for every size."""
    columns = [_columns(size) for size in known.sizes]
    count = sum(of_mean + of_spread for of_mean, of_spread in columns)
    scores = even_scores(count, draws, seed) if count else np.zeros((draws, 0))
    means, kept, sds, at = [], [], [], 0
    for size, (of_mean, of_spread) in zip(known.sizes, columns, strict=True):
        mean, sd, error = _plausible_size(
            size, scores[:, at : at + of_mean], scores[:, at + of_mean : at + of_mean + of_spread]
        )
        at += of_mean + of_spread
        means.append(mean)
        sds.append(sd)
        kept.append(_drawn_together(mean, error))
    return means, kept, sds


def _columns(size: VaryingSize) -> tuple[int, int]:
    """Scores that a size needs: of its means, of its spreads."""
    if size.part < 0:
        return 0, 0
    return size.mean.size, 1 if size.pooled else size.mean.size


def _plausible_size(size: VaryingSize, of_mean: Array, of_spread: Array) -> tuple[Array, Array, Array]:
    draws = len(of_mean)
    if size.part < 0:
        nothing = np.zeros((draws, 1))
        return size.mean + nothing, size.sd + nothing, nothing
    chi = special.chdtri(size.freedom if not size.pooled else size.freedom[:1], special.ndtr(of_spread))
    observed = size.observed_sd * np.sqrt(size.freedom / np.maximum(chi, 1e-300))
    error = observed / np.sqrt(size.parts)
    return size.mean + of_mean * error, without_gauge(observed, size.gauge_sd), error


def _drawn_together(means: Array, error: Array) -> Array:
    """Means whose scatter between cavities holds the errors once, not twice."""
    cavities = means.shape[1]
    if cavities < 2:
        return means
    middle = means.mean(axis=1, keepdims=True)
    apart = means - middle
    scatter = (apart**2).mean(axis=1)
    by_errors = (error**2).mean(axis=1) * (1 - 1 / cavities)
    keep = np.sqrt(np.clip(1 - 2 * by_errors / np.maximum(scatter, 1e-300), 0.0, 1.0))
    return np.asarray(middle + keep[:, None] * apart)


def _plausible_friction(known: KnownJoint, draws: int, seed: int) -> Array:
    low, high = known.friction
    even = (generator(seed, PLAUSIBLE, 2).permutation(draws) + 0.5) / draws
    return np.asarray(low + (high - low) * even)


def _lines(known: KnownJoint, draws: int, seed: int) -> Array:
    """Where the lines pass; [draw, line, size]. Each with its mirror image, which evens them out."""
    scores = generator(seed, PLAUSIBLE, 3).standard_normal((draws, LINES, len(known.sizes)))
    return np.concatenate([scores, -scores], axis=1)


def _over_tuples(
    known: KnownJoint, direction: Array, means: list[Array], sds: list[Array], friction: Array, scores: Array
) -> Array:
    """Shares by draw, combination and place, the lines of each draw averaged."""
    draws, lines, _ = scores.shape
    mean, sd = known.spread_out(means), known.spread_out(sds)
    many = max(1, BLOCK // (draws * lines))
    groups = [slice(at, at + many) for at in range(0, len(known.tuples), many)]

    def work(group: slice) -> Array:
        along = direction[group]
        across = scores[None] - np.einsum("dls,ts->tdl", scores, along)[..., None] * along[:, None, None]
        shape = across.shape
        block = _Lines(
            known=known,
            mean=_by_size(mean[..., group, :], shape),
            sd=_by_size(sd[..., group, :], shape),
            friction=np.broadcast_to(friction[:, None], shape[:3]).ravel(),
            start=known.correlated(across).reshape(prod(shape[:3]), shape[3]).T.copy(),
            step=np.broadcast_to(known.correlated(along)[:, None, None], shape)
            .reshape(prod(shape[:3]), shape[3])
            .T.copy(),
        )
        return np.asarray(block.shares().reshape(*shape[:3], 4).mean(axis=2))

    with ThreadPoolExecutor(WORKERS) as threads:
        return np.concatenate(list(threads.map(work, groups))).swapaxes(0, 1)


def _by_size(values: Array, shape: tuple[int, ...]) -> Array:
    """Values of a group of combinations, once a line; [draw, combination, size] to [size, line]."""
    tuples, draws, lines, sizes = shape
    of_draws = np.broadcast_to(values, (draws, tuples, sizes)).swapaxes(0, 1)
    return np.broadcast_to(of_draws[:, :, None], shape).reshape(tuples * draws * lines, sizes).T.copy()


@dataclass(frozen=True, slots=True)
class _Lines:
    """Lines through the pieces: scores start + t step, t normal; [size, line]."""

    known: KnownJoint
    mean: Array
    sd: Array
    friction: Array
    start: Array
    step: Array
    softened: bool = False
    """Where some pieces lock the measure rises without end: false position needs it bent to a height."""

    @property
    def _scale(self) -> float:
        return max(abs(self.known.lower or 0.0), abs(self.known.upper or 0.0)) or 1.0

    def shares(self) -> Array:
        """Share of each place on every line."""
        lines = self.friction.size
        return np.concatenate(
            [self._block(np.arange(lines)[at : at + BLOCK]) for at in range(0, lines, BLOCK)]
        )

    def _block(self, rows: NDArray[np.int64]) -> Array:
        t = np.linspace(-REACH, REACH, POINTS)
        edges = special.ndtr(t)
        edges[0], edges[-1] = 0.0, 1.0
        with np.errstate(all="ignore"):
            room = self._room(rows[:, None], np.broadcast_to(t, (rows.size, t.size)))
            if any(np.isinf(one).any() for one in room):
                soft = replace(self, softened=True)
                return soft._shares_of(rows, t, edges, tuple(_soften(one, self._scale) for one in room))
            return self._shares_of(rows, t, edges, room)

    def _shares_of(self, rows: NDArray[np.int64], t: Array, edges: Array, room: tuple[Array, ...]) -> Array:
        with np.errstate(all="ignore"):
            below, above, over = (self._true_where(rows, t, edges, room, which) for which in range(3))
            within = _not(over, edges)
            shares = np.zeros((rows.size, 4))
            shares[:, OVER] = _length(over)
            shares[:, BELOW] = _length(_both(below, within))
            shares[:, ABOVE] = _length(_both(above, within))
        shares[:, GOOD] = np.maximum(1 - shares.sum(axis=1), 0.0)
        return shares

    def _room(self, rows: NDArray[np.int64], t: Array) -> tuple[Array, Array, Array]:
        """Room to the lower limit, to the upper, and to the strain allowed; below 0 is past it."""
        pieces = [
            self.known.piece(
                i, self.mean[i, rows], self.sd[i, rows], self.start[i, rows] + t * self.step[i, rows]
            )
            for i in range(len(self.known.sizes))
        ]
        found = self.known.respond(pieces, np.broadcast_to(self.friction[rows], t.shape))
        measure, strain = (np.broadcast_to(one, t.shape) for one in (found.measure, found.strain_use))
        impossible = np.isnan(measure) | np.isnan(strain)
        lower, upper = self.known.lower, self.known.upper
        free = np.ones(t.shape)
        return (
            free if lower is None else np.where(impossible, 1.0, measure - lower),
            free if upper is None else np.where(impossible, 1.0, upper - measure),
            np.where(impossible, -1.0, 1 - strain),
        )

    def _true_where(
        self, rows: NDArray[np.int64], t: Array, edges: Array, room: tuple[Array, ...], which: int
    ) -> tuple[Array, Array]:
        """Between each two points of a line the stretch where the limit is passed, in probability."""
        past = room[which] < 0
        left, right = past[:, :-1], past[:, 1:]
        low = np.where(left, edges[:-1], np.where(right, edges[1:], edges[:-1]))
        high = np.where(right, edges[1:], edges[:-1])
        line, cell = np.nonzero(left != right)
        if line.size:
            crossing = special.ndtr(self._crossing(rows[line], t, line, cell, room[which], which))
            opens = right[line, cell]
            low[line[opens], cell[opens]] = crossing[opens]
            high[line[~opens], cell[~opens]] = crossing[~opens]
        return low, high

    def _crossing(
        self,
        rows: NDArray[np.int64],
        t: Array,
        line: NDArray[np.int64],
        cell: NDArray[np.int64],
        room: Array,
        which: int,
    ) -> Array:
        """Where the room is used up: false position, the end that stays is halved in weight."""
        a, b = t[cell], t[cell + 1]
        fa, fb = room[line, cell], room[line, cell + 1]
        for _ in range(NARROWINGS):
            c = _between(a, b, fa, fb)
            fc = self._room(rows, c)[which]
            fc = _soften(fc, self._scale) if self.softened else fc
            same = (fc < 0) == (fa < 0)
            a, b = np.where(same, c, a), np.where(same, b, c)
            fa, fb = np.where(same, fc, fa / 2), np.where(same, fb / 2, fc)
        return _between(a, b, fa, fb)


def _soften(room: Array, scale: float) -> Array:
    """The same sign, the same zero, and no more than the scale either way."""
    return np.where(np.isinf(room), np.sign(room) * scale, scale * room / (scale + np.abs(room)))


def _between(a: Array, b: Array, fa: Array, fb: Array) -> Array:
    share = fa / (fa - fb)
    return np.asarray(a + np.where(np.isfinite(share), np.clip(share, 0, 1), 0.5) * (b - a))


Stretch = tuple[Array, Array]


def _not(stretch: Stretch, edges: Array) -> Stretch:
    """The rest of each cell; a stretch touches one of its ends, or both, or is empty."""
    low, high = stretch
    from_left = low <= edges[:-1]
    return np.where(from_left, high, edges[:-1]), np.where(from_left, edges[1:], low)


def _both(one: Stretch, other: Stretch) -> Stretch:
    return np.maximum(one[0], other[0]), np.minimum(one[1], other[1])


def _length(stretch: Stretch) -> Array:
    return np.asarray(np.maximum(stretch[1] - stretch[0], 0.0).sum(axis=1))

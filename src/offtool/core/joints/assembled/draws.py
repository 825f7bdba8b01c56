"""Plain Monte Carlo: pieces drawn, put together, graded and counted, a chunk at a time.

A measure without end (a hook that locks) is above every limit: it counts in the shares, and in no sum and no
bin. One that is no number is of a joint that cannot be.

Every chunk draws from a stream of its own, numbered by what was measured (not by label) and by its place, and
chunks are added in order: the answer is the same on any number of cores. Nothing but counts is kept.
"""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from itertools import islice

import numpy as np
from numpy.typing import NDArray

from offtool.core.joints.assembled.known import KnownJoint
from offtool.core.joints.assembled.results import Grade
from offtool.core.joints.assembled.sizes import Array

CHUNK = 8_192
"""Pieces at a time: a dozen arrays of them lie in the cache of one core."""
RUN = 32
"""Chunks that one thread does in a row."""
WORKERS = 2
"""Threads; more of them only wait for each other."""
WAITING = 64
BARS = 60
FINE = 20
BINS = BARS * FINE
GOOD, BELOW, ABOVE, OVER = range(4)
"""Where a count stands: measure between the limits, below, above, and strained too far."""
PIECES, PLAUSIBLE, PILOT = range(3)
"""First number of a stream: what it is drawn for."""

Counts = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Scale:
    """Even bins from low to high; what lies outside counts in the first or the last."""

    low: float
    high: float

    @property
    def width(self) -> float:
        return (self.high - self.low) / BINS


@dataclass(frozen=True, slots=True)
class Tally:
    """Counts by combination and grade, bins of each combination and of all by grade, sums of the measure.

    Bins and sums are of the pieces whose measure is finite; `locked` are those without end.
    """

    grades: Counts
    bins: Counts
    bins_by_grade: Counts
    total: Array
    squares: Array
    impossible: Counts
    locked: Counts
    scale: Scale


def places(lower_is_loose: bool) -> dict[Grade, int]:
    """Where each grade is counted."""
    loose, tight = (BELOW, ABOVE) if lower_is_loose else (ABOVE, BELOW)
    return {Grade.LOOSE: loose, Grade.GOOD: GOOD, Grade.TIGHT: tight, Grade.OVERSTRAINED: OVER}


def generator(seed: int, *stream: int) -> np.random.Generator:
    """An independent stream of its own for each row of numbers."""
    return np.random.Generator(np.random.SFC64(np.random.SeedSequence(seed, spawn_key=stream)))


def tally(known: KnownJoint, pieces: int, seed: int, scale: Scale) -> Tally:
    """So many joints of every combination, drawn, graded and counted."""
    found = Tally(
        grades=np.zeros((len(known.tuples), 4), dtype=np.int64),
        bins=np.zeros((len(known.tuples), BINS), dtype=np.int64),
        bins_by_grade=np.zeros((4, BINS), dtype=np.int64),
        total=np.zeros(len(known.tuples)),
        squares=np.zeros(len(known.tuples)),
        impossible=np.zeros(len(known.tuples), dtype=np.int64),
        locked=np.zeros(len(known.tuples), dtype=np.int64),
        scale=scale,
    )
    means = known.spread_out([size.mean for size in known.sizes])
    sds = known.spread_out([size.sd for size in known.sizes])

    def work(run: tuple[int, int, int]) -> _Counted:
        row, first, count = run
        return _count_run(known, means[row], sds[row], (seed, PIECES, row), first, count, scale)

    runs = _runs(len(known.tuples), pieces)
    with ThreadPoolExecutor(WORKERS) as threads:
        # A few at a time, so that what waits to be added stays small whatever the count.
        while batch := list(islice(runs, WAITING)):
            for (row, _, _), counted in zip(batch, threads.map(work, batch), strict=True):
                found.grades[row] += counted.grades
                found.bins[row] += counted.bins.sum(axis=0)
                found.bins_by_grade[...] += counted.bins
                found.total[row] += counted.total
                found.squares[row] += counted.squares
                found.impossible[row] += counted.impossible
                found.locked[row] += counted.locked
    return found


def grade(known: KnownJoint, measure: Array, strain_use: Array) -> NDArray[np.int64]:
    """The place where each piece is counted; a piece that cannot be counts as strained too far."""
    found = np.zeros(measure.shape, dtype=np.int64)
    if known.lower is not None:
        found += measure < known.lower
    if known.upper is not None:
        found += (measure > known.upper) * ABOVE
    found[~(strain_use <= 1) | np.isnan(measure)] = OVER
    return found


def pilot_scale(known: KnownJoint, seed: int, pieces: int = 8 * CHUNK) -> Scale:
    """Bins wide enough for nearly all pieces, found from a few of every combination."""
    with np.errstate(all="ignore"):
        measure = mixed_pieces(known, generator(seed, PILOT), pieces)[0]
    measure = measure[np.isfinite(measure)]
    if measure.size == 0:
        return Scale(0.0, 1.0)
    low, high = (float(one) for one in np.quantile(measure, [0.0005, 0.9995]))
    reach = 0.25 * (high - low)
    # A torque or a force ends at nothing: bars below it would stand empty.
    low = max(low - reach, 0.0) if low >= 0 else low - reach
    high += reach
    if not high - low > 1e-9 * max(abs(low), abs(high)):
        reach = max(abs(low), abs(high), 1e-6) / 100
        low, high = low - reach, high + reach
    return Scale(low, high)


def mixed_pieces(
    known: KnownJoint, rng: np.random.Generator, pieces: int
) -> tuple[Array, Array, list[Array], Array]:
    """About so many pieces, as many of every combination: measure, strain, the pieces, their scores."""
    each = -(-pieces // len(known.tuples))
    row = np.repeat(np.arange(len(known.tuples)), each)
    scores = known.correlated(rng.standard_normal((row.size, len(known.sizes))))
    means = known.spread_out([size.mean for size in known.sizes])
    sds = known.spread_out([size.sd for size in known.sizes])
    drawn = [known.piece(i, means[row, i], sds[row, i], scores[:, i].copy()) for i in range(len(known.sizes))]
    found = known.respond(drawn, known.middle_friction)
    measure = np.broadcast_to(found.measure, row.shape)
    return measure, np.broadcast_to(found.strain_use, row.shape), drawn, scores


@dataclass(frozen=True, slots=True)
class _Counted:
    grades: Counts
    bins: Counts
    total: float
    squares: float
    impossible: int
    locked: int


def _runs(tuples: int, pieces: int) -> Iterator[tuple[int, int, int]]:
    """Combination, number of its first chunk, pieces."""
    for row in range(tuples):
        for start in range(0, pieces, RUN * CHUNK):
            yield row, start // CHUNK, min(RUN * CHUNK, pieces - start)


def _count_run(
    known: KnownJoint, mean: Array, sd: Array, stream: tuple[int, ...], first: int, count: int, scale: Scale
) -> _Counted:
    grades, bins = np.zeros(4, dtype=np.int64), np.zeros(4 * BINS, dtype=np.int64)
    total = squares = 0.0
    impossible = locked = 0
    middle = (scale.low + scale.high) / 2
    with np.errstate(all="ignore"):
        for chunk, start in enumerate(range(0, count, CHUNK), first):
            measure, strain = _draw(known, mean, sd, (*stream, chunk), min(CHUNK, count - start))
            place = grade(known, measure, strain)
            grades += np.bincount(place, minlength=4)
            real = np.isfinite(measure)
            if not real.all():
                impossible += int(np.isnan(measure).sum())
                locked += int(np.isposinf(measure).sum())
                measure, place = measure[real], place[real]
            apart = measure - middle
            total += float(apart.sum())
            squares += float(np.einsum("i,i", apart, apart))  # not @: it would call more threads
            apart += middle - scale.low
            apart *= 1 / scale.width
            np.clip(apart, 0, BINS - 1, out=apart)
            place *= BINS
            place += apart.astype(np.int64)
            bins += np.bincount(place, minlength=4 * BINS)
    return _Counted(grades, bins.reshape(4, BINS), total, squares, impossible, locked)


def _draw(
    known: KnownJoint, mean: Array, sd: Array, stream: tuple[int, ...], count: int
) -> tuple[Array, Array]:
    scores = generator(*stream).standard_normal((len(known.sizes), count))
    if known.root is not None:
        scores = known.root @ scores
    pieces = [known.piece(i, mean[i], sd[i], scores[i]) for i in range(len(known.sizes))]
    found = known.respond(pieces, known.middle_friction)
    return np.broadcast_to(found.measure, (count,)), np.broadcast_to(found.strain_use, (count,))

"""Which size moves the measure: its slope, and its share of the variance in the mix, between and within.

The measure is fitted by straight lines in the sizes, over pieces of the mix. A size's share is then the
covariance of its line with all lines, over the whole variance; the shares and the rest add up to one. Pieces
that lock have no finite measure and are left out of the lines.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import inf

import numpy as np

from offtool.core.joints.assembled.draws import PILOT, generator, mixed_pieces
from offtool.core.joints.assembled.known import KnownJoint
from offtool.core.joints.assembled.results import Contribution, FrictionEffect
from offtool.core.joints.assembled.sizes import Array
from offtool.core.joints.evidence import Span

PIECES = 65_536
STEP = 1e-5
"""Of a size, for its slope: large beside rounding, small beside any bend."""
FRICTION_POINTS = 33


@dataclass(frozen=True, slots=True)
class Fitted:
    """What the lines say: shares, what they leave, and the direction of scores for each combination."""

    contributions: tuple[Contribution, ...]
    rest: float
    direction: Array


def fit_contributions(known: KnownJoint, units: Mapping[str, str], seed: int) -> Fitted:
    """Lines, shares, and for each combination the direction of scores in which the measure moves most."""
    with np.errstate(all="ignore"):
        lines, rest = _fit(known, seed)
        slopes = _slopes(known)
    between, within = _variances(known)
    of_between, of_within = lines * (between @ lines), lines * (within @ lines)
    variance = float((of_between + of_within).sum()) + rest
    shown = variance if variance > 0 else 1.0
    return Fitted(
        contributions=tuple(
            Contribution(
                role=size.role,
                part=known.parts[size.part].name if size.part >= 0 else "",
                unit=units[size.role],
                slope=float(slopes[i]),
                share=float((of_between[i] + of_within[i]) / shown),
                between=float(of_between[i] / shown),
                within=float(of_within[i] / shown),
            )
            for i, size in enumerate(known.sizes)
        ),
        rest=rest / shown,
        direction=_directions(known, lines),
    )


def friction_effect(known: KnownJoint, friction: Span, variance: float, seed: int) -> FrictionEffect:
    """What the range of friction does to the mean of the mix, beside what varies from piece to piece."""
    with np.errstate(all="ignore"):
        _, _, pieces, _ = mixed_pieces(known, generator(seed, PILOT), PIECES // 4)
        ends = np.linspace(friction.low, friction.high, FRICTION_POINTS)
        means = np.array([_mean(known.respond(pieces, one).measure) for one in ends])
        there = means[np.isfinite(means)]
    width = friction.high - friction.low
    return FrictionEffect(
        friction=friction,
        mean_at_low=float(means[0]),
        mean_at_high=float(means[-1]),
        slope=float((means[-1] - means[0]) / width) if width > 0 and there.size == means.size else 0.0,
        beside_variance=float(there.var() / variance) if variance > 0 and there.size else 0.0,
    )


def _mean(measure: Array) -> float:
    """Of the pieces that do not lock; without end where all do."""
    real = measure[np.isfinite(measure)]
    return float(real.mean()) if real.size else inf


def _fit(known: KnownJoint, seed: int) -> tuple[Array, float]:
    """Least squares of the measure on the sizes, and the variance that is left."""
    measure, _, pieces, _ = mixed_pieces(known, generator(seed, PILOT), PIECES)
    real = np.isfinite(measure)
    if not known.sizes or not real.any():
        return np.zeros(len(known.sizes)), 0.0
    table = np.column_stack(pieces)[real]
    centre, spread = table.mean(axis=0), table.std(axis=0)
    scaled = (table - centre) / np.where(spread > 0, spread, 1.0)
    apart = measure[real] - measure[real].mean()
    found = np.linalg.lstsq(scaled, apart, rcond=None)[0]
    rest = float((apart - scaled @ found).var())
    # A straight answer leaves rounding, not a rest.
    rest = 0.0 if rest < 1e-18 * float(apart.var()) else rest
    return np.where(spread > 0, found / np.where(spread > 0, spread, 1.0), 0.0), rest


def _variances(known: KnownJoint) -> tuple[Array, Array]:
    """Covariance of the sizes between combinations of cavities, and the mean one within."""
    means = known.spread_out([size.mean for size in known.sizes])
    apart = means - means.mean(axis=0)
    sds = known.spread_out([np.sqrt(size.variance) for size in known.sizes])
    together = np.eye(len(known.sizes)) if known.root is None else known.root @ known.root.T
    return apart.T @ apart / len(means), together * (sds.T @ sds) / len(means)


def _slopes(known: KnownJoint) -> Array:
    """Central differences where the sizes stand on average; 0 where the joint locks there."""
    middle = np.array([size.mean.mean() for size in known.sizes])
    found = []
    for i, size in enumerate(known.sizes):
        step = STEP * max(abs(middle[i]), float(np.sqrt(size.variance.max())), 1e-6)
        ends = np.repeat(middle[:, None], 2, axis=1)
        ends[i] += (-step, step)
        low, high = np.broadcast_to(known.respond(list(ends), known.middle_friction).measure, (2,))
        found.append((high - low) / (2 * step) if np.isfinite(high - low) else 0.0)
    return np.array(found)


def _directions(known: KnownJoint, lines: Array) -> Array:
    """A unit vector of scores for each combination, along which the measure moves most."""
    pull = lines * known.spread_out([np.sqrt(size.variance) for size in known.sizes])
    pull = pull if known.root is None else pull @ known.root
    length = np.sqrt((pull**2).sum(axis=1, keepdims=True))
    even = np.full(pull.shape, 1 / np.sqrt(max(pull.shape[1], 1)))
    return np.where(length > 0, pull / np.where(length > 0, length, 1.0), even)

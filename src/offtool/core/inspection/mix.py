"""What production will ship: the mixture of the cavities."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy import special

from offtool.core.formulas import Numbers, Texts, formula
from offtool.core.inspection.distribution.indices import HIGH, LOW, MIDDLE, index_from_quantiles
from offtool.core.inspection.distribution.plausible import even_scores
from offtool.core.inspection.limits import CONFIDENCE, LOWER, UPPER, VALUES, require_limits
from offtool.core.inspection.names import names_in_order
from offtool.core.inspection.spread import CavitySpreads, spreads_by_code
from offtool.core.values import Caution, ImpossibleInput, NotEnoughData, Range

DRAWS = 2000
SEED = 8
STEPS = 60
CLOSE = 1e-4
"""Newton's last step then leaves an error of its square."""
FEW_PARTS = 5

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class MixFinding:
    """A mixture against the limits; `low` and `high` bounds are each one-sided at the confidence.

    `quantiles` are those at 0.135, 50 and 99.865 %; `potential` is None with one limit.
    """

    quantiles: tuple[float, float, float]
    index: float
    index_low: float
    index_high: float
    potential: float | None
    potential_low: float | None
    potential_high: float | None
    below: float
    above: float
    outside: float
    outside_low: float
    outside_high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class MixedCavity:
    """One cavity in the mixture: what it makes, and its part of all that lies outside."""

    cavity: str
    share: float
    parts: int
    mean: float
    sd: float
    outside: float
    share_of_outside: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ShippedMix:
    """The mixture as it is, the same with every cavity's mean moved to the middle, and who makes the rest."""

    as_is: MixFinding
    centred: MixFinding | None
    cavities: tuple[MixedCavity, ...]
    worst: str
    spread_pooled: bool
    parts: int
    confidence: float
    lower: float | None
    upper: float | None
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={
        "values": VALUES,
        "cavities": Range(meaning="cavity of each reading"),
        "lower": LOWER,
        "upper": UPPER,
        "shares": Range(
            meaning="parts that each cavity contributes, in the order in which the cavities first appear; "
            "all alike when blank",
            at_least=0,
        ),
        "confidence": CONFIDENCE,
    },
    example={
        "values": [3.991, 3.988, 3.993, 3.990, 3.989, 4.012, 4.015, 4.014, 4.017, 4.013],
        "cavities": ["1", "1", "1", "1", "1", "2", "2", "2", "2", "2"],
        "lower": 3.96,
        "upper": 4.04,
    },
    source="ISO 22514-2, percentile method (from memory), for a mixture of normals; bounds by pivots of the "
    "means and standard deviations (Weerahandi 1993, J. Am. Stat. Assoc. 88:899), seeded",
)
def shipped_mix(
    values: Numbers,
    cavities: Texts,
    *,
    lower: float | None = None,
    upper: float | None = None,
    shares: Numbers | None = None,
    confidence: float = 0.95,
) -> ShippedMix:
    """What a box of parts from all cavities holds, and what centring each cavity would give.

    F(x) = sum of share_c Phi((x - mean_c) / s_c); its quantiles at 0.135, 50 and 99.865 % give Pp and Ppk,
    its tails the share outside. s_c is pooled where cavities spread alike. Bounds: means and deviations drawn
    from their pivots 2000 times, seeded, the scatter of the means rid of their own errors.

    Returns: ShippedMix; `centred` is None with one limit, for there is no middle. Raises: ImpossibleInput for
    missing or crossed limits, unequal lists, shares that do not fit; NotEnoughData where a cavity shows no
    spread.

    Holds when: parts of a cavity are alike and normal, from settled shots; the shares are those of
    production. The bounds are on the safe side with two limits, or where cavities are nearly alike.

    Example: a single cavity gives the normal again.
    """
    require_limits(lower, upper)
    array = np.asarray(values, dtype=float)
    if array.size == 0 or array.size != len(cavities):
        raise ImpossibleInput(
            "cavities", len(cavities), "", f"must name the cavity of each of {array.size} readings"
        )
    labels, codes = names_in_order(cavities)
    spreads = spreads_by_code(array, codes, labels)
    if not (spreads.freedom > 0).all() or not (spreads.sd > 0).all():
        raise NotEnoughData(
            "a cavity shows no spread of its own and there is none to pool",
            remedy="measure at least two parts of each cavity with a gauge fine enough to tell them apart",
        )
    weight = _weights(shares, len(labels))
    means, sds = _plausible(spreads, weight)
    as_is = _finding(weight, spreads.mean, spreads.sd, means, sds, lower, upper, confidence)
    centred = None
    if lower is not None and upper is not None:
        away = spreads.mean - (lower + upper) / 2
        centred = _finding(
            weight, spreads.mean - away, spreads.sd, means - away, sds, lower, upper, confidence
        )
    found = _each(spreads, weight, lower, upper)
    return ShippedMix(
        as_is=as_is,
        centred=centred,
        cavities=found,
        worst=max(found, key=lambda one: (one.share_of_outside, -_room(one, lower, upper))).cavity,
        spread_pooled=spreads.pooled,
        parts=array.size,
        confidence=confidence,
        lower=lower,
        upper=upper,
        cautions=tuple(_cautions(spreads)),
    )


def _weights(shares: Numbers | None, cavities: int) -> Array:
    if shares is None:
        return np.full(cavities, 1 / cavities)
    array = np.asarray(shares, dtype=float)
    if array.size != cavities:
        raise ImpossibleInput("shares", array.size, "", f"must be one for each of {cavities} cavities")
    if not 0 < array.sum() < np.inf:
        raise ImpossibleInput("shares", float(array.sum()), "", "must add up to more than 0")
    return np.asarray(array / array.sum())


@lru_cache(maxsize=32)
def _stretches(freedom: tuple[int, ...]) -> Array:
    """sigma / s for each column; one freedom for all is one pooled s."""
    share = special.ndtr(even_scores(len(freedom), DRAWS, SEED + 1))
    return np.asarray(np.sqrt(np.array(freedom) / special.chdtri(np.array(freedom), share)))


def _plausible(spreads: CavitySpreads, weight: Array) -> tuple[Array, Array]:
    """Means and deviations that the readings leave plausible; [draw, cavity]."""
    freedom = tuple(int(one) for one in spreads.freedom)
    stretch = _stretches(freedom[:1]) if spreads.pooled else _stretches(freedom)
    sds = spreads.sd * stretch
    errors = sds / np.sqrt(spreads.parts)
    means = spreads.mean + even_scores(len(freedom), DRAWS, SEED) * errors
    # The means found scatter by their own errors more than the true ones do, and the draws once again more.
    middle = means @ weight
    apart = means - middle[:, None]
    scatter = apart**2 @ weight
    by_errors = errors**2 @ (weight * (1 - weight))
    kept = np.sqrt(np.clip(1 - 2 * by_errors / np.maximum(scatter, 1e-300), 0.0, 1.0))
    return middle[:, None] + kept[:, None] * apart, sds


def _finding(
    weight: Array,
    mean: Array,
    sd: Array,
    means: Array,
    sds: Array,
    lower: float | None,
    upper: float | None,
    confidence: float,
) -> MixFinding:
    """The mixture itself in the first row, its plausible ones below, worked out together."""
    means, sds = np.vstack([mean, means]), np.vstack([sd, sds])
    low, middle, high = (mixture_quantile(p, weight, means, sds) for p in (LOW, MIDDLE, HIGH))
    found = index_from_quantiles(low, middle, high, lower, upper)
    below, above = _tails(weight, means, sds, lower, upper)
    index, outside = found.smaller, below + above
    # Alike cavities are a corner of what is plausible, and of two limits either may be the nearer: the bounds
    # that flatter nobody take half the risk, measured to hold.
    risk = (1 - confidence) / 2
    potential = found.potential
    return MixFinding(
        quantiles=(float(low[0]), float(middle[0]), float(high[0])),
        index=float(index[0]),
        index_low=min(float(np.quantile(side[1:], 1 - confidence)) for side in found.sides),
        index_high=min(float(np.quantile(side[1:], 1 - risk)) for side in found.sides),
        potential=None if potential is None else float(potential[0]),
        potential_low=None if potential is None else float(np.quantile(potential[1:], 1 - confidence)),
        potential_high=None if potential is None else float(np.quantile(potential[1:], 1 - risk)),
        below=float(below[0]),
        above=float(above[0]),
        outside=float(outside[0]),
        outside_low=float(np.quantile(outside[1:], risk)),
        outside_high=float(np.quantile(outside[1:], confidence)),
    )


def _tails(
    weight: Array, means: Array, sds: Array, lower: float | None, upper: float | None
) -> tuple[Array, Array]:
    none = np.zeros(len(means))
    below = none if lower is None else special.ndtr((lower - means) / sds) @ weight
    above = none if upper is None else special.ndtr((means - upper) / sds) @ weight
    return below, above


def mixture_quantile(share: float, weight: Array, means: Array, sds: Array) -> Array:
    """Where F(x) = share, for every row: Newton on the normal scale, inside the cavities' own quantiles."""
    score = float(special.ndtri(share))
    used = weight > 0
    weight, means, sds = weight[used], means[:, used], sds[:, used]
    own = means + score * sds
    low, high = own.min(axis=1), own.max(axis=1)
    x = means @ weight + score * np.sqrt((sds**2 + means**2) @ weight - (means @ weight) ** 2)
    x = np.clip(np.where(np.isfinite(x), x, own.mean(axis=1)), low, high)
    side = 1.0 if score <= 0 else -1.0  # the nearer tail keeps its digits
    goal = side * score
    for _ in range(STEPS):
        z = (x[:, None] - means) / sds
        tail = special.ndtr(side * z) @ weight
        at = special.ndtri(tail)
        over = side * (at - goal)
        low, high = np.where(over < 0, x, low), np.where(over < 0, high, x)
        slope = np.exp(-0.5 * z**2) / sds @ weight / np.exp(-0.5 * at**2)
        newton = x - over / slope
        nearer = np.where((newton >= low) & (newton <= high), newton, (low + high) / 2)
        done = np.all(np.abs(nearer - x) <= CLOSE * (high - low + sds[:, 0]))
        x = nearer
        if done:
            break
    return np.asarray(x)


def _each(
    spreads: CavitySpreads, weight: Array, lower: float | None, upper: float | None
) -> tuple[MixedCavity, ...]:
    below, above = _tails(np.ones(1), spreads.mean[:, None], spreads.sd[:, None], lower, upper)
    outside = below + above
    total = float(weight @ outside)
    part = weight * outside / total if total > 0 else np.zeros(weight.size)
    return tuple(
        MixedCavity(
            cavity=label,
            share=float(weight[i]),
            parts=int(spreads.parts[i]),
            mean=float(spreads.mean[i]),
            sd=float(spreads.sd[i]),
            outside=float(outside[i]),
            share_of_outside=float(part[i]),
        )
        for i, label in enumerate(spreads.cavities)
    )


def _room(cavity: MixedCavity, lower: float | None, upper: float | None) -> float:
    """Standard deviations to the nearer limit."""
    room = [cavity.mean - lower] if lower is not None else []
    room += [upper - cavity.mean] if upper is not None else []
    return min(room) / cavity.sd


def _cautions(spreads: CavitySpreads) -> list[Caution]:
    cautions = []
    fewest = int(spreads.parts.min())
    if fewest < FEW_PARTS:
        cautions.append(Caution(f"only {fewest} parts in a cavity: fewer than {FEW_PARTS} say little"))
    if "" in spreads.cavities:
        cautions.append(Caution("cavity not recorded: readings without one are taken as one cavity"))
    if len(spreads.cavities) > 1 and not spreads.pooled:
        cautions.append(Caution("cavities spread unlike: each is judged by its own few parts"))
    return cautions

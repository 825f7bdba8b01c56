"""Statistical tolerance intervals: where a stated share of all parts lies, from the few that were seen."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import ceil, exp, inf, log, pi, sqrt
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy import optimize, special

from offtool.core.formulas import Numbers, formula
from offtool.core.inspection.limits import CONFIDENCE, PARTS, VALUES, too_few
from offtool.core.inspection.spread import mean_and_sd
from offtool.core.values import Caution, Interval, NotEnoughData, Range

Sides = Literal["both", "below", "above"]

SHARE = Range(meaning="share of all parts that is to lie inside", at_least=0.5, below=1)
SIDES = Range(meaning="which ends are wanted: both, the one below only, the one above only")
FREEDOM = Range(
    meaning="behind the standard deviation; parts - 1 unless it is pooled over cavities", at_least=1
)

FARTHEST = 8.5
"""Standard errors of a mean beyond which 2e-17 is left."""
NODES, WEIGHTS = np.polynomial.legendre.leggauss(20)
MOST_PANELS = 2000
MOST_PARTS = 10**7


@dataclass(frozen=True, slots=True, kw_only=True)
class ToleranceFactor:
    """How many standard deviations from the mean a tolerance interval ends."""

    factor: float
    parts: int
    degrees_of_freedom: int
    share: float
    confidence: float
    sides: str
    cautions: tuple[Caution, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ToleranceInterval:
    """The interval, and what it rests on.

    Normal: `mean`, `sd` and `factor`. Distribution-free: the ranks of the readings that are its ends
    (1 is the smallest), the confidence that they attain, and how many parts the smallest and the largest
    reading need to reach what was asked; where they do not reach it, an end is infinite and `attained` is
    what they reach.
    """

    interval: Interval
    method: str
    sides: str
    share: float
    confidence: float
    attained: float
    parts: int
    mean: float
    sd: float
    factor: float | None = None
    low_rank: int | None = None
    high_rank: int | None = None
    parts_needed: int | None = None
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={
        "values": VALUES,
        "share": SHARE,
        "confidence": CONFIDENCE,
        "sides": SIDES,
        "method": Range(meaning="whether the parts are taken as normal, or nothing is assumed of them"),
    },
    example={"values": [3.971, 3.968, 3.973, 3.970, 3.969, 3.972, 3.975, 3.974], "share": 0.95},
    source="ISO 16269-6:2014, normal with unknown mean and deviation, and distribution-free",
)
def tolerance_interval(
    values: Numbers,
    *,
    share: float = 0.99,
    confidence: float = 0.95,
    sides: Sides = "both",
    method: Literal["normal", "distribution-free"] = "normal",
) -> ToleranceInterval:
    """Where at least a share of all parts lies, with stated confidence.

    Normal: mean +- k s, k as in `tolerance_factor`. Distribution-free: from the r-th smallest to the r-th
    largest reading, r as large as P(Beta(m, n - m + 1) <= 1 - share) >= confidence allows, where m readings
    lie at or beyond the ends.

    Returns: ToleranceInterval. Raises: NotEnoughData for no reading, or one where the spread is needed.

    Holds when: parts are alike, from settled shots. Normal ends lie in tails that no reading has shown: they
    stand or fall with the normal shape.

    Example: the smallest to the largest of 93 readings hold 95 % of all parts with 95 % confidence.
    """
    array = np.sort(np.asarray(values, dtype=float))
    if array.size == 0:
        raise NotEnoughData("no readings", remedy="measure at least two parts")
    if method == "normal":
        return _normal(array, share, confidence, sides)
    return _distribution_free(array, share, confidence, sides)


@formula(
    limits={
        "parts": PARTS,
        "share": SHARE,
        "confidence": CONFIDENCE,
        "sides": SIDES,
        "degrees_of_freedom": FREEDOM,
    },
    example={"parts": 43, "share": 0.9, "confidence": 0.99},
    source="ISO 16269-6:2014; one end: noncentral t; two ends: Odeh and Owen 1980, Tables for Normal "
    "Tolerance Limits, ch. 2, the integral by our own quadrature",
)
def tolerance_factor(
    parts: int,
    *,
    share: float = 0.99,
    confidence: float = 0.95,
    sides: Sides = "both",
    degrees_of_freedom: int | None = None,
) -> ToleranceFactor:
    """How many standard deviations from the mean at least a share of all parts lies.

    k with P(share inside mean +- k s) = confidence: the integral over the mean x (standard error 1 / sqrt(n))
    of P(chi2_f > f r(x)^2 / k^2), where x +- r(x) holds the share. No approximation: k is found as its root.

    Returns: ToleranceFactor. Raises: NotEnoughData for one part without a pooled deviation.

    Holds when: parts are alike and normal; the deviation may be pooled over cavities.

    Example: 43 parts, share 0.90, confidence 0.99, two ends: 2.2228 (NIST/SEMATECH e-Handbook 7.2.6.3 gives
    2.217 by Howe's approximation).
    """
    parts = int(parts)
    freedom = parts - 1 if degrees_of_freedom is None else int(degrees_of_freedom)
    if freedom < 1:
        raise too_few()
    return ToleranceFactor(
        factor=_factor(parts, freedom, share, confidence, sides),
        parts=parts,
        degrees_of_freedom=freedom,
        share=share,
        confidence=confidence,
        sides=sides,
    )


def chance_below(k: float, z: float, parts: float, freedom: float) -> float:
    """P(X / sqrt(parts) + k S < z), X standard normal, S^2 chi-square over its freedom.

    A noncentral t in other words: P(T <= k sqrt(parts)) is its complement for noncentrality z sqrt(parts).
    Unlike the library's routine it comes back for any size of its arguments.
    """
    mean, weight = _means(-FARTHEST, min(FARTHEST, z * sqrt(parts)), k * sqrt(parts / (2 * freedom)))
    return _missed(k, z - mean / sqrt(parts), weight, freedom)


@lru_cache(maxsize=4096)
def one_sided_factor(z: float, parts: int, freedom: int, confidence: float) -> float:
    """k with P(mean + k s reaches z true deviations past the true mean) = confidence."""
    guess = z + float(special.ndtri(confidence)) / sqrt(parts)
    width = guess * sqrt(parts / (2 * freedom))
    mean, weight = _means(-FARTHEST, min(FARTHEST, z * sqrt(parts)), width)
    return _root(z - mean / sqrt(parts), weight, freedom, 1 - confidence, guess)


@lru_cache(maxsize=4096)
def two_sided_factor(share: float, parts: int, freedom: int, confidence: float) -> float:
    """k with P(mean +- k s holds the share) = confidence."""
    z = float(special.ndtri((1 + share) / 2))
    mean, weight = _means(0.0, FARTHEST, z * sqrt(parts / (2 * freedom)))
    return _root(_reach_around(mean / sqrt(parts), share), 2 * weight, freedom, 1 - confidence, z)


def _factor(parts: int, freedom: int, share: float, confidence: float, sides: str) -> float:
    if sides == "both":
        return two_sided_factor(share, parts, freedom, confidence)
    return one_sided_factor(float(special.ndtri(share)), parts, freedom, confidence)


def _means(low: float, high: float, width: float) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Where a standard normal is looked at between two ends, and its weight there.

    `width` is how far it must move before anything changes: with much freedom behind few parts that is
    little, and the panels must be as narrow.
    """
    if not high > low:
        return np.zeros(0), np.zeros(0)
    panels = min(ceil((high - low) / min(2.0, max(3 * width, 1e-9))), MOST_PANELS)
    edges = np.linspace(low, high, panels + 1)
    half = (high - low) / panels / 2
    x = ((edges[:-1] + edges[1:]) / 2)[:, None] + half * NODES
    weight = half * WEIGHTS * np.exp(-(x**2) / 2) / sqrt(2 * pi)
    return x.ravel(), weight.ravel()


def _reach_around(mean: NDArray[np.float64], share: float) -> NDArray[np.float64]:
    """r with P(|Z - mean| <= r) = share, by Newton's steps from below, where they cannot overshoot."""
    r = np.maximum(mean + special.ndtri(share), special.ndtri((1 + share) / 2))
    for _ in range(30):
        outside = special.ndtr(-mean - r) + special.ndtr(mean - r)
        slope = (np.exp(-((mean + r) ** 2) / 2) + np.exp(-((mean - r) ** 2) / 2)) / sqrt(2 * pi)
        step = (outside - (1 - share)) / slope
        r = r + step
        if np.all(np.abs(step) <= 1e-14 * r):
            break
    return np.asarray(r)


def _missed(k: float, reach: NDArray[np.float64], weight: NDArray[np.float64], freedom: float) -> float:
    """How often k s falls short of what the mean needs."""
    return float(weight @ special.chdtr(freedom, freedom * (reach / k) ** 2))


def _root(
    reach: NDArray[np.float64], weight: NDArray[np.float64], freedom: int, risk: float, guess: float
) -> float:
    def excess(log_k: float) -> float:
        return _missed(exp(log_k), reach, weight, freedom) - risk

    low = high = log(guess)
    while excess(low) < 0:
        low -= 1
    while excess(high) > 0 and high < log(1e300):
        high += 1
    return exp(optimize.brentq(excess, low, high, xtol=1e-13, rtol=1e-14)) if low < high else guess


def _normal(array: NDArray[np.float64], share: float, confidence: float, sides: str) -> ToleranceInterval:
    if array.size < 2:
        raise too_few()
    mean, sd = mean_and_sd(array)
    k = _factor(array.size, array.size - 1, share, confidence, sides)
    equal = Caution("all values are equal: the gauge is too coarse to see the spread")
    return ToleranceInterval(
        interval=Interval(
            low=-inf if sides == "above" else mean - k * sd,
            high=inf if sides == "below" else mean + k * sd,
            confidence=confidence,
        ),
        method="normal",
        sides=sides,
        share=share,
        confidence=confidence,
        attained=confidence,
        parts=array.size,
        mean=mean,
        sd=sd,
        factor=k,
        cautions=() if sd else (equal,),
    )


def _attained(beyond: int, parts: int, share: float) -> float:
    """Confidence that the share lies inside when `beyond` readings are the ends or lie outside them."""
    return float(special.betainc(beyond, parts - beyond + 1, 1 - share))


def _distribution_free(
    array: NDArray[np.float64], share: float, confidence: float, sides: str
) -> ToleranceInterval:
    parts, ends = array.size, 2 if sides == "both" else 1
    # More beyond is less sure: the deepest rank is found by halving. Both ends take the same rank, so that
    # the mirrored size has the mirrored interval.
    rank, too_deep = 0, parts // ends + 1
    while too_deep - rank > 1:
        middle = (rank + too_deep) // 2
        if _attained(ends * middle, parts, share) >= confidence:
            rank = middle
        else:
            too_deep = middle
    attained = _attained(ends * max(rank, 1), parts, share) if parts >= ends else 0.0
    needed = _extremes_needed(ends, share, confidence)
    mean, sd = mean_and_sd(array)
    low = rank if rank and sides != "above" else None
    high = parts + 1 - rank if rank and sides != "below" else None
    return ToleranceInterval(
        interval=Interval(
            low=-inf if low is None else float(array[low - 1]),
            high=inf if high is None else float(array[high - 1]),
            confidence=confidence,
        ),
        method="distribution-free",
        sides=sides,
        share=share,
        confidence=confidence,
        attained=attained,
        parts=parts,
        mean=mean,
        sd=sd,
        low_rank=low,
        high_rank=high,
        parts_needed=needed,
        cautions=() if rank else (_out_of_reach(parts, share, confidence, attained, needed),),
    )


def _extremes_needed(ends: int, share: float, confidence: float) -> int | None:
    """Fewest parts whose extreme readings hold the share; None beyond ten million."""
    few, many = ends - 1, MOST_PARTS + 1
    while many - few > 1:
        middle = (few + many) // 2
        if _attained(ends, middle, share) >= confidence:
            many = middle
        else:
            few = middle
    return many if many <= MOST_PARTS else None


def _out_of_reach(
    parts: int, share: float, confidence: float, attained: float, needed: int | None
) -> Caution:
    count = f"{needed} parts" if needed is not None else f"more than {MOST_PARTS} parts"
    return Caution(
        f"too few parts ({parts}) for a share of {share:g}: their extreme readings hold it "
        f"with a confidence of {attained:.2g}; {count} are needed for {confidence:g}, or a known distribution"
    )

"""Plans that measure instead of counting: mean and spread of the sample against the limit."""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass
from itertools import count as count_up
from math import pi, sqrt
from typing import Literal

import numpy as np
from scipy import optimize, special

from offtool.core.formulas import formula
from offtool.core.inspection.tolerance import chance_below, one_sided_factor
from offtool.core.pilot.sampling.asked import (
    CONSUMER_RISK,
    NOT_WITHOUT,
    PRODUCER_RISK,
    require_order,
)
from offtool.core.values import Caution, Range

Spread = Literal["known", "unknown"]
Limits = Literal["one", "two"]

MOST_MEASURED = 20_000
CURVE_POINTS = 25
SPLITS = 6
"""Ways in which a share is split over the two sides, from all on one to half on each."""
LARGEST_SHARE = 0.5
LEAST_FACTOR, LARGEST_FACTOR = 0.1, 10.0
FAR = 40.0
"""Standard deviations at which nothing lies outside any more."""
FARTHEST = 8.5
"""Standard errors of a mean beyond which 2e-17 is left."""
PANELS = 25
"""The mean is integrated over so many on each side: to 1e-10 (compared with 60)."""
NODES, WEIGHTS = np.polynomial.legendre.leggauss(12)

GOOD_SHARE = Range(meaning="share outside at which a lot should pass", above=1e-9, below=LARGEST_SHARE)
BAD_SHARE = Range(meaning="share outside at which a lot should not pass", above=1e-9, below=LARGEST_SHARE)
SPREAD = Range(meaning="whether the standard deviation is known, or comes from the sample")
LIMITS = Range(meaning="whether the characteristic has one limit or two")

NORMAL_ONLY = Caution(
    "the readings must be normal far into the tails: one mould with cavities that differ is not. Check the "
    "distribution first, and judge cavity by cavity."
)
TWO_LIMITS = Caution(
    "with two limits the chance depends on how the bad pieces lie on the two sides: the worst case is told"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredPoint:
    """At this share outside a lot passes between so and so often, over how it lies on the two sides."""

    share: float
    passes_least: float
    passes_most: float


@dataclass(frozen=True, slots=True, kw_only=True)
class VariablesPlan:
    """Measure `pieces`; accept when the mean lies `factor` standard deviations or more inside each limit.

    `refuses_good` and `passes_bad` are the greatest over how the pieces outside lie on the two sides.
    `factor` and `pieces` are None where no plan of up to 20,000 pieces keeps both risks.
    """

    pieces: int | None
    factor: float | None
    refuses_good: float | None
    passes_bad: float | None
    curve: tuple[MeasuredPoint, ...]
    words: str
    good: float
    bad: float
    spread: str
    limits: str
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={
        "pieces": Range(meaning="pieces that are measured", at_least=2, at_most=MOST_MEASURED),
        "factor": Range(
            meaning="standard deviations between the mean and each limit",
            at_least=LEAST_FACTOR,
            at_most=LARGEST_FACTOR,
        ),
        "good": GOOD_SHARE,
        "bad": BAD_SHARE,
        "spread": SPREAD,
        "limits": LIMITS,
    },
    example={"pieces": 20, "factor": 1.8, "good": 0.01, "bad": 0.10, "spread": "unknown"},
    source="normal and noncentral t distributions (Lieberman and Resnikoff 1955, from memory)",
)
def variables_plan(
    pieces: int, factor: float, *, good: float, bad: float, spread: Spread, limits: Limits = "one"
) -> VariablesPlan:
    """How often lots pass a plan that measures one characteristic.

    Accept when (U - mean) / s >= k. Known s: passes(p) = Phi(sqrt(n) (z - k)), z the normal quantile of
    1 - p; s from the sample: the noncentral t with noncentrality sqrt(n) z. Two limits: the chance that both
    hold, over where the mean may fall, for several splits of p over the two sides.

    Returns: VariablesPlan. Raises: ImpossibleInput for a good share that is not below the bad one.

    Holds when: the readings are normal, and one sample is one cavity or all cavities are alike.

    Example: 20 pieces, k 1.8, s from the sample: 1 % outside passes in 0.931, 10 % in 0.086.
    """
    require_order(good, bad)
    return _plan(int(pieces), factor, good, bad, spread, limits)


@formula(
    limits={
        "good": GOOD_SHARE,
        "bad": BAD_SHARE,
        "spread": SPREAD,
        "producer_risk": PRODUCER_RISK,
        "consumer_risk": CONSUMER_RISK,
        "limits": LIMITS,
    },
    example={"good": 0.01, "bad": 0.10, "spread": "unknown"},
    source="normal and noncentral t distributions (Lieberman and Resnikoff 1955, from memory)",
)
def find_variables_plan(
    good: float,
    bad: float,
    *,
    spread: Spread,
    producer_risk: float = 0.05,
    consumer_risk: float = 0.10,
    limits: Limits = "one",
) -> VariablesPlan:
    """The fewest pieces to measure so that good lots pass and bad ones do not.

    k is the factor with which a lot at the bad share passes as often as the consumer's risk allows; n the
    fewest with which a lot at the good share then passes often enough. With two limits both hold for every
    split of the share over the two sides.

    Returns: VariablesPlan. Raises: ImpossibleInput for a good share that is not below the bad one.

    Holds when: as for variables_plan.

    Example: 1 % must pass in 95 %, 10 % in at most 10 %: 8 pieces with known s, 21 with s from the sample.
    """
    require_order(good, bad)

    def lets_good_pass(pieces: int) -> bool:
        factor = _factor(pieces, bad, consumer_risk, spread, limits)
        return _point(pieces, factor, good, spread, limits).passes_least >= 1 - producer_risk

    span = range(2, MOST_MEASURED + 1)
    place = bisect_left(span, True, key=lets_good_pass)
    if place == len(span):
        return VariablesPlan(
            pieces=None,
            factor=None,
            refuses_good=None,
            passes_bad=None,
            curve=(),
            words=f"no sample of up to {MOST_MEASURED} keeps both risks: ask for less",
            good=good,
            bad=bad,
            spread=spread,
            limits=limits,
            cautions=(NORMAL_ONLY, NOT_WITHOUT),
        )
    factor = _factor(span[place], bad, consumer_risk, spread, limits)
    return _plan(span[place], factor, good, bad, spread, limits)


def _plan(pieces: int, factor: float, good: float, bad: float, spread: str, limits: str) -> VariablesPlan:
    at_good, at_bad = (_point(pieces, factor, share, spread, limits) for share in (good, bad))
    far = min(LARGEST_SHARE * (1 - 1e-9), 2 * bad)
    shares = np.linspace(good / 4, far, CURVE_POINTS)
    name = "the known standard deviation" if spread == "known" else "the sample's standard deviation"
    two = (TWO_LIMITS,) if limits == "two" else ()
    return VariablesPlan(
        pieces=pieces,
        factor=factor,
        refuses_good=1 - at_good.passes_least,
        passes_bad=at_bad.passes_most,
        curve=tuple(_point(pieces, factor, float(share), spread, limits) for share in shares),
        words=f"measure {pieces}: accept when the mean lies {factor:.4g} times {name} or more inside "
        f"{'the limit' if limits == 'one' else 'each limit'}",
        good=good,
        bad=bad,
        spread=spread,
        limits=limits,
        cautions=(NORMAL_ONLY, *two, NOT_WITHOUT),
    )


def _point(pieces: int, factor: float, share: float, spread: str, limits: str) -> MeasuredPoint:
    """Least and most chance to pass over the splits of the share over the two sides."""
    if limits == "one":
        chance = _passes(pieces, factor, share, spread)
        return MeasuredPoint(share=share, passes_least=chance, passes_most=chance)
    chances = [
        passes_both(pieces, factor, share - above, above, spread)
        for above in (share * np.linspace(0.0, 0.5, SPLITS)).tolist()
    ]
    return MeasuredPoint(share=share, passes_least=min(chances), passes_most=max(chances))


def _passes(pieces: int, factor: float, share: float, spread: str) -> float:
    """P(mean + k s stays below the limit), one side."""
    z = -float(special.ndtri(share))
    if spread == "known":
        return float(special.ndtr(sqrt(pieces) * (z - factor)))
    return chance_below(factor, z, pieces, pieces - 1)


def passes_both(pieces: int, factor: float, below: float, above: float, spread: str) -> float:
    """P(L + k s <= mean <= U - k s) for these shares outside on the two sides.

    With s from the sample: over where the mean falls, the chance that s is small enough for the nearer limit.
    """
    low, high = (min(-float(special.ndtri(share)), FAR) for share in (below, above))
    root = sqrt(pieces)
    if spread == "known":
        inside = special.ndtr(root * (high - factor)) - special.ndtr(root * (factor - low))
        return max(0.0, float(inside))
    between = (high - low) / 2  # where both limits are as near
    ends = np.clip([-root * low, root * between, root * high], -FARTHEST, FARTHEST)
    edges = np.concatenate(
        [np.linspace(ends[0], ends[1], PANELS + 1), np.linspace(ends[1], ends[2], PANELS + 1)]
    )
    half = np.diff(edges)[:, None] / 2
    mean = (edges[:-1, None] + half + half * NODES).ravel()
    weight = (half * WEIGHTS).ravel() * np.exp(-(mean**2) / 2) / sqrt(2 * pi)
    reach = np.minimum(high - mean / root, low + mean / root).clip(0.0)
    return float(weight @ special.chdtr(pieces - 1, (pieces - 1) * (reach / factor) ** 2))


def _factor(pieces: int, bad: float, risk: float, spread: str, limits: str) -> float:
    """k at which a lot with that share outside passes as often as the risk says."""
    z = -float(special.ndtri(bad))
    if spread == "known":
        one = z - float(special.ndtri(risk)) / sqrt(pieces)
    else:
        one = one_sided_factor(z, pieces, pieces - 1, 1 - risk)

    def passes_too_often(factor: float) -> float:
        return _point(pieces, factor, bad, spread, "two").passes_most - risk

    if limits == "one" or passes_too_often(one) <= 0:
        return one
    high = next(one * 1.2**k for k in count_up(1) if passes_too_often(one * 1.2**k) <= 0)
    return float(optimize.brentq(passes_too_often, one, high, rtol=1e-10))

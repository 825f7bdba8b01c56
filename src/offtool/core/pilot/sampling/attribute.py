"""Any plan by counting bad pieces: how often lots pass, what gets through, and the smallest that will do."""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass

import numpy as np
from scipy import optimize

from offtool.core.formulas import formula
from offtool.core.pilot.sampling.asked import (
    ACCEPT,
    BAD,
    BAD_OR_FLAWS,
    CONSUMER_RISK,
    COUNTED,
    GOOD,
    GOOD_OR_FLAWS,
    LOT,
    NOT_WITHOUT,
    PIECES,
    PRODUCER_RISK,
    Counted,
    require_order,
    require_sample_of_lot,
    require_share,
)
from offtool.core.pilot.sampling.chances import bad_in_lot, passes, passes_of_lot, share_passing
from offtool.core.values import Caution, ImpossibleInput

CURVE_POINTS = 61
MOST_PLANNED = 100_000
"""Nobody looks at more pieces of a lot."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CurvePoint:
    """At this share of bad pieces a lot passes so often, and so large a share gets through after sorting."""

    share: float
    passes: float
    gets_through: float


@dataclass(frozen=True, slots=True, kw_only=True)
class AttributePlan:
    """A plan with its two risks and its operating curve.

    `passes_95`, `passes_50`, `passes_10`: the share of bad pieces at which a lot passes so often, from a
    large lot. `worst_through`: the largest share that gets through where refused lots are sorted and bad
    pieces replaced (AOQL), at `worst_at`. `looked_at`: pieces looked at on average with that sorting, at the
    good share.
    """

    pieces: int
    accept: int
    good: float
    bad: float
    refuses_good: float
    passes_bad: float
    passes_95: float
    passes_50: float
    passes_10: float
    worst_through: float
    worst_at: float
    looked_at: float | None
    curve: tuple[CurvePoint, ...]
    words: str
    lot: int | None
    counted: str
    cautions: tuple[Caution, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundPlan:
    """The smallest plan that keeps both risks, and what it keeps; None where none does."""

    pieces: int | None
    accept: int | None
    refuses_good: float | None
    passes_bad: float | None
    words: str
    good: float
    bad: float
    producer_risk: float
    consumer_risk: float
    lot: int | None
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={
        "pieces": PIECES,
        "accept": ACCEPT,
        "good": GOOD_OR_FLAWS,
        "bad": BAD_OR_FLAWS,
        "lot": LOT,
        "counted": COUNTED,
    },
    example={"pieces": 89, "accept": 2, "good": 0.01, "bad": 0.06},
    source="binomial, hypergeometric and Poisson distributions; the average outgoing quality after Dodge and "
    "Romig, from memory",
)
def attribute_plan(
    pieces: int, accept: int, *, good: float, bad: float, lot: int | None = None, counted: Counted = "pieces"
) -> AttributePlan:
    """How often a good and a bad lot pass a plan, and what gets through at worst.

    Passes = P(at most c in n): binomial for a large lot, hypergeometric where the lot is given, Poisson for
    flaws. What gets through = p passes(p) (1 - n / lot).

    Returns: AttributePlan. Raises: ImpossibleInput for a sample larger than the lot, an acceptance number not
    below the sample, flaws with a lot, or a good share that is not below the bad one.

    Holds when: the sample is drawn at random and every bad piece is seen. In a lot the good share is rounded
    down to whole pieces, the bad one up.

    Example: 89 pieces, accept 2: a lot with 1 % bad passes in 0.9397, with 6 % in 0.0919.
    """
    pieces, accept, lot = int(pieces), int(accept), None if lot is None else int(lot)
    require_order(good, bad)
    require_sample_of_lot(pieces, lot)
    if counted == "pieces":
        require_share("good", good)
        require_share("bad", bad)
    _require_plan(pieces, accept, lot, counted)
    good_passes, bad_passes = _chances(pieces, accept, good, bad, lot, counted)
    left = 1.0 if lot is None else 1 - pieces / lot
    worst_at, worst = _worst(pieces, accept, counted)
    return AttributePlan(
        pieces=pieces,
        accept=accept,
        good=good,
        bad=bad,
        refuses_good=1 - good_passes,
        passes_bad=bad_passes,
        passes_95=share_passing(0.95, pieces, accept, counted),
        passes_50=share_passing(0.5, pieces, accept, counted),
        passes_10=share_passing(0.1, pieces, accept, counted),
        worst_through=worst * left,
        worst_at=worst_at,
        looked_at=None if lot is None else pieces + (1 - good_passes) * (lot - pieces),
        curve=_curve(pieces, accept, lot, counted, bad),
        words=f"a lot with {_rate(good, counted)} is refused {times_in_100(1 - good_passes)}; "
        f"one with {_rate(bad, counted)} passes {times_in_100(bad_passes)}",
        lot=lot,
        counted=counted,
        cautions=(NOT_WITHOUT,),
    )


@formula(
    limits={
        "good": GOOD,
        "bad": BAD,
        "producer_risk": PRODUCER_RISK,
        "consumer_risk": CONSUMER_RISK,
        "lot": LOT,
    },
    example={"good": 0.01, "bad": 0.06},
    source="binomial and hypergeometric distributions, searched in whole numbers",
)
def find_attribute_plan(
    good: float,
    bad: float,
    *,
    producer_risk: float = 0.05,
    consumer_risk: float = 0.10,
    lot: int | None = None,
) -> FoundPlan:
    """The smallest sample that lets good lots pass and stops bad ones.

    Least n with some c such that P(at most c | good) >= 1 - producer's risk and P(at most c | bad) <=
    consumer's risk. For each c the least n that stops bad lots is found; the first that also lets good lots
    pass is the smallest of all, because it grows with c.

    Returns: FoundPlan; its plan is None beyond 100,000 pieces, or where nothing short of the whole lot will
    do. Raises: ImpossibleInput for a good share that is not below the bad one.

    Example: 1 % must pass in 95 %, 6 % in no more than 10 %: 110 pieces, accept 3 (every plan tried, in the
    tests).
    """
    require_order(good, bad)
    lot = None if lot is None else int(lot)
    found = _smallest(good, bad, producer_risk, consumer_risk, lot)
    risks = None if found is None else _chances(*found, good, bad, lot, "pieces")
    return FoundPlan(
        pieces=found[0] if found else None,
        accept=found[1] if found else None,
        refuses_good=1 - risks[0] if risks else None,
        passes_bad=risks[1] if risks else None,
        words=f"look at {found[0]}, accept with up to {found[1]} bad pieces"
        if found
        else f"no sample of up to {_most(lot)} keeps both risks: look at all of them, or ask for less",
        good=good,
        bad=bad,
        producer_risk=producer_risk,
        consumer_risk=consumer_risk,
        lot=lot,
        cautions=(NOT_WITHOUT,),
    )


def _require_plan(pieces: int, accept: int, lot: int | None, counted: str) -> None:
    if counted == "flaws" and lot is not None:
        raise ImpossibleInput("lot", lot, "", "flaws are counted as from a large lot", "leave the lot blank")
    if counted == "pieces" and accept >= pieces:
        limit = f"must be below the {pieces} looked at, or every lot passes"
        raise ImpossibleInput("accept", accept, "", limit, "accept fewer")


def _chances(
    pieces: int, accept: int, good: float, bad: float, lot: int | None, counted: str
) -> tuple[float, float]:
    """How often a good and a bad lot pass."""
    if lot is None:
        good_passes, bad_passes = passes(np.array([good, bad]), pieces, accept, counted)
        return float(good_passes), float(bad_passes)
    few, many = bad_in_lot(good, lot, up=False), bad_in_lot(bad, lot, up=True)
    return passes_of_lot(few, pieces, accept, lot), passes_of_lot(many, pieces, accept, lot)


def _worst(pieces: int, accept: int, counted: str) -> tuple[float, float]:
    """Where most gets through, and how much; p passes(p) rises to one top and falls again."""
    most = 1.0 if counted == "pieces" else share_passing(1e-12, pieces, accept, counted)
    far = min(most, share_passing(1e-9, pieces, accept, counted))

    def through(share: float) -> float:
        return -share * float(passes(share, pieces, accept, counted))

    found = optimize.minimize_scalar(
        through, bounds=(0.0, far), method="bounded", options={"xatol": 1e-10 * far}
    )
    return float(found.x), -float(found.fun)


def _curve(pieces: int, accept: int, lot: int | None, counted: str, bad: float) -> tuple[CurvePoint, ...]:
    """The operating curve as far as it is of interest: until a lot passes once in a thousand."""
    far = max(bad, share_passing(0.001, pieces, accept, counted))
    shares = np.linspace(0.0, min(far, 1.0) if counted == "pieces" else far, CURVE_POINTS)
    if lot is None:
        chances = passes(shares, pieces, accept, counted)
    else:
        in_lot = np.unique(np.rint(shares * lot).astype(int))
        shares = in_lot / lot
        chances = np.array([passes_of_lot(int(bad), pieces, accept, lot) for bad in in_lot])
    through = shares * chances * (1.0 if lot is None else 1 - pieces / lot)
    return tuple(
        CurvePoint(share=float(share), passes=float(chance), gets_through=float(rest))
        for share, chance, rest in zip(shares, chances, through, strict=True)
    )


def _smallest(
    good: float, bad: float, producer_risk: float, consumer_risk: float, lot: int | None
) -> tuple[int, int] | None:
    most, least, accept = _most(lot), 1, 0
    while least <= most:
        span = range(max(least, accept + 1), most + 1)

        def stops_bad(pieces: int, accept: int = accept) -> bool:
            return _chances(pieces, accept, good, bad, lot, "pieces")[1] <= consumer_risk

        place = bisect_left(span, True, key=stops_bad)
        if place == len(span):
            return None
        least = span[place]
        if _chances(least, accept, good, bad, lot, "pieces")[0] >= 1 - producer_risk:
            return least, accept
        accept += 1
    return None


def _most(lot: int | None) -> int:
    return MOST_PLANNED if lot is None else min(MOST_PLANNED, lot)


def _rate(share: float, counted: str) -> str:
    number = f"{100 * share:.3g}" if share < 1 else f"{100 * share:,.0f}"
    return f"{number} % bad" if counted == "pieces" else f"{number} flaws on 100 pieces"


def times_in_100(chance: float) -> str:
    """How often, in words: 12.5 times in 100, less than once in 1000, 0 times in 100 where it cannot be."""
    if 0 < chance < 0.001:
        return "less than once in 1000"
    if 0.9995 <= chance < 1:
        return "more than 999 times in 1000"
    return f"{100 * chance:.3g} times in 100"

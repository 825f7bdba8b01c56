"""Which defects cost most, and which of them cannot be told apart."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import special

from offtool.core.formulas import Numbers, Texts, formula
from offtool.core.inspection.limits import CONFIDENCE
from offtool.core.pilot.yields.asked import MOST_PIECES, Counts, names_once, whole
from offtool.core.values import Caution, ImpossibleInput, Interval, Range

MOST_DEFECTS = 200
DEAREST = 1e9

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class RankedDefect:
    """One defect: what it cost, its share, and between which places of the ranking it may truly stand."""

    defect: str
    count: int
    count_interval: Interval
    each: float
    cost: float
    cost_interval: Interval
    share: float
    cumulative: float
    place: int
    best_place: int
    worst_place: int
    not_told_from: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DefectRanking:
    """Defects in the order of what they cost, the dearest first."""

    defects: tuple[RankedDefect, ...]
    total: float
    dearest_is_sure: bool
    words: str
    confidence: float
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={
        "defects": Range(meaning="name of each defect"),
        "counts": Range(meaning="how often each was found", at_least=0, at_most=MOST_PIECES),
        "scrapped": Range(meaning="how many of them were scrapped", at_least=0, at_most=MOST_PIECES),
        "rework_minutes": Range(
            meaning="minutes of rework for each one that was not scrapped",
            unit="min",
            at_least=0,
            at_most=1e4,
        ),
        "piece_cost": Range(meaning="cost of a scrapped piece", at_least=0, at_most=DEAREST),
        "minute_cost": Range(meaning="cost of a minute of rework", at_least=0, at_most=DEAREST),
        "confidence": CONFIDENCE,
    },
    example={
        "defects": ["overspray", "open seam", "loose arm", "print missing"],
        "counts": [41, 12, 9, 2],
        "scrapped": [2, 10, 0, 0],
        "rework_minutes": [1.5, 0.0, 3.0, 2.0],
        "piece_cost": 2.4,
        "minute_cost": 0.35,
    },
    source="exact limits of a count (Garwood 1936, Biometrika 28:437); two counts by the binomial test of "
    "their sum (Przyborowski and Wilenski 1940, Biometrika 31:313)",
)
def rank_defects(
    defects: Texts,
    counts: Numbers,
    scrapped: Numbers,
    rework_minutes: Numbers,
    *,
    piece_cost: float,
    minute_cost: float,
    confidence: float = 0.95,
) -> DefectRanking:
    """Which defects cost most, and how sure that order is.

    Cost = scrapped x cost of a piece + (count - scrapped) x minutes x cost of a minute. Two defects are told
    apart where, given the sum of both counts, their split cannot come from equal costs: a binomial test on
    two sides, at the significance divided by the number of pairs.

    Returns: DefectRanking. Raises: ImpossibleInput, naming the defect, for lists of unequal length, counts
    that are not whole, more scrapped than found, a blank or doubled name.

    Holds when: each defect comes by itself and at random along the run, and what one costs is known: only the
    counts are taken as uncertain. Pieces with two defects cost both.

    Example: 41 cases of overspray at 0.6 and 12 open seams at 2.0 cost nearly the same: not told apart.
    """
    names = names_once("defects", [str(name) for name in defects])
    if len(names) > MOST_DEFECTS:
        raise ImpossibleInput("defects", len(names), "", f"must be at most {MOST_DEFECTS}")
    found, lost = whole("counts", counts, names), whole("scrapped", scrapped, names)
    for row in np.flatnonzero(lost > found)[:1]:
        limit = f"must be at most the {found[row]} found of {names[row]!r}"
        raise ImpossibleInput("scrapped", int(lost[row]), "", limit)
    minutes = np.asarray(rework_minutes, dtype=float)
    if minutes.size != len(names):
        raise ImpossibleInput(
            "rework_minutes", minutes.size, "", f"must be {len(names)}, one for each defect"
        )
    cost = lost * piece_cost + (found - lost) * minutes * minute_cost
    each = np.where(found > 0, cost / np.maximum(found, 1), minutes * minute_cost)
    apart = _told_apart(found, each, cost, confidence)
    ranked = _ranked(names, found, each, cost, apart, confidence)
    sure = ranked[0].worst_place == 1
    return DefectRanking(
        defects=ranked,
        total=float(cost.sum()),
        dearest_is_sure=sure,
        words=_words(ranked),
        confidence=confidence,
        cautions=() if cost.sum() > 0 else (Caution("nothing costs anything: give costs, or there is none"),),
    )


def _ranked(
    names: list[str],
    found: Counts,
    each: Floats,
    cost: Floats,
    apart: NDArray[np.bool_],
    confidence: float,
) -> tuple[RankedDefect, ...]:
    total = float(cost.sum())
    order = np.lexsort((-found, -cost))
    running = np.cumsum(cost[order])
    low, high = count_limits(found, confidence)
    dearer = apart & (cost[None, :] > cost[:, None])
    cheaper = apart & (cost[None, :] < cost[:, None])
    return tuple(
        RankedDefect(
            defect=names[row],
            count=int(found[row]),
            count_interval=Interval(low=float(low[row]), high=float(high[row]), confidence=confidence),
            each=float(each[row]),
            cost=float(cost[row]),
            cost_interval=Interval(
                low=float(low[row] * each[row]), high=float(high[row] * each[row]), confidence=confidence
            ),
            share=float(cost[row]) / total if total else 0.0,
            cumulative=float(running[place]) / total if total else 0.0,
            place=place + 1,
            best_place=1 + int(dearer[row].sum()),
            worst_place=len(names) - int(cheaper[row].sum()),
            not_told_from=tuple(names[other] for other in order if other != row and not apart[row, other]),
        )
        for place, row in enumerate(order.tolist())
    )


def count_limits(counts: Counts, confidence: float) -> tuple[Floats, Floats]:
    """Exact limits of the expected number behind each count."""
    risk = (1 - confidence) / 2
    low = np.where(counts > 0, special.gammaincinv(np.maximum(counts, 1), risk), 0.0)
    return low, np.asarray(special.gammainccinv(counts + 1, risk))


def _told_apart(found: Counts, each: Floats, cost: Floats, confidence: float) -> NDArray[np.bool_]:
    """For each pair whether its costs cannot be equal; not where neither was found or costs anything."""
    pairs = max(len(found) * (len(found) - 1) // 2, 1)
    one, other = np.broadcast_arrays(found[:, None], found[None, :])
    dear, dear_other = np.broadcast_arrays(each[:, None], each[None, :])
    both = dear + dear_other
    expected = np.divide(dear_other, both, out=np.full(both.shape, 0.5), where=both > 0)
    total = one + other
    few = special.bdtr(one, total, expected)
    many = np.where(one > 0, special.bdtrc(np.maximum(one - 1, 0), total, expected), 1.0)
    p = np.minimum(1.0, 2 * np.minimum(few, many))
    differ = (cost[:, None] != cost[None, :]) & (total > 0) & (both > 0)
    return np.asarray(differ & (p <= (1 - confidence) / pairs))


def _words(ranked: tuple[RankedDefect, ...]) -> str:
    first = ranked[0]
    if not first.cost:
        return "no defect costs anything"
    said = f"{first.defect} costs most, {100 * first.share:.3g} % of all"
    if first.worst_place == 1:
        return said
    near = [name for name in first.not_told_from if name != first.defect]
    return f"{said}, but it cannot be told from {', '.join(near)}"

"""Findings that are seen or not (sink, flash, a short shot): what share of the parts they are, if it moved.

Nothing here is an approximation: shares by Clopper and Pearson, comparisons by the tables that the same
counts could have made.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import special

from offtool.core.formulas import Numbers, Texts, formula
from offtool.core.inspection.limits import CONFIDENCE
from offtool.core.values import Caution, ImpossibleInput, Interval, Range

MOST_LOOKED_AT = 10**6
MOST_LEFT = 0.25
"""A finding is not called gone while it may still be on more of the parts than this; our own rule."""
MOST_TABLES = 150_000
"""Up to so many tables with the same sums are all counted; beyond, so many seeded ones are drawn."""
DRAWS = 9_999
SAME = 1e-9
"""Two tables that lie equally far out do so to rounding."""

SIGNIFICANCE = Range(meaning="how often chance alone may be taken for a change", above=0, below=0.5)
SEEN = Range(meaning="parts that show the finding", at_least=0, at_most=MOST_LOOKED_AT)
LOOKED_AT = Range(meaning="parts that were looked at", at_least=1, at_most=MOST_LOOKED_AT)

Counts = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True)
class ShareFinding:
    """The share seen, its two-sided interval, and what it is less than, with the same confidence."""

    share: float
    seen: int
    looked_at: int
    interval: Interval
    less_than: float
    confidence: float
    cautions: tuple[Caution, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class SharesCompared:
    """Whether a finding has become less, and how many parts without one would show that."""

    p_same: float
    is_less: bool
    is_gone: bool
    pieces_needed: int | None
    before: ShareFinding
    after: ShareFinding
    significance: float
    cautions: tuple[Caution, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class CavityShare:
    """One cavity's share."""

    cavity: str
    found: ShareFinding


@dataclass(frozen=True, slots=True, kw_only=True)
class CavityShares:
    """Each cavity's share with an interval of its own, and whether all could be one and the same."""

    cavities: tuple[CavityShare, ...]
    p_same: float
    differ: bool
    exact: bool
    significance: float
    confidence: float
    cautions: tuple[Caution, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ShareAlongTrial:
    """`change` is "fades", "grows" or "not shown"; the two halves of the shots beside it."""

    change: str
    p_same: float
    exact: bool
    early: ShareFinding
    late: ShareFinding | None
    shots: int
    significance: float
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={"seen": SEEN, "looked_at": LOOKED_AT, "confidence": CONFIDENCE},
    example={"seen": 3, "looked_at": 32},
    source="Clopper and Pearson 1934, Biometrika 26:404",
)
def share_interval(seen: int, looked_at: int, *, confidence: float = 0.95) -> ShareFinding:
    """What share of all parts shows a finding, from those looked at.

    The shares under which as many, or as few, are seen with probability (1 - confidence) / 2; `less_than`
    with 1 - confidence, for the one side.

    Returns: ShareFinding. Raises: ImpossibleInput for more seen than looked at.

    Holds when: every part is as likely to show it as another. The interval is exact and on the safe side.

    Example: none of 20 gives 0 to 0.168 (R, binom.test(0, 20)), and less than 0.139 one-sided.
    """
    _counts([seen], [looked_at])
    k, n = int(seen), int(looked_at)
    half = (1 - confidence) / 2
    return ShareFinding(
        share=k / n,
        seen=k,
        looked_at=n,
        interval=Interval(low=_at_least(k, n, half), high=_at_most(k, n, half), confidence=confidence),
        less_than=_at_most(k, n, 1 - confidence),
        confidence=confidence,
    )


@formula(
    limits={
        "seen_before": SEEN,
        "looked_before": LOOKED_AT,
        "seen_after": SEEN,
        "looked_after": LOOKED_AT,
        "significance": SIGNIFICANCE,
    },
    example={"seen_before": 6, "looked_before": 32, "seen_after": 0, "looked_after": 32},
    source="Fisher 1935, The Design of Experiments, ch. 2, one-sided",
)
def compare_shares(
    seen_before: int, looked_before: int, seen_after: int, looked_after: int, *, significance: float = 0.05
) -> SharesCompared:
    """Whether a finding has become less since the last trial, and whether it may be called gone.

    p: the hypergeometric probability that so few or fewer of all that were seen fall after the change. Less:
    p at most the significance. Gone: none seen after, shown to be less, and shown to be on less than a
    quarter of the parts: one clean part after twenty bad ones shows little.

    Returns: SharesCompared; `pieces_needed` is how many parts without one after the change would show it
    gone, None where none was seen before or more than a million would be needed.
    Raises: ImpossibleInput for more seen than looked at.

    Holds when: both were looked at with the same eyes and the same limit sample.

    Example: the lady tasting tea, three of four right: p 0.2429 (Fisher 1935).
    """
    _counts([seen_before], [looked_before], "seen_before", "looked_before")
    _counts([seen_after], [looked_after], "seen_after", "looked_after")
    p = _p_so_few(
        int(seen_after), int(looked_after), int(seen_before + seen_after), int(looked_before + looked_after)
    )
    is_less = p <= significance
    confidence = 1 - significance
    after = share_interval(int(seen_after), int(looked_after), confidence=confidence)
    return SharesCompared(
        p_same=p,
        is_less=is_less,
        is_gone=bool(is_less and seen_after == 0 and after.less_than <= MOST_LEFT),
        pieces_needed=_pieces_needed(int(seen_before), int(looked_before), significance),
        before=share_interval(int(seen_before), int(looked_before), confidence=confidence),
        after=after,
        significance=significance,
    )


@formula(
    limits={
        "seen": SEEN,
        "looked_at": LOOKED_AT,
        "cavities": Range(meaning="cavity of each pair of counts; counts of one cavity are added up"),
        "significance": SIGNIFICANCE,
        "confidence": CONFIDENCE,
    },
    example={"seen": [0, 0, 5, 1], "looked_at": [16, 16, 16, 16], "cavities": ["1", "2", "3", "4"]},
    source="Pearson's chi-square against all tables with the same sums (Freeman and Halton 1951, "
    "Biometrika 38:141)",
)
def shares_by_cavity(
    seen: Numbers,
    looked_at: Numbers,
    cavities: Texts,
    *,
    significance: float = 0.05,
    confidence: float = 0.95,
) -> CavityShares:
    """Whether a finding comes from some cavities more than from others.

    p: how many of all tables with the same sums, each as likely as it is, have a chi-square as large; up to
    150,000 tables are all counted, beyond them 9,999 seeded ones are drawn. Each cavity's interval is its own
    (`share_interval`), not one for all at once.

    Returns: CavityShares. Raises: ImpossibleInput for unequal lists, none, or more seen than looked at.

    Example: 0, 0, 5 and 1 of 16 each: p 0.0116 (R, chisq.test with two million simulated tables).
    """
    if not len(cavities) == len(seen) == len(looked_at) or len(cavities) == 0:
        raise ImpossibleInput("cavities", len(cavities), "", "must name the cavity of each pair of counts")
    counts, looked = _counts(seen, looked_at)
    labels, codes = np.unique(np.asarray(cavities, dtype=str), return_inverse=True)
    counts, looked = (np.bincount(codes, weights=one).astype(np.int64) for one in (counts, looked))
    expected = looked * (counts.sum() / looked.sum())

    def unlike(tables: Counts) -> NDArray[np.float64]:
        return np.asarray(((tables - expected) ** 2 / looked).sum(axis=1))

    p, exact = _p_of_tables(unlike, counts, looked)
    one = Caution("one cavity: nothing to compare it with")
    return CavityShares(
        cavities=tuple(
            CavityShare(cavity=str(label), found=share_interval(int(k), int(n), confidence=confidence))
            for label, k, n in zip(labels, counts, looked, strict=True)
        ),
        p_same=p,
        differ=p <= significance,
        exact=exact,
        significance=significance,
        confidence=confidence,
        cautions=() if len(labels) > 1 else (one,),
    )


@formula(
    limits={
        "seen": SEEN,
        "looked_at": LOOKED_AT,
        "shots": Range(meaning="shot number of each pair of counts, in the order of the trial", at_least=0),
        "significance": SIGNIFICANCE,
    },
    example={
        "seen": [4, 3, 3, 2, 1, 1, 0, 0],
        "looked_at": [8, 8, 8, 8, 8, 8, 8, 8],
        "shots": [1, 3, 5, 7, 9, 11, 13, 15],
    },
    source="trend of Cochran and Armitage (Armitage 1955, Biometrics 11:375) against all tables with the "
    "same sums",
)
def share_along_trial(
    seen: Numbers, looked_at: Numbers, shots: Numbers, *, significance: float = 0.05
) -> ShareAlongTrial:
    """Whether a finding fades or grows along the trial.

    T = sum of seen (shot - mean shot); p: how many of all tables with the same sums, each as likely as it is,
    have as large a |T|; up to 150,000 tables are all counted, beyond them 9,999 seeded ones are drawn.

    Returns: ShareAlongTrial. Raises: ImpossibleInput for unequal lists, none, or more seen than looked at.

    Holds when: the share rises or falls all the way; one that comes and goes is not seen.
    """
    shot = np.asarray(shots, dtype=float)
    if not shot.size == len(seen) == len(looked_at) or shot.size == 0:
        raise ImpossibleInput("shots", shot.size, "", "must name the shot of each pair of counts")
    counts, looked = _counts(seen, looked_at)
    number, codes = np.unique(shot, return_inverse=True)
    counts, looked = (np.bincount(codes, weights=one).astype(np.int64) for one in (counts, looked))
    span = float(number[-1] - number[0])
    place = (number - number[0]) / span if span > 0 else np.zeros(number.size)
    place -= (place * looked).sum() / looked.sum()

    def trend(tables: Counts) -> NDArray[np.float64]:
        return np.asarray(np.abs(tables @ place))

    p, exact = _p_of_tables(trend, counts, looked)
    change = "not shown" if p > significance else "grows" if float(counts @ place) > 0 else "fades"
    half = (number.size + 1) // 2
    confidence = 1 - significance
    late = number.size > 1
    return ShareAlongTrial(
        change=change,
        p_same=p,
        exact=exact,
        early=share_interval(int(counts[:half].sum()), int(looked[:half].sum()), confidence=confidence),
        late=share_interval(int(counts[half:].sum()), int(looked[half:].sum()), confidence=confidence)
        if late
        else None,
        shots=number.size,
        significance=significance,
        cautions=() if late else (Caution("one shot: nothing can be said along the trial"),),
    )


def _counts(
    seen: Numbers, looked_at: Numbers, seen_name: str = "seen", looked_name: str = "looked_at"
) -> tuple[Counts, Counts]:
    """Whole counts, none seen more often than looked at."""
    found, looked = np.asarray(seen, dtype=float), np.asarray(looked_at, dtype=float)
    for name, counts in ((seen_name, found), (looked_name, looked)):
        broken = counts[counts != np.floor(counts)]
        if broken.size:
            raise ImpossibleInput(name, broken[0], "", "must be whole: parts are counted")
    more = np.flatnonzero(found > looked)
    if more.size:
        most = f"must be at most the {looked[more[0]]:.0f} looked at"
        raise ImpossibleInput(seen_name, int(found[more[0]]), "", most)
    if looked.sum() > MOST_LOOKED_AT:
        most = f"must be at most {MOST_LOOKED_AT} in all"
        raise ImpossibleInput(looked_name, int(looked.sum()), "", most, "judge a part of them")
    return found.astype(np.int64), looked.astype(np.int64)


def _at_least(seen: int, looked_at: int, risk: float) -> float:
    return float(special.betaincinv(seen, looked_at - seen + 1, risk)) if seen else 0.0


def _at_most(seen: int, looked_at: int, risk: float) -> float:
    return float(special.betainccinv(seen + 1, looked_at - seen, risk)) if seen < looked_at else 1.0


def _log_ways(n: Counts | int, k: Counts | int) -> NDArray[np.float64]:
    """Logarithm of how many ways there are to choose k of n."""
    n, k = np.asarray(n, dtype=float), np.asarray(k, dtype=float)
    return np.asarray(special.gammaln(n + 1) - special.gammaln(k + 1) - special.gammaln(n - k + 1))


def _p_so_few(seen_after: int, looked_after: int, seen: int, looked: int) -> float:
    """Hypergeometric: at most so many of all `seen` among the `looked_after` of all `looked`."""
    fewer = np.arange(max(0, seen - (looked - looked_after)), seen_after + 1)
    log_p = _log_ways(looked_after, fewer) + _log_ways(looked - looked_after, seen - fewer)
    return min(1.0, float(np.exp(log_p - _log_ways(looked, seen)).sum()))


def _pieces_needed(seen_before: int, looked_before: int, significance: float) -> int | None:
    if not seen_before:
        return None
    count = 1 + bisect_left(
        range(1, MOST_LOOKED_AT + 1),
        True,
        key=lambda after: _p_so_few(0, after, seen_before, looked_before + after) <= significance,
    )
    enough = 1 + bisect_left(
        range(1, MOST_LOOKED_AT + 1), True, key=lambda n: _at_most(0, n, significance) <= MOST_LEFT
    )
    needed = max(count, enough)
    return needed if needed <= MOST_LOOKED_AT else None


def _p_of_tables(
    how_far: Callable[[Counts], NDArray[np.float64]], seen: Counts, looked: Counts
) -> tuple[float, bool]:
    """Share of the tables with these sums that lie as far out as the one found; whether all were counted."""
    total = int(seen.sum())
    if len(seen) < 2 or total in (0, int(looked.sum())):
        return 1.0, True
    limit = float(how_far(seen[None])[0]) * (1 - SAME) - SAME**2
    tables = _all_tables(looked, total)
    if tables is not None:
        log_p = np.full(len(tables), -_log_ways(int(looked.sum()), total))
        for place, size in enumerate(looked):  # by look-up: a place has few counts, the tables are many
            log_p += _log_ways(int(size), np.arange(min(size, total) + 1))[tables[:, place]]
        chance = np.exp(log_p)
        return min(1.0, float(chance[how_far(tables) >= limit].sum())), True
    drawn = np.random.default_rng(0).multivariate_hypergeometric(looked, total, size=DRAWS)
    return float((1 + (how_far(drawn) >= limit).sum()) / (1 + DRAWS)), False


def _all_tables(looked: Counts, total: int) -> Counts | None:
    """Every way to spread `total` over places of these sizes, a row each; None where they are too many."""
    room = np.append(np.cumsum(looked[::-1])[::-1][1:], 0)
    tables, left = np.zeros((1, 0), dtype=np.int64), np.array([total])
    for size, room_after in zip(looked, room, strict=True):
        low, high = np.maximum(left - room_after, 0), np.minimum(left, size)
        choices = high - low + 1
        if choices.sum() > MOST_TABLES:
            return None
        parent = np.repeat(np.arange(len(left)), choices)
        start = np.repeat(np.cumsum(choices) - choices, choices)
        value = low[parent] + np.arange(len(parent)) - start
        tables = np.column_stack([tables[parent], value])
        left = left[parent] - value
    return tables

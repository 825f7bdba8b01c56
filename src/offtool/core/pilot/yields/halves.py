"""The first hour of a pilot against its last: did people learn, or did the line drift."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray
from scipy import special

from offtool.core.formulas import Numbers, formula
from offtool.core.inspection.attributes import ShareFinding, share_interval
from offtool.core.inspection.limits import CONFIDENCE
from offtool.core.inspection.spread import mean_and_sd
from offtool.core.pilot.yields.asked import GOOD_FIRST, TIME, TRIED
from offtool.core.values import Caution, ImpossibleInput, Interval, Range

SAME = 1e-7
"""Two tables are as likely as each other to rounding; R's fisher.test takes the same."""

MINUTES = Range(meaning="how long that part of the run was", unit="min", above=0, at_most=10_000)

ONE_COUNT = Caution(
    "one hour is one reading of the rate: whether the difference is more than the usual change from hour to "
    "hour, only the times of single pieces or more hours can show"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class TimesCompared:
    """Mean time last minus first, with Welch's interval."""

    first_s: float
    last_s: float
    difference_s: float
    interval_s: Interval
    p_same: float
    degrees_of_freedom: float
    change: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstAndLast:
    """Yield, rate and times, last against first. `change` is "better", "worse" or "not shown"."""

    first: ShareFinding
    last: ShareFinding
    difference: float
    difference_interval: Interval
    p_same: float
    change: str
    rate_first_per_h: float
    rate_last_per_h: float
    times: TimesCompared | None
    words: str
    confidence: float
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={
        "tried_first": TRIED,
        "good_first": GOOD_FIRST,
        "tried_last": TRIED,
        "good_last": GOOD_FIRST,
        "minutes_first": MINUTES,
        "minutes_last": MINUTES,
        "times_first_s": TIME,
        "times_last_s": TIME,
        "confidence": CONFIDENCE,
    },
    example={
        "tried_first": 48,
        "good_first": 39,
        "tried_last": 71,
        "good_last": 68,
        "minutes_first": 60.0,
        "minutes_last": 60.0,
        "times_first_s": [41.0, 38.5, 44.2, 39.9, 36.1],
        "times_last_s": [30.2, 31.8, 29.5, 33.0, 30.9],
    },
    source="Fisher's exact test; the difference by Newcombe 1998, Statistics in Medicine 17:873, method 10, "
    "from memory; times by Welch 1947, Biometrika 34:28",
)
def first_hour_against_last(
    tried_first: int,
    good_first: int,
    tried_last: int,
    good_last: int,
    *,
    minutes_first: float,
    minutes_last: float,
    times_first_s: Numbers = (),
    times_last_s: Numbers = (),
    confidence: float = 0.95,
) -> FirstAndLast:
    """Whether the last hour of a pilot was better or worse than the first.

    Yield: p of both being the same, over all tables with the same sums; the difference with Newcombe's
    interval. Times: t of unequal spreads, f after Welch and Satterthwaite.

    Returns: FirstAndLast. Raises: ImpossibleInput for more good than tried.

    Holds when: the same people made the same piece in both. The interval of the difference is an
    approximation; the test is exact, and the word for the change is the test's.

    Example: 39 of 48 good, then 68 of 71: p 0.0133 (R, fisher.test).
    """
    for name, good, tried in (
        ("good_first", good_first, tried_first),
        ("good_last", good_last, tried_last),
    ):
        if good > tried:
            raise ImpossibleInput(name, int(good), "", f"must be at most the {tried:g} tried", "correct it")
    first = share_interval(int(good_first), int(tried_first), confidence=confidence)
    last = share_interval(int(good_last), int(tried_last), confidence=confidence)
    p = two_sided_p(first.seen, first.looked_at, last.seen, last.looked_at)
    difference = last.share - first.share
    change = _change(p, confidence, difference)
    times = _times(np.asarray(times_first_s, float), np.asarray(times_last_s, float), confidence)
    return FirstAndLast(
        first=first,
        last=last,
        difference=difference,
        difference_interval=newcombe(first, last, confidence),
        p_same=p,
        change=change,
        rate_first_per_h=60 * first.looked_at / minutes_first,
        rate_last_per_h=60 * last.looked_at / minutes_last,
        times=times,
        words=_words(first, last, change, times),
        confidence=confidence,
        cautions=(ONE_COUNT,) if times is None else (),
    )


def two_sided_p(seen: int, looked_at: int, seen_after: int, looked_after: int) -> float:
    """Fisher's exact p: all tables with the same sums that are no likelier than this one."""
    total, looked = seen + seen_after, looked_at + looked_after
    drawn = np.arange(max(0, total - looked_after), min(total, looked_at) + 1)
    log_p = _ways(looked_at, drawn) + _ways(looked_after, total - drawn) - _ways(looked, np.array([total]))
    here = log_p[seen - drawn[0]]
    return min(1.0, float(np.exp(log_p[log_p <= here + SAME]).sum()))


def newcombe(first: ShareFinding, last: ShareFinding, confidence: float) -> Interval:
    """Interval of last minus first from the two Wilson intervals."""
    (low, high), (low_after, high_after) = (_wilson(one, confidence) for one in (first, last))
    p, q = first.share, last.share
    down, up = sqrt((q - low_after) ** 2 + (high - p) ** 2), sqrt((high_after - q) ** 2 + (p - low) ** 2)
    return Interval(low=max(-1.0, q - p - down), high=min(1.0, q - p + up), confidence=confidence)


def _wilson(found: ShareFinding, confidence: float) -> tuple[float, float]:
    z, n, p = float(special.ndtri((1 + confidence) / 2)), found.looked_at, found.share
    middle = p + z**2 / (2 * n)
    reach = z * sqrt(p * (1 - p) / n + z**2 / (4 * n**2))
    return max(0.0, (middle - reach) / (1 + z**2 / n)), min(1.0, (middle + reach) / (1 + z**2 / n))


def _times(first: NDArray[np.float64], last: NDArray[np.float64], confidence: float) -> TimesCompared | None:
    if min(first.size, last.size) < 2:
        return None
    (mean, sd), (mean_after, sd_after) = mean_and_sd(first), mean_and_sd(last)
    one, other = sd**2 / first.size, sd_after**2 / last.size
    difference, error = mean_after - mean, sqrt(one + other)
    if error == 0:
        freedom, p, reach = float(first.size + last.size - 2), float(difference == 0), 0.0
    else:
        share = one / (one + other)
        freedom = 1 / (share**2 / (first.size - 1) + (1 - share) ** 2 / (last.size - 1))
        p = 2 * float(special.stdtr(freedom, -abs(difference) / error))
        reach = error * float(special.stdtrit(freedom, (1 + confidence) / 2))
    return TimesCompared(
        first_s=mean,
        last_s=mean_after,
        difference_s=difference,
        interval_s=Interval(low=difference - reach, high=difference + reach, confidence=confidence),
        p_same=p,
        degrees_of_freedom=freedom,
        change=_change(p, confidence, -difference),
    )


def _change(p: float, confidence: float, gain: float) -> str:
    if p > 1 - confidence or gain == 0:
        return "not shown"
    return "better" if gain > 0 else "worse"


def _words(first: ShareFinding, last: ShareFinding, change: str, times: TimesCompared | None) -> str:
    same = {"not shown": "no change is shown"}
    said = f"yield {100 * first.share:.3g} %, then {100 * last.share:.3g} %: {same.get(change, change)}"
    if times is None:
        return said
    also = f"{times.first_s:.3g} s a piece, then {times.last_s:.3g} s: {same.get(times.change, times.change)}"
    return f"{said}; {also}"


def _ways(n: int, k: NDArray[np.int64]) -> NDArray[np.float64]:
    return np.asarray(special.gammaln(n + 1) - special.gammaln(k + 1) - special.gammaln(n - k + 1))

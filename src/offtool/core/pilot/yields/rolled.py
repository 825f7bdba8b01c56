"""Yield of each station and of the whole line, before and after rework."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from offtool.core.formulas import Numbers, Texts, formula
from offtool.core.inspection.attributes import ShareFinding, share_interval
from offtool.core.inspection.limits import CONFIDENCE
from offtool.core.pilot.yields.asked import (
    GOOD_FIRST,
    MOST_PIECES,
    REWORKED_GOOD,
    TRIED,
    YIELD,
    Counts,
    names_once,
    whole,
)
from offtool.core.pilot.yields.product import product_interval
from offtool.core.values import Caution, ImpossibleInput, Interval, Range, Verdict
from offtool.handbook.defects import PRACTICE

MOST_STATIONS = 200
FEW_PIECES = 50
"""Below it a station's yield says little; common practice, no source."""

INDEPENDENT = Caution(
    "the product holds where a piece is as likely to fail at a station whatever happened to it before; where "
    "one cause spoils it at two stations, the line is better than the product"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class StationYield:
    """One station: the share good the first time, and good in the end.

    `lost` are not good in the end; of them `waiting` are neither scrapped nor reworked yet, None where
    nobody counted the scrap.
    """

    station: str
    tried: int
    good_first: int
    reworked_good: int
    lost: int
    waiting: int | None
    first: ShareFinding
    final: ShareFinding


@dataclass(frozen=True, slots=True, kw_only=True)
class YieldOfLine:
    """The product over all stations, with its interval; against a planned yield where one was given."""

    share: float
    interval: Interval
    planned: float | None
    verdict: Verdict | None


@dataclass(frozen=True, slots=True, kw_only=True)
class RolledYield:
    """Every station, and the line before and after rework; `worst` is the station that costs most."""

    stations: tuple[StationYield, ...]
    first: YieldOfLine
    final: YieldOfLine
    worst: str
    words: str
    confidence: float
    method: str
    cautions: tuple[Caution, ...] = ()


METHOD = (
    "stations by Clopper and Pearson; their product by the same limits as distributions, multiplied without "
    "drawing; its coverage is tested by simulation, not proven"
)


@formula(
    limits={
        "stations": Range(meaning="name of each station, in the order of the line"),
        "tried": TRIED,
        "good_first": GOOD_FIRST,
        "reworked_good": REWORKED_GOOD,
        "scrapped": Range(
            meaning="pieces that were scrapped; blank where they were not counted",
            at_least=0,
            at_most=MOST_PIECES,
        ),
        "planned_first": YIELD,
        "planned_final": YIELD,
        "confidence": CONFIDENCE,
    },
    example={
        "stations": ["weld", "paint", "pack"],
        "tried": [300, 298, 290],
        "good_first": [291, 275, 288],
        "reworked_good": [7, 15, 2],
        "planned_first": 0.95,
    },
    source="Clopper and Pearson 1934, Biometrika 26:404, for each station; their product turned back by "
    "Abate and Whitt 1995, ORSA Journal on Computing 7:36",
)
def rolled_yield(
    stations: Texts,
    tried: Numbers,
    good_first: Numbers,
    reworked_good: Numbers,
    *,
    scrapped: Numbers = (),
    planned_first: float | None = None,
    planned_final: float | None = None,
    confidence: float = 0.95,
) -> RolledYield:
    """What share of the pieces passes the whole line without rework, and what share in the end.

    Product over the stations of good first / tried; after rework of (good first + reworked good) / tried. Its
    limits are the quantiles of the product of the beta distributions behind each station's limits: exact for
    one station, and no large numbers are assumed for several.

    Returns: RolledYield. Raises: ImpossibleInput, naming the station, for lists of unequal length, counts
    that are not whole, a yield over 1, more scrapped than lost, a blank or doubled name.

    Holds when: pieces fail at a station independently of what they met before. A plan holds when it lies at
    or below the low end, fails above the high end, else it is not shown.

    Example: one station, 3 lost of 32: the interval of R's binom.test(29, 32).
    """
    names = names_once("stations", [str(name) for name in stations])
    if len(names) > MOST_STATIONS:
        raise ImpossibleInput("stations", len(names), "", f"must be at most {MOST_STATIONS}")
    took, first, again = (
        whole(name, values, names)
        for name, values in (("tried", tried), ("good_first", good_first), ("reworked_good", reworked_good))
    )
    _refuse_over_one(names, took, first, again)
    final = first + again
    waiting = _waiting(names, took - final, scrapped)
    found = tuple(
        StationYield(
            station=name,
            tried=int(n),
            good_first=int(good),
            reworked_good=int(more),
            lost=int(n - good - more),
            waiting=left,
            first=share_interval(int(good), int(n), confidence=confidence),
            final=share_interval(int(good + more), int(n), confidence=confidence),
        )
        for name, n, good, more, left in zip(names, took, first, again, waiting, strict=True)
    )
    before = _line(first, took, planned_first, confidence)
    after = _line(final, took, planned_final, confidence)
    return RolledYield(
        stations=found,
        first=before,
        final=after,
        worst=names[int(np.argmin(first / took))],
        words=_words(before, after),
        confidence=confidence,
        method=METHOD,
        cautions=(*_few(found), *_wait(found), *((INDEPENDENT,) if len(names) > 1 else ())),
    )


def _refuse_over_one(names: list[str], tried: Counts, first: Counts, again: Counts) -> None:
    for place in np.flatnonzero(first > tried)[:1]:
        limit = f"must be at most the {tried[place]} tried at {names[place]!r}: a yield over 1 cannot be"
        raise ImpossibleInput("good_first", int(first[place]), "", limit, "correct the counts")
    for place in np.flatnonzero(first + again > tried)[:1]:
        left = int(tried[place] - first[place])
        limit = f"must be at most the {left} that were not good first at {names[place]!r}"
        raise ImpossibleInput("reworked_good", int(again[place]), "", limit, "correct the counts")


def _waiting(names: list[str], lost: Counts, scrapped: Numbers) -> list[int | None]:
    """Pieces neither good nor scrapped yet, by station; none are told where scrap was not counted."""
    if len(scrapped) == 0:
        return [None] * len(names)
    gone = whole("scrapped", scrapped, names)
    for place in np.flatnonzero(gone > lost)[:1]:
        limit = f"must be at most the {lost[place]} that are not good at {names[place]!r}"
        raise ImpossibleInput("scrapped", int(gone[place]), "", limit, "correct the counts")
    return [int(one) for one in lost - gone]


def _line(good: Counts, tried: Counts, planned: float | None, confidence: float) -> YieldOfLine:
    interval = product_interval(good, tried, confidence=confidence)
    return YieldOfLine(
        share=float(np.prod(good / tried)),
        interval=interval,
        planned=planned,
        verdict=None if planned is None else verdict_of(planned, interval),
    )


def verdict_of(planned: float, interval: Interval) -> Verdict:
    """Whether at least so much is shown."""
    if planned <= interval.low:
        return Verdict.HOLDS
    return Verdict.FAILS if planned > interval.high else Verdict.NOT_SHOWN


def _words(before: YieldOfLine, after: YieldOfLine) -> str:
    return f"{_percent(before)} pass the line without rework, {_percent(after)} in the end"


def _percent(line: YieldOfLine) -> str:
    ends = f"{100 * line.interval.low:.3g} to {100 * line.interval.high:.3g}"
    return f"{100 * line.share:.3g} % ({ends})"


def _few(found: tuple[StationYield, ...]) -> tuple[Caution, ...]:
    few = [one.station for one in found if one.tried < FEW_PIECES]
    if not few:
        return ()
    return (
        Caution(f"fewer than {FEW_PIECES} pieces at {', '.join(few)}: their yield says little", PRACTICE),
    )


def _wait(found: tuple[StationYield, ...]) -> tuple[Caution, ...]:
    some = [f"{one.waiting} at {one.station}" for one in found if one.waiting]
    if not some:
        return ()
    return (
        Caution(f"{', '.join(some)} are neither scrapped nor good yet: they count as not good in the end"),
    )

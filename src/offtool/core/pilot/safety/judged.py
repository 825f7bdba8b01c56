"""What pieces that were tried show of a test of the law: those that stood, and how few they are."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from offtool.core.formulas import Numbers, formula
from offtool.core.inspection.attributes import share_interval
from offtool.core.inspection.limits import CONFIDENCE
from offtool.core.pilot.safety.tests import FROM_MONTHS, MARKET, MASS, TO_MONTHS, rows_for
from offtool.core.pilot.sampling import demonstrate_reliability
from offtool.core.values import Caution, ImpossibleInput, Range, Verdict
from offtool.handbook.toy_law import (
    LAW_DECIDES,
    MARKETS,
    NOTHING_KNOWN,
    TRY_WITH_CARE,
    Market,
    Surety,
    ToyTest,
)

LoadTest = Literal["torque", "tension", "seam", "compression"]
SMALL_END_MM = 6.0
"""EN 71-1, 8.4: up to this largest size a part is pulled with the lower load."""
ROUNDING = 1e-9
MOST_PIECES = 10**5

SHARE = Range(
    meaning="share of all pieces that must be shown to stand the test",
    above=0,
    below=1,
    remedy="95 % is 0.95",
)
PART_SIZE_UNKNOWN = Caution(
    "the size of the part is not known: it was judged by the higher load, for parts above 6 mm",
    "EN 71-1, 8.4",
)
TRIED_TO_THE_END = Caution(
    "pieces that were stopped before the load of the law say nothing of it: load them up to it", ""
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ToyTestJudged:
    """What the pieces show of one test.

    `verdict` does not hold where a piece failed at no more than the law asks: the law lets none fail. It
    holds where none failed and so many stood that the share is shown. `least_share` is the lower bound of the
    share of all pieces that stand. `pieces_needed` would show the share, all of them standing.
    """

    verdict: Verdict
    title: str
    required: float | None
    unit: str
    in_law: str
    times: int
    section: str
    surety: Surety | None
    tried: int
    stood: int
    failed: int
    unfinished: int
    lowest: float | None
    least_share: float
    pieces_needed: int | None
    words: str
    market: Market
    share: float
    confidence: float
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={
        "loads": Range(
            meaning="load at which each piece came apart, or was stopped: torque in N·m, others in N",
            unit="N·m or N",
            at_least=0,
            at_most=1e6,
        ),
        "test": Range(meaning="which test"),
        "market": MARKET,
        "from_months": FROM_MONTHS,
        "share": SHARE,
        "to_months": TO_MONTHS,
        "stopped": Range(
            meaning="1 for a piece that was stopped at its load still whole, 0 for one that came apart; "
            "blank: all came apart",
            at_least=0,
            at_most=1,
        ),
        "part_mm": Range(
            meaning="largest accessible size of the part that is pulled; blank where it is not known",
            unit="mm",
            above=0,
            at_most=1000,
        ),
        "confidence": CONFIDENCE,
    },
    example={
        "loads": [0.62, 0.71, 0.58, 0.66, 0.49],
        "test": "torque",
        "market": "US",
        "from_months": 36,
        "share": 0.9,
        "to_months": 96,
    },
    source="loads: 16 CFR 1500.51 to 1500.53, EN 71-1; bound: Clopper and Pearson 1934, Biometrika 26:404",
)
def judge_toy_load(
    loads: Numbers,
    *,
    test: LoadTest,
    market: Market,
    from_months: float,
    share: float,
    to_months: float | None = None,
    stopped: Numbers | None = None,
    part_mm: float | None = None,
    confidence: float = 0.95,
) -> ToyTestJudged:
    """Whether pieces stood the torque, pull or pressure of the law, and what so few pieces can show.

    Stood: loaded to the value of the law or beyond. Failed: came apart below it. With none failed of n, the
    share that stands is at least (1 - confidence)^(1 / n).

    Returns: ToyTestJudged. Raises: ImpossibleInput for no pieces, or where `stopped` does not fit them.

    Holds when: the load is raised within 5 s, held for 10 s and, for torque, turned both ways; and the
    gauge's error is small against the tolerance of the law. The pull follows the torque on the same piece.

    Example: 29 pieces that all stand show a share of 0.90 with 95 %; 5 show 0.549.
    """
    values, halted = _pieces(loads, stopped)
    rows = [
        row
        for row in rows_for(market, from_months=from_months, to_months=to_months, mass_kg=None)
        if row.test == test and (part_mm is None or _is_for(row, part_mm))
    ]
    row = max(rows, key=lambda one: one.si, default=None)
    extra = (PART_SIZE_UNKNOWN,) if row is not None and row.part and part_mm is None else ()
    if row is None:
        return not_known(test, market, len(values), share, confidence)
    below = values < row.si * (1 - ROUNDING)
    return judged_by(
        row,
        stood=int((~below).sum()),
        failed=int((below & ~halted).sum()),
        unfinished=int((below & halted).sum()),
        lowest=float(values.min()),
        share=share,
        confidence=confidence,
        cautions=extra,
    )


@formula(
    limits={
        "survived": Range(meaning="pieces that were whole after all falls", at_least=0, at_most=MOST_PIECES),
        "tried": Range(meaning="pieces that were dropped", at_least=1, at_most=MOST_PIECES),
        "drops": Range(meaning="falls of each piece", at_least=1, at_most=1000),
        "height_m": Range(meaning="height of each fall", unit="m", above=0, at_most=100),
        "market": MARKET,
        "from_months": FROM_MONTHS,
        "share": SHARE,
        "to_months": TO_MONTHS,
        "mass_kg": MASS,
        "confidence": CONFIDENCE,
    },
    example={
        "survived": 12,
        "tried": 12,
        "drops": 4,
        "height_m": 0.92,
        "market": "US",
        "from_months": 36,
        "share": 0.9,
        "to_months": 96,
        "mass_kg": 0.12,
    },
    source="falls: 16 CFR 1500.51 to 1500.53, EN 71-1; bound: Clopper and Pearson 1934, Biometrika 26:404",
)
def judge_toy_drops(
    survived: int,
    tried: int,
    *,
    drops: int,
    height_m: float,
    market: Market,
    from_months: float,
    share: float,
    to_months: float | None = None,
    mass_kg: float | None = None,
    confidence: float = 0.95,
) -> ToyTestJudged:
    """Whether pieces stood the falls of the law, and what so few pieces can show.

    Counted are pieces, not falls: falls of one piece are no trials of another. Pieces that fell fewer times
    or less far than the law asks are unfinished when whole, and failed when not.

    Returns: ToyTestJudged. Raises: ImpossibleInput for more survivors than pieces.

    Holds when: floor and position are those of the law. Where pieces fell farther or more often than it asks,
    one that broke may have stood the law: it counts as unfinished.

    Example: 12 of 12 show that at least 0.779 of all pieces stand, with 95 %.
    """
    survived, tried, drops = int(survived), int(tried), int(drops)
    if survived > tried:
        raise ImpossibleInput("survived", survived, "", f"must be at most the pieces dropped, {tried}")
    rows = rows_for(market, from_months=from_months, to_months=to_months, mass_kg=mass_kg)
    row = next((one for one in rows if one.test == "drop"), None)
    if row is None:
        return not_known("drop", market, tried, share, confidence)
    tolerance = row.tolerance * row.si / row.value
    enough = drops >= row.times and height_m >= row.si - tolerance
    no_more = drops <= row.times and height_m <= row.si + tolerance
    broken = tried - survived
    return judged_by(
        row,
        stood=survived if enough else 0,
        failed=broken if no_more else 0,
        unfinished=(0 if enough else survived) + (0 if no_more else broken),
        lowest=None,
        share=share,
        confidence=confidence,
        cautions=(),
    )


def _pieces(loads: Numbers, stopped: Numbers | None) -> tuple[np.ndarray, np.ndarray]:
    values = np.asarray(loads, dtype=float)
    if not values.size:
        raise ImpossibleInput("loads", "none", "", "must be at least one piece")
    halted = np.zeros(len(values), dtype=bool) if stopped is None else np.asarray(stopped, dtype=float)
    if len(halted) != len(values):
        raise ImpossibleInput("stopped", len(halted), "", f"must be {len(values)} marks, one a piece")
    if not np.isin(halted, (0, 1)).all():
        raise ImpossibleInput("stopped", float(halted[~np.isin(halted, (0, 1))][0]), "", "must be 0 or 1")
    return values, halted.astype(bool)


def _is_for(row: ToyTest, part_mm: float) -> bool:
    """Whether the row is for a part of that size; a row that names no part is for all."""
    return not row.part or ("above" in row.part) == (part_mm > SMALL_END_MM)


def judged_by(
    row: ToyTest,
    *,
    stood: int,
    failed: int,
    unfinished: int,
    lowest: float | None,
    share: float,
    confidence: float,
    cautions: tuple[Caution, ...],
) -> ToyTestJudged:
    """The verdict over pieces that were counted, in words, by one row of the law."""
    counted = stood + failed
    least = 1 - share_interval(failed, counted, confidence=confidence).less_than if counted else 0.0
    needed = demonstrate_reliability(share, confidence=confidence).pieces
    shown = bool(counted) and not failed and least >= share * (1 - ROUNDING)
    verdict = Verdict.FAILS if failed else Verdict.HOLDS if shown else Verdict.NOT_SHOWN
    return ToyTestJudged(
        verdict=verdict,
        title=row.title,
        required=row.si,
        unit=row.si_unit,
        in_law=row.in_law,
        times=row.times,
        section=row.section,
        surety=row.surety,
        tried=counted + unfinished,
        stood=stood,
        failed=failed,
        unfinished=unfinished,
        lowest=lowest,
        least_share=least,
        pieces_needed=needed,
        words=_words(row, verdict, stood, failed, least, needed, share, confidence),
        market=row.market,
        share=share,
        confidence=confidence,
        cautions=(*cautions, *((TRIED_TO_THE_END,) if unfinished else ()), TRY_WITH_CARE, LAW_DECIDES),
    )


def _words(
    row: ToyTest,
    verdict: Verdict,
    stood: int,
    failed: int,
    least: float,
    needed: int | None,
    share: float,
    confidence: float,
) -> str:
    counted = stood + failed
    if not counted:
        return f"no piece was tried as the {row.title} asks, {row.in_law}"
    seen = f"{stood} of {counted} stood the {row.title}"
    if verdict is Verdict.FAILS:
        return f"{seen}, and the law lets none fail: find out why {failed} failed, before any more are tried"
    with_ = f"with {100 * confidence:g} % confidence at least {100 * least:.1f} % of all pieces stand it"
    if verdict is Verdict.HOLDS:
        return f"{seen}: {with_}"
    more = f"it takes {needed}" if needed is not None else "it takes over a million"
    return f"{seen}: {with_}; {more}, all standing, to show {100 * share:g} %"


def not_known(test: str, market: Market, tried: int, share: float, confidence: float) -> ToyTestJudged:
    """What is said where the handbook has no value of a test."""
    return ToyTestJudged(
        verdict=Verdict.NOT_SHOWN,
        title=f"{test} test",
        required=None,
        unit="",
        in_law="",
        times=1,
        section="",
        surety=None,
        tried=tried,
        stood=0,
        failed=0,
        unfinished=tried,
        lowest=None,
        least_share=0.0,
        pieces_needed=None,
        words=f"no value of this test is known here for these ages in {MARKETS[market]}: ask the laboratory",
        market=market,
        share=share,
        confidence=confidence,
        cautions=(*((NOTHING_KNOWN,) if market == "other" else ()), LAW_DECIDES),
    )

"""One test of the law, judged by own pieces, part by part."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from typing import get_args

from offtool.core.pilot.safety import (
    AskedTest,
    ToyTestJudged,
    judge_toy_drops,
    judge_toy_held,
    judge_toy_load,
)
from offtool.core.pilot.safety.held import HeldTest
from offtool.core.pilot.safety.judged import TRIED_TO_THE_END, LoadTest
from offtool.core.values import Verdict
from offtool.handbook.toy_law import Market
from offtool.records.models import ToyTestPiece

SHARE = 0.90
"""What must be shown to stand, where nobody says otherwise; our own. The law itself lets none fail."""
CONFIDENCE = 0.95


@dataclass(frozen=True, slots=True, kw_only=True)
class ToyAbout:
    """For whom the toy is, and what is to be shown."""

    market: Market
    from_months: float
    to_months: float | None
    mass_kg: float | None
    share: float = SHARE
    confidence: float = CONFIDENCE


@dataclass(frozen=True, slots=True, kw_only=True)
class PartJudged:
    """The pieces of one part in one test; no part: the whole toy."""

    part: str
    judged: ToyTestJudged


def judge_pieces(test: AskedTest, pieces: Sequence[ToyTestPiece], about: ToyAbout) -> tuple[PartJudged, ...]:
    """Each part by its own pieces: an arm says nothing of a tail."""

    def code(piece: ToyTestPiece) -> str:
        return piece.part.code if piece.part is not None else ""

    found = []
    for part, group in groupby(sorted(pieces, key=code), key=code):
        judged = _judged(test, list(group), about)
        if judged is not None:
            found.append(PartJudged(part=part, judged=judged))
    return tuple(found)


def _judged(test: AskedTest, pieces: list[ToyTestPiece], about: ToyAbout) -> ToyTestJudged | None:
    load: LoadTest | None = next((one for one in get_args(LoadTest) if one == test.test), None)
    if load is not None:
        return _load(load, pieces, about)
    held: HeldTest | None = next((one for one in get_args(HeldTest) if one == test.test), None)
    return _drops(pieces, about) if held is None else _held(held, pieces, about)


def _held(test: HeldTest, pieces: list[ToyTestPiece], about: ToyAbout) -> ToyTestJudged:
    return judge_toy_held(
        sum(one.held for one in pieces),
        len(pieces),
        test=test,
        market=about.market,
        from_months=about.from_months,
        to_months=about.to_months,
        share=about.share,
        confidence=about.confidence,
    )


def _load(test: LoadTest, pieces: list[ToyTestPiece], about: ToyAbout) -> ToyTestJudged | None:
    loaded = [one for one in pieces if one.value is not None]
    if not loaded:
        return None
    return judge_toy_load(
        [one.value or 0.0 for one in loaded],
        test=test,
        market=about.market,
        from_months=about.from_months,
        to_months=about.to_months,
        share=about.share,
        stopped=[float(one.held) for one in loaded],
        confidence=about.confidence,
    )


def _drops(pieces: list[ToyTestPiece], about: ToyAbout) -> ToyTestJudged | None:
    """Pieces that fell alike are judged together, then all of them by what they stood."""
    fell = [one for one in pieces if one.drops is not None and one.height_m is not None]
    if not fell:
        return None

    def alike(piece: ToyTestPiece) -> tuple[int, float]:
        return piece.drops or 0, piece.height_m or 0.0

    groups = [
        (drops, height, list(group)) for (drops, height), group in groupby(sorted(fell, key=alike), key=alike)
    ]
    each = [
        _fell(len(group), sum(one.held for one in group), drops, height, about)
        for drops, height, group in groups
    ]
    if len(each) == 1 or each[0].required is None:
        return each[0]
    return _together(each, about)


def _fell(tried: int, held: int, drops: int, height_m: float, about: ToyAbout) -> ToyTestJudged:
    return judge_toy_drops(
        held,
        tried,
        drops=drops,
        height_m=height_m,
        market=about.market,
        from_months=about.from_months,
        to_months=about.to_months,
        mass_kg=about.mass_kg,
        share=about.share,
        confidence=about.confidence,
    )


def _together(each: Sequence[ToyTestJudged], about: ToyAbout) -> ToyTestJudged:
    """All that stood and all that failed as one lot of pieces; those that say nothing are only counted."""
    stood, failed = sum(one.stood for one in each), sum(one.failed for one in each)
    unfinished = sum(one.unfinished for one in each)
    if not stood + failed:
        return replace(each[0], tried=unfinished, unfinished=unfinished)
    times, height_m = each[0].times, each[0].required or 0.0
    found = _fell(stood + failed, stood, times, height_m, about)
    if not unfinished:
        return found
    cautions = tuple(dict.fromkeys((TRIED_TO_THE_END, *found.cautions)))
    return replace(found, tried=stood + failed + unfinished, unfinished=unfinished, cautions=cautions)


def worst(verdicts: Sequence[Verdict]) -> Verdict:
    """One that does not hold decides; all must hold for it to hold."""
    if Verdict.FAILS in verdicts:
        return Verdict.FAILS
    return Verdict.HOLDS if verdicts and set(verdicts) == {Verdict.HOLDS} else Verdict.NOT_SHOWN

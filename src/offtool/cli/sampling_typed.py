"""What was typed of a sampling plan, as its step takes it; shares come in per cent."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from offtool.cli.reading_options import content_of
from offtool.exchange.lots_found import lots_in_file
from offtool.handbook.sampling_plans import PIECES_UP_TO
from offtool.steps.sampling_asked import (
    LARGEST_OUTSIDE,
    LARGEST_RISK,
    LEAST_SURE,
    MOST_FLAWS,
    Asked,
    FindAsked,
    LotAsked,
    LotsAsked,
    MeasuredAsked,
    OwnAsked,
    ZeroAsked,
    both_shares,
    share_of,
    share_that_holds,
)

Typed = Mapping[str, Any]


def _lot(typed: Typed) -> LotAsked:
    below = MOST_FLAWS if typed["aql"] > PIECES_UP_TO else 100.0
    return LotAsked(
        lot=typed["lot"],
        level=typed["level"] or "II",
        aql=typed["aql"],
        severity=typed["severity"] or "normal",
        bad=share_of("bad", typed["bad"], below=below),
    )


def _own(typed: Typed) -> OwnAsked:
    below = MOST_FLAWS if typed["flaws"] else 100.0
    good, bad = both_shares(typed["good"], typed["bad"], below=below)
    return OwnAsked(
        pieces=typed["pieces"],
        accept=typed["accept"],
        lot=typed["lot"],
        good=good,
        bad=bad,
        counted="flaws" if typed["flaws"] else "pieces",
    )


def _find(typed: Typed) -> FindAsked:
    return FindAsked(lot=typed["lot"], **_shares(typed["find"]), **_risks(typed))


def _shares(pair: tuple[float, float], *, below: float = 100.0) -> dict[str, float]:
    good, bad = both_shares(*pair, below=below)
    return {"good": good or 0.0, "bad": bad or 0.0}


def _risks(typed: Typed) -> dict[str, float]:
    if not typed["risks"]:
        return {}
    names = ("producer_risk", "consumer_risk")
    given = zip(names, typed["risks"], strict=True)
    return {name: share_of(name, risk, below=LARGEST_RISK) or 0.0 for name, risk in given}


def _zero(typed: Typed) -> ZeroAsked:
    confidence = share_of("confidence", typed["confidence"], above=LEAST_SURE)
    return ZeroAsked(
        reliability=share_that_holds("zero", typed["zero"]),
        confidence=0.95 if confidence is None else confidence,
        failures=typed["failures"] or 0,
        lot=typed["lot"],
    )


def _measured(typed: Typed) -> MeasuredAsked:
    return MeasuredAsked(
        spread="known" if typed["known_spread"] else "unknown",
        limits=typed["limits"] or "one",
        pieces=typed["pieces"],
        factor=typed["factor"],
        **_shares(typed["measure"], below=LARGEST_OUTSIDE),
        **_risks(typed),
    )


def _lots(typed: Typed) -> LotsAsked:
    path = typed["lots"]
    read = lots_in_file(content_of(path), path.name, lot=typed["lot"])
    return LotsAsked(
        lots=read.lots,
        found=read.found,
        level=typed["level"] or "II",
        aql=typed["aql"],
        reduced_allowed=typed["reduced_allowed"],
    )


ASKED: Mapping[str, Callable[[Typed], Asked]] = {
    "--aql": _lot,
    "--pieces": _own,
    "--find": _find,
    "--zero": _zero,
    "--measure": _measured,
    "--lots": _lots,
}
"""By the option that asks the question."""

"""What a pilot of so many pieces can show, and what it cannot."""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass
from math import ceil, expm1, log, log1p

from scipy import special

from offtool.core.formulas import formula
from offtool.core.inspection.limits import CONFIDENCE
from offtool.core.inspection.sample_size import required_observed_index
from offtool.core.pilot.yields.asked import MOST_PIECES
from offtool.core.values import Caution, Range
from offtool.handbook.defects import PRACTICE

SHARES = (0.001, 0.005, 0.01, 0.02, 0.05)
"""Defects whose chance to be seen is told."""
MOST_MEASURED = 10_000
ROUNDING = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class ChanceToSee:
    """How likely a pilot sees at least one piece with a defect of that share."""

    share: float
    chance: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PilotShows:
    """What the number of pieces allows to say.

    `least_share_seen`: the smallest share of a defect that is seen at least once with the confidence; a
    defect that was not seen is on less than that. `most_bad`: with up to so many bad pieces the planned yield
    is shown; None where even none would not do, and then `pieces_needed` without a bad one would.
    `index_needed`: the index that the measured parts must give to show the required one.
    """

    least_share_seen: float
    chances: tuple[ChanceToSee, ...]
    most_bad: int | None
    pieces_needed: int
    index_needed: float | None
    words: str
    pieces: int
    measured: int | None
    planned_yield: float
    required_index: float
    confidence: float
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={
        "pieces": Range(meaning="pieces of the pilot", at_least=1, at_most=MOST_PIECES),
        "planned_yield": Range(
            meaning="yield that is to be shown",
            above=0,
            below=1,
            usual=(0.8, 0.995),
            source=PRACTICE,
            remedy="95 % is 0.95",
        ),
        "required_index": Range(
            meaning="index of capability (Ppk) that is to be shown",
            above=0,
            at_most=10,
            usual=(0.67, 2.0),
            source=PRACTICE,
        ),
        "measured": Range(
            meaning="parts of a cavity that are measured; blank where none are",
            at_least=2,
            at_most=MOST_MEASURED,
        ),
        "confidence": CONFIDENCE,
    },
    example={"pieces": 300, "planned_yield": 0.95, "required_index": 1.33, "measured": 50},
    source="binomial distribution, exact (Clopper and Pearson 1934, Biometrika 26:404); noncentral t for the "
    "index",
)
def pilot_shows(
    pieces: int,
    *,
    planned_yield: float,
    required_index: float,
    measured: int | None = None,
    confidence: float = 0.95,
) -> PilotShows:
    """What a pilot of this size can show, and what would stay unseen.

    Least share seen: p with (1 - p)^n = 1 - confidence, close to 3 / n. Most bad: the largest x whose
    one-sided limit of x in n is at most 1 - yield. Index: as required_observed_index.

    Returns: PilotShows.

    Holds when: pieces are as those to come, and every defect is seen when it is there.

    Example: 300 pieces see a defect on 1 % of all with 95 %; up to 8 bad ones show a yield of 95 %.
    """
    pieces, measured = int(pieces), None if measured is None else int(measured)
    least = -expm1(log1p(-confidence) / pieces)
    most_bad = _most_bad(pieces, 1 - planned_yield, confidence)
    needed = max(1, ceil(log1p(-confidence) / log(planned_yield) - ROUNDING))
    index = None
    if measured is not None:
        index = required_observed_index(required_index, measured, confidence=confidence).observed_index
    return PilotShows(
        least_share_seen=least,
        chances=tuple(ChanceToSee(share=p, chance=-expm1(pieces * log1p(-p))) for p in SHARES),
        most_bad=most_bad,
        pieces_needed=needed,
        index_needed=index,
        words=_words(least, most_bad, needed, planned_yield, index, required_index),
        pieces=pieces,
        measured=measured,
        planned_yield=planned_yield,
        required_index=required_index,
        confidence=confidence,
        cautions=()
        if measured is not None
        else (Caution("no parts are measured: a pilot shows no capability then"),),
    )


def _most_bad(pieces: int, share: float, confidence: float) -> int | None:
    """Largest count whose one-sided upper limit is at most the share; None where that of 0 is above it."""

    def too_many(bad: int) -> bool:
        return bad >= pieces or float(special.betainc(bad + 1, pieces - bad, share)) < confidence

    count = bisect_left(range(pieces + 1), True, key=too_many)
    return count - 1 if count else None


def _words(
    least: float, most_bad: int | None, needed: int, planned: float, index: float | None, required: float
) -> str:
    said = [f"a defect on {100 * least:.2g} % of all or more would be seen; a rarer one may stay unseen"]
    if most_bad is None:
        said.append(
            f"a yield of {100 * planned:g} % cannot be shown: it takes {needed} pieces without a bad one"
        )
    else:
        said.append(f"up to {most_bad} bad pieces show a yield of {100 * planned:g} %")
    if index is not None:
        said.append(f"an index of {index:.3g} must be measured to show {required:g}")
    return "; ".join(said)

"""When lots are looked at more closely, or less: the switching rules, followed from lot to lot."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from offtool.core.formulas import Numbers, formula
from offtool.core.pilot.sampling.asked import LARGEST_LOT, MOST_PIECES, NOT_WITHOUT, Severity
from offtool.core.pilot.sampling.standard import LEVEL, QUALITY, Level, code_letter, plan_of, quality_place
from offtool.core.values import Caution, ImpossibleInput, Range
from offtool.handbook.sampling_plans import LEAST_LOT, PIECES_UP_TO, QUALITY_LEVELS, RULES

REFUSED_OF_LAST = 5
"""Tightened inspection begins when two of so many lots in a row are refused."""
REFUSED_TO_TIGHTEN = 2
ACCEPTED_TO_RELAX = 5
"""Accepted lots in a row that end tightened inspection."""
REFUSED_TO_STOP = 5
"""Refused lots under tightened inspection at which acceptance by sample stops."""
SCORE_TO_REDUCE = 30
SCORE_OF_STRICTER = 3
"""A lot that would have passed one quality level stricter."""
SCORE_OF_SMALL = 2
"""A lot that passes a plan with acceptance number 0 or 1."""
SMALL = 1

REMEMBERED = Caution(
    "the switching rules are written from memory: compare them with the standard that the contract names",
    RULES,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class LotJudged:
    """One lot: the plan it met, whether it passed, and the score towards reduced inspection after it."""

    lot: int
    pieces: int
    accept: int
    refuse: int
    found: int
    accepted: bool
    severity: str
    score: int
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Switching:
    """Every lot as judged, and how the next one is to be looked at; `stopped` means not by sample at all."""

    lots: tuple[LotJudged, ...]
    severity: str
    score: int
    stopped: bool
    words: str
    level: str
    aql: float
    cautions: tuple[Caution, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class _State:
    severity: Severity = "normal"
    score: int = 0
    last: tuple[bool, ...] = ()
    """Whether each lot since the last switch was accepted."""
    refused: int = 0
    """Lots refused under tightened inspection, since it began."""
    stopped: bool = False


@formula(
    limits={
        "lots": Range(meaning="pieces in each lot, in order", at_least=LEAST_LOT, at_most=LARGEST_LOT),
        "found": Range(meaning="bad pieces found in each lot's sample", at_least=0, at_most=MOST_PIECES),
        "level": LEVEL,
        "aql": QUALITY,
        "reduced_allowed": Range(
            meaning="whether production is steady and the customer agrees to smaller samples"
        ),
    },
    example={
        "lots": [2000, 2000, 2000, 2000],
        "found": [1, 3, 0, 4],
        "level": "II",
        "aql": 0.65,
        "reduced_allowed": False,
    },
    source=RULES,
)
def follow_switching(
    lots: Numbers, found: Numbers, *, level: Level, aql: float, reduced_allowed: bool
) -> Switching:
    """How the next lot is to be looked at, after the lots that came before it.

    Two of five lots in a row refused: tightened. Five accepted in a row: back to normal. Five refused while
    tightened: no acceptance by sample until the cause is gone. A score of 30 under normal, where it is
    allowed: reduced; a lot refused, or between the two numbers, ends that. The score: 3 for a lot that would
    have passed one quality level stricter, 2 for one that passes with acceptance number 0 or 1, else none.

    Returns: Switching. Raises: ImpossibleInput, naming the lot, for lists of unequal length, counts that are
    not whole, more found than looked at, or lots after inspection had to stop.

    Holds when: only first inspections are listed, no lot that was sorted and came again. A reduced plan also
    ends when production is irregular: say `reduced_allowed` no then.

    Example: lots of 2000 at 0.65 %, the second and fourth refused: tightened from the fifth on.
    """
    sizes, counts = np.asarray(lots, dtype=float), np.asarray(found, dtype=float)
    _check(sizes, counts)
    state, judged = _State(), []
    for place, (size, count) in enumerate(zip(sizes, counts, strict=True), start=1):
        if state.stopped:
            limit = f"inspection had to stop before lot {place}"
            raise ImpossibleInput("lots", sizes.size, "", limit, "remove the cause, then begin a new list")
        one, state = _judge(place, int(size), int(count), level, aql, state, reduced_allowed)
        judged.append(one)
    return Switching(
        lots=tuple(judged),
        severity=state.severity,
        score=state.score,
        stopped=state.stopped,
        words=_next(state),
        level=level,
        aql=aql,
        cautions=(REMEMBERED, NOT_WITHOUT),
    )


def _check(sizes: NDArray[np.float64], counts: NDArray[np.float64]) -> None:
    if sizes.size != counts.size:
        limit = f"must say what was found in each of {sizes.size} lots"
        raise ImpossibleInput("found", counts.size, "", limit)
    for name, values in (("lots", sizes), ("found", counts)):
        for place in np.flatnonzero(values != np.floor(values))[:1]:
            raise ImpossibleInput(name, values[place], "", f"must be whole, in lot {place + 1}")


def _judge(
    place: int, size: int, count: int, level: str, aql: float, state: _State, reduced_allowed: bool
) -> tuple[LotJudged, _State]:
    letter = code_letter(size, level)
    _, pieces, accept, refuse = plan_of(letter, aql, state.severity)
    pieces = min(pieces, size)
    if count > pieces and aql <= PIECES_UP_TO:
        limit = f"must be at most the {pieces} looked at under {state.severity} inspection, in lot {place}"
        raise ImpossibleInput("found", count, "", limit, "check the count, or the lots before it")
    after = _after(state, count, accept, refuse, letter, aql, reduced_allowed)
    accepted = count < refuse
    one = LotJudged(
        lot=size,
        pieces=pieces,
        accept=accept,
        refuse=refuse,
        found=count,
        accepted=accepted,
        severity=state.severity,
        score=after.score,
        words=_told(place, pieces, count, accepted, state, after),
    )
    return one, after


def _after(
    state: _State, count: int, accept: int, refuse: int, letter: str, aql: float, reduced_allowed: bool
) -> _State:
    """The state after one lot."""
    last = (*state.last, count < refuse)
    match state.severity:
        case "reduced":
            return replace(state, last=last) if count <= accept else _State()
        case "tightened":
            refused = state.refused + (not last[-1])
            if last[-ACCEPTED_TO_RELAX:] == (True,) * ACCEPTED_TO_RELAX:
                return _State()
            return replace(state, last=last, refused=refused, stopped=refused >= REFUSED_TO_STOP)
    if last[-REFUSED_OF_LAST:].count(False) >= REFUSED_TO_TIGHTEN:
        return _State(severity="tightened")
    score = _score(state.score, count, accept, letter, aql)
    if reduced_allowed and score >= SCORE_TO_REDUCE:
        return _State(severity="reduced")
    return replace(state, last=last, score=score)


def _score(score: int, count: int, accept: int, letter: str, aql: float) -> int:
    """The switching score after a lot under normal inspection."""
    if accept <= SMALL:
        return score + SCORE_OF_SMALL if count <= accept else 0
    stricter = QUALITY_LEVELS[max(quality_place(aql) - 1, 0)]
    _, _, accept_stricter, _ = plan_of(letter, stricter, "normal")
    return score + SCORE_OF_STRICTER if count <= accept_stricter else 0


def _told(place: int, pieces: int, count: int, accepted: bool, state: _State, after: _State) -> str:
    said = f"lot {place}: {count} of {pieces}, {'accepted' if accepted else 'refused'}"
    if after.stopped:
        return f"{said}; acceptance by sample stops"
    return said if after.severity == state.severity else f"{said}; {after.severity} from here on"


def _next(state: _State) -> str:
    if state.stopped:
        return f"stop: {state.refused} lots were refused under tightened inspection; remove the cause first"
    return f"the next lot is looked at under {state.severity} inspection"

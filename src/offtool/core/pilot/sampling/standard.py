"""The plan for a lot from the public tables: code letter, sample, and how many bad pieces it may hold."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from offtool.core.formulas import formula
from offtool.core.pilot.sampling.asked import LARGEST_LOT, NOT_WITHOUT, Severity
from offtool.core.values import Caution, ImpossibleInput, Range
from offtool.handbook.sampling_plans import (
    FROM_MEMORY,
    LEAST_LOT,
    LETTERS,
    LEVELS,
    LOT_STEPS,
    MASTER_TABLES,
    PIECES_UP_TO,
    QUALITY_LEVELS,
    STANDARD,
)

Level = Literal["S-1", "S-2", "S-3", "S-4", "I", "II", "III"]

LARGE_FROM = LETTERS.index("F")
FIRST_AFTER_NONE = 3
"""Steps past the first diagonal at which the next one begins; between them stand arrows."""
ONLY_TIGHTENED = "S"

LOT_SIZE = Range(
    meaning="pieces in the lot", at_least=LEAST_LOT, at_most=LARGEST_LOT, remedy="give the size of the lot"
)
LEVEL = Range(meaning="inspection level: II is usual, S where the test destroys the piece")
QUALITY = Range(
    meaning="acceptance quality limit (AQL) as the list has it: per cent, above 10 flaws on 100 pieces",
    above=0,
    at_most=1000,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class StandardPlan:
    """Look at `pieces`; accept with up to `accept` bad ones, refuse from `refuse` on.

    `letter` is that of the lot, `plan_letter` that of the plan: they differ where the table has an arrow.
    In a reduced plan a lot between the two numbers passes, and normal inspection returns.
    """

    pieces: int
    accept: int
    refuse: int
    letter: str
    plan_letter: str
    looks_at_all: bool
    words: str
    lot: int
    level: str
    aql: float
    severity: str
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={
        "lot": LOT_SIZE,
        "level": LEVEL,
        "aql": QUALITY,
        "severity": Range(meaning="normal to begin with; the switching rules say when to change"),
    },
    example={"lot": 2000, "level": "II", "aql": 0.65},
    source=STANDARD,
)
def standard_plan(lot: int, *, level: Level, aql: float, severity: Severity = "normal") -> StandardPlan:
    """How many pieces of a lot to look at, and how many bad ones it may show.

    Lot and level give a code letter, letter and quality limit the plan; an arrow in the table is followed to
    the letter whose plan holds. A sample as large as the lot is the whole lot.

    Returns: StandardPlan. Raises: ImpossibleInput for a quality limit that is not on the list.

    Holds when: the sample is drawn at random from the whole lot, and lots follow each other so that the
    switching rules can work; for a single lot, read its operating curve.

    Example: 2000 pieces, level II, 0.65 %: letter K, 125 pieces, accept 2, refuse 3.
    """
    lot, letter = int(lot), code_letter(int(lot), level)
    plan_letter, pieces, accept, refuse = plan_of(letter, aql, severity)
    all_of_it = pieces >= lot
    said = [NOT_WITHOUT]
    if MASTER_TABLES[severity].source == FROM_MEMORY:
        said.append(
            Caution("the reduced table is written from memory: compare it with your copy", FROM_MEMORY)
        )
    if aql > PIECES_UP_TO:
        said.append(Caution("above 10 this limit counts flaws on 100 pieces, not bad pieces", STANDARD))
    return StandardPlan(
        pieces=min(pieces, lot),
        accept=accept,
        refuse=refuse,
        letter=letter,
        plan_letter=plan_letter,
        looks_at_all=all_of_it,
        words=_words(min(pieces, lot), accept, refuse, all_of_it, aql > PIECES_UP_TO),
        lot=lot,
        level=level,
        aql=aql,
        severity=severity,
        cautions=tuple(said),
    )


def code_letter(lot: int, level: str) -> str:
    """The code letter of a lot, table I."""
    place = LEVELS.index(level)
    return next(letters[place] for most, letters in LOT_STEPS if most is None or lot <= most)


def plan_of(letter: str, aql: float, severity: str) -> tuple[str, int, int, int]:
    """Letter, sample, acceptance and rejection number, with arrows followed."""
    column, row = quality_place(aql), LETTERS.index(letter)
    step = _arrow(row, column, severity)
    last = len(MASTER_TABLES[severity].sizes)
    for places in (range(row, last if step > 0 else -1, step), range(row, -1 if step > 0 else last, -step)):
        for place in places:
            if found := _cell(place, column, severity):
                return LETTERS[place], MASTER_TABLES[severity].sizes[place], *found
    raise AssertionError(f"no plan in the column of {aql:g}")


def quality_place(aql: float) -> int:
    """Where a quality limit stands in the list; one that is not there is refused."""
    for place, listed in enumerate(QUALITY_LEVELS):
        if abs(aql - listed) <= 1e-9 * listed:
            return place
    near = min(QUALITY_LEVELS, key=lambda listed: abs(listed - aql))
    lower = [listed for listed in QUALITY_LEVELS if listed < aql]
    remedy = f"the nearest on the list is {near:g}" + (f", the next stricter {lower[-1]:g}" if lower else "")
    raise ImpossibleInput("aql", f"{aql:g}", "", "is not on the list of quality limits", remedy)


def _steps(row: int, column: int, severity: str) -> int:
    """How far past the first diagonal a cell stands."""
    return row + column - QUALITY_LEVELS.index(MASTER_TABLES[severity].starts_at)


def _cell(row: int, column: int, severity: str) -> tuple[int, int] | None:
    """Acceptance and rejection number of a cell; None where it holds an arrow."""
    table, steps = MASTER_TABLES[severity], _steps(row, column, severity)
    if beside := table.only.get(LETTERS[row], {}).get(steps):
        return beside
    if LETTERS[row] == ONLY_TIGHTENED and steps != FIRST_AFTER_NONE:
        return None
    last = table.last_for_large if row >= LARGE_FROM else len(table.diagonal) - 1
    return table.diagonal[steps] if 0 <= steps <= last else None


def _arrow(row: int, column: int, severity: str) -> int:
    """Which way an arrow points: 1 down to larger samples, -1 up to smaller ones."""
    steps = _steps(row, column, severity)
    beside_none = steps == 1 and severity != "tightened"
    return -1 if beside_none or steps >= FIRST_AFTER_NONE else 1


def _words(pieces: int, accept: int, refuse: int, all_of_it: bool, flaws: bool) -> str:
    what = "flaws" if flaws else "bad pieces"
    look = f"look at all {pieces}" if all_of_it else f"look at {pieces} drawn at random"
    between = "" if refuse == accept + 1 else "; between the two it passes, and normal inspection returns"
    return f"{look}: accept with up to {accept} {what}, refuse from {refuse} on{between}"

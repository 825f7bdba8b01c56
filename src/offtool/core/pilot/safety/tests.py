"""Which tests of the law a toy must stand, for its ages and the market it goes to."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from offtool.core.formulas import formula
from offtool.core.values import Caution, ImpossibleInput, Range
from offtool.handbook.toy_law import (
    LAW_DECIDES,
    MARKETS,
    MORE_STANDARDS,
    MOST_STRINGENT,
    NOTHING_KNOWN,
    ON_THE_EDGE,
    ONLY_UNDER_THREE,
    SMALL_PARTS,
    TOY_TESTS,
    TRY_WITH_CARE,
    Market,
    Surety,
    ToyTest,
    ToyTestKind,
)

OLDEST_MONTHS = 1200.0
MARKET = Range(meaning="where the toy is sold")
FROM_MONTHS = Range(
    meaning="youngest age that the toy is for",
    unit="months",
    at_least=0,
    at_most=OLDEST_MONTHS,
    remedy="three years are 36 months",
)
TO_MONTHS = Range(
    meaning="oldest age that the toy is for; blank where no end is said",
    unit="months",
    above=0,
    at_most=OLDEST_MONTHS,
)
MASS = Range(
    meaning="mass of the whole toy; blank where it is not known", unit="kg", above=0, at_most=1000, source=""
)


@dataclass(frozen=True, slots=True, kw_only=True)
class AskedTest:
    """One test with its numbers: in SI units, and as the law writes them.

    `times` is how often one piece falls or is struck; `below_kg` the mass from which on the test is not made.
    """

    test: ToyTestKind
    title: str
    value: float
    unit: str
    in_law: str
    times: int
    below_kg: float | None
    tried: str
    how: str
    section: str
    text: str
    surety: Surety
    note: str

    @property
    def words(self) -> str:
        """The test and its number in one line."""
        often = f"{self.times} times " if self.times > 1 else ""
        si = f"{self.value:.3g} {self.unit}"
        return f"{self.title}: {often}{si}" + (f" ({self.in_law})" if self.in_law != si else "")


@dataclass(frozen=True, slots=True, kw_only=True)
class ToyTestsAsked:
    """What the law asks, in the order in which a sample goes through it; empty where nothing is known.

    `small_parts`: whether the toy, and every piece that comes off in the tests, must not fit into the small-
    parts cylinder.
    """

    tests: tuple[AskedTest, ...]
    small_parts: bool
    words: str
    market: Market
    from_months: float
    to_months: float | None
    mass_kg: float | None
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={"market": MARKET, "from_months": FROM_MONTHS, "to_months": TO_MONTHS, "mass_kg": MASS},
    example={"market": "US", "from_months": 36, "to_months": 96, "mass_kg": 0.12},
    source="16 CFR 1500.50 to 1500.53 and 1501.4; EN 71-1",
)
def toy_tests(
    market: Market, *, from_months: float, to_months: float | None = None, mass_kg: float | None = None
) -> ToyTestsAsked:
    """Which tests with which numbers a toy must stand, for its ages and its market.

    A toy for more than one age group stands the most stringent of their tests. A toy from 36 months on is not
    counted as one for under 36 months.

    Returns: ToyTestsAsked. Raises: ImpossibleInput where the oldest age is not above the youngest.

    Holds when: the ages are those that the law would give the toy, whatever the pack says.

    Example: from 36 to 96 months in the United States the torque is 4 in·lbf, 0.452 N·m.
    """
    rows = rows_for(market, from_months=from_months, to_months=to_months, mass_kg=mass_kg)
    asked = tuple(_asked(row) for row in rows)
    small = market != "other" and from_months < SMALL_PARTS.below_months
    return ToyTestsAsked(
        tests=asked,
        small_parts=small,
        words=_words(asked, small, market),
        market=market,
        from_months=from_months,
        to_months=to_months,
        mass_kg=mass_kg,
        cautions=_cautions(rows, market, from_months, mass_kg),
    )


def rows_for(
    market: Market, *, from_months: float, to_months: float | None, mass_kg: float | None
) -> tuple[ToyTest, ...]:
    """The most stringent row of each test over the age groups that the toy is for."""
    if to_months is not None and not to_months > from_months:
        raise ImpossibleInput(
            "to_months", to_months, "months", f"must be above the youngest age, {from_months:g}", "swap them"
        )
    oldest = OLDEST_MONTHS if to_months is None else to_months
    rows = [
        row
        for row in TOY_TESTS
        if row.market == market and from_months < row.to_months and oldest > row.from_months
        if mass_kg is None or row.below_kg is None or mass_kg < row.below_kg
    ]
    return tuple(_most_stringent(rows))


def _most_stringent(rows: Iterable[ToyTest]) -> Iterable[ToyTest]:
    kept: dict[tuple[str, str], ToyTest] = {}
    for row in rows:
        before = kept.get((row.test, row.part))
        if before is None or (row.si, row.times) > (before.si, before.times):
            kept[row.test, row.part] = row
    return kept.values()


def _asked(row: ToyTest) -> AskedTest:
    return AskedTest(
        test=row.test,
        title=row.title,
        value=row.si,
        unit=row.si_unit,
        in_law=row.in_law,
        times=row.times,
        below_kg=row.below_kg,
        tried=row.tried,
        how=row.how,
        section=row.section,
        text=row.text,
        surety=row.surety,
        note=row.note,
    )


def _words(asked: tuple[AskedTest, ...], small: bool, market: Market) -> str:
    if not asked:
        return f"no test is known here for these ages in {MARKETS[market]}: ask the laboratory"
    said = "; ".join(one.words for one in asked)
    after = "; then no piece may fit into the small-parts cylinder" if small else ""
    return f"{said}{after}"


def _cautions(
    rows: tuple[ToyTest, ...], market: Market, from_months: float, mass_kg: float | None
) -> tuple[Caution, ...]:
    said = []
    if market == "other":
        said.append(NOTHING_KNOWN)
    if market == "US":
        said.append(MORE_STANDARDS)
    if market == "EU":
        said.append(ONLY_UNDER_THREE)
    if len({(row.from_months, row.to_months) for row in rows}) > 1 or _spans(rows, from_months):
        said.append(
            Caution("the toy is for several age groups: the most stringent test of each kind", MOST_STRINGENT)
        )
    if market == "US" and any(0 < from_months == row.from_months for row in TOY_TESTS if row.market == "US"):
        said.append(ON_THE_EDGE)
    if mass_kg is None and (limits := [row.below_kg for row in rows if row.below_kg is not None]):
        said.append(
            Caution(f"the mass is not known: from {min(limits):.2f} kg on the drop test is another, or none")
        )
    if unsure := [row.section for row in rows if row.surety is not Surety.READ]:
        said.append(Caution(f"not read in the text itself, compare them: {', '.join(dict.fromkeys(unsure))}"))
    return (*said, TRY_WITH_CARE, LAW_DECIDES) if rows else (*said, LAW_DECIDES)


def _spans(rows: tuple[ToyTest, ...], from_months: float) -> bool:
    return any(row.from_months > from_months for row in rows)

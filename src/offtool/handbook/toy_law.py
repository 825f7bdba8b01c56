"""What the public law has a toy stand before it is looked at for small parts, edges and points.

United States: 16 CFR 1500.51 to 1500.53 and 1501.4. European Union: EN 71-1, as far as its values are told in
public. Each row says its section, its value as the law writes it, and how sure that value is. Values change.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import Literal

from offtool.core.values import Caution
from offtool.handbook.defects import PRACTICE

Market = Literal["US", "EU", "other"]
MARKETS: Mapping[Market, str] = MappingProxyType(
    {"US": "United States", "EU": "European Union", "other": "another market"}
)


def markets_named(words: str) -> tuple[Market, ...]:
    """The markets that a text names, such as "US EU", in the order of MARKETS; none for a blank one.

    Raises ValueError with the first word that is none.
    """
    named = {word.casefold(): word for word in words.replace(",", " ").replace(";", " ").split()}
    found = tuple(one for one in MARKETS if named.pop(one.casefold(), ""))
    if named:
        raise ValueError(next(iter(named.values())))
    return found


ToyTestKind = Literal["drop", "impact", "bite", "flexure", "torque", "tension", "seam", "compression"]
TOY_TESTS_NAMED: Mapping[ToyTestKind, str] = MappingProxyType(
    {
        "drop": "drop test",
        "impact": "impact of a weight",
        "bite": "bite test",
        "flexure": "flexure test",
        "torque": "torque test",
        "tension": "tension test",
        "seam": "tension test of sewn seams",
        "compression": "compression test",
    }
)
"""In the order in which a sample goes through them: tension follows torque on the same sample."""

ONLY_WHERE: Mapping[ToyTestKind, str] = MappingProxyType(
    {
        "flexure": "only where wire or metal stiffens a part that bends",
        "seam": "only where seams of a stuffed toy are sewn",
    }
)
"""Tests that are asked of some toys only; the others of every toy of the age."""


class Surety(StrEnum):
    """How sure a value is."""

    READ = "read in the text of the law"
    TOLD = "read in texts about the standard, not in its own"
    MEMORY = "from memory"


INCH_MM = 25.4
IN_SI: Mapping[str, tuple[float, str]] = MappingProxyType(
    {
        "in·lbf": (0.0254 * 4.4482216152605, "N·m"),
        "lbf": (4.4482216152605, "N"),
        "ft": (0.3048, "m"),
        "lb": (0.45359237, "kg"),
        "N·m": (1.0, "N·m"),
        "N": (1.0, "N"),
        "mm": (0.001, "m"),
        "kg": (1.0, "kg"),
    }
)
"""Units as the laws write them; exact by definition."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ToyTest:
    """One test for one age: over `from_months`, up to and with `to_months`.

    `value` is the load, or the height of a fall, as the law writes it; `si` the same in SI units. `times` is
    how often one sample is dropped or struck. `below` is the mass, in `mass_unit`, from which on the test is
    not made; None where there is no such limit.
    """

    test: ToyTestKind
    market: Market
    from_months: float
    to_months: float
    value: float
    unit: str
    tolerance: float
    section: str
    text: str
    surety: Surety
    tried: str
    how: str
    part: str = ""
    times: int = 1
    below: float | None = None
    mass_unit: str = "lb"
    note: str = ""

    @property
    def title(self) -> str:
        """The test in words, with the part it is for."""
        name = TOY_TESTS_NAMED[self.test]
        return f"{name}, {self.part}" if self.part else name

    @property
    def in_law(self) -> str:
        """The value as the law writes it."""
        return f"{self.value:g} {self.unit}"

    @property
    def si(self) -> float:
        return self.value * IN_SI[self.unit][0]

    @property
    def si_unit(self) -> str:
        return IN_SI[self.unit][1]

    @property
    def below_kg(self) -> float | None:
        return None if self.below is None else self.below * IN_SI[self.mass_unit][0]


@dataclass(frozen=True, slots=True, kw_only=True)
class SmallPartsCylinder:
    """The gauge for small parts: a cylinder open above, whose floor slants from a shallow to a deep side."""

    diameter_mm: float
    shallow_mm: float
    deep_mm: float
    section: str
    below_months: float
    text: str
    surety: Surety


CFR_2007 = "Code of Federal Regulations, edition of 1 January 2007"
CFR_2011 = "Code of Federal Regulations, edition of 1 January 2011"
EN_71_1 = "EN 71-1:2014+A1:2018 as told in public texts"
NOT_OPEN = "no text was open when this was written"

SMALL_PARTS = SmallPartsCylinder(
    diameter_mm=1.25 * INCH_MM,
    shallow_mm=1.00 * INCH_MM,
    deep_mm=2.25 * INCH_MM,
    section="16 CFR 1501.4, figure 1; EN 71-1, 8.2, has the same gauge",
    below_months=36,
    text="16 CFR 1501.4, text read in a copy of the current code; its figure was not open",
    surety=Surety.MEMORY,
)
"""The inches govern (1501.4(a)); the millimetres that the law prints, 31.7, 25.4 and 57.1, are rounded."""

LAW_DECIDES = Caution(
    "An accredited laboratory and the law of the place of sale decide, on pieces made as they will be sold. "
    "These values may have changed since they were written down: compare them with the text in force. This "
    "is no legal advice.",
    "16 CFR 1500.50 to 1500.53 and 1501; EN 71-1",
)
"""Said wherever a value of the law is used."""

TRY_WITH_CARE = Caution(
    "Parts fly when they break, and presses pinch: guard the sample, wear eye protection; trained people "
    "test by the local rules.",
    PRACTICE,
)
"""Said wherever pieces are broken."""

EARS_AND_SPLINTERS = Caution(
    "Wear ear protection where pieces break or fall again and again. Splinters and edges cut, "
    "and none goes back among toys.",
    PRACTICE,
)
MORE_STANDARDS = Caution(
    "In the United States 16 CFR 1250 binds toys to a further safety standard with tests of its own. "
    "Chemical limits, flammability and labels are not told here.",
    "16 CFR 1250.2, from memory",
)
ONLY_UNDER_THREE = Caution(
    "In the European Union these tests are made on every toy for children under 36 months; from 36 months on "
    "only on particular toys: ask the laboratory which.",
    "EN 71-1, clauses 4 and 5, from memory",
)
ON_THE_EDGE = Caution(
    "By its words the law of the United States counts a child of exactly 18 or 36 months with the younger; a "
    "toy marked from that age on is told here as one for the older. Ask the laboratory which it takes.",
    "16 CFR 1500.51(a) to 1500.53(a), read in the text of 2007",
)
MAY_NEED_WARNING = Caution(
    "In the United States a toy for 3 to 6 years that has a small part as it is sold carries a warning about "
    "it; other places ask the like.",
    "16 CFR 1500.19, from memory",
)
NOTHING_KNOWN = Caution(
    "Nothing is known here of the law of this market: ask an accredited laboratory there which tests it "
    "makes."
)

MOST_STRINGENT = "16 CFR 1500.50(b)(1)(ii)"
"""A toy for more than one age group stands the most stringent of their tests; read in the text of 2007."""

_GRASPED = "any projection that a child can grasp with thumb and forefinger or the teeth"
_WITHIN = "evenly within 5 s, held 10 s"
_TORQUE = (
    "evenly within 5 s, until the torque or 180 degrees are reached, held 10 s; then the other way round"
)
_TENSION = f"{_WITHIN}; on the sample that had the torque test"
_BENT = "bent 60 degrees one way, then 120 degrees back and forth, 30 cycles"
_HIDDEN = "faces that the floor does not reach in the drop test"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Section:
    """What differs between the three sections; heights in ft, loads in lbf, torque in in·lbf, mass in lb."""

    section: str
    ages: tuple[float, float]
    drops: int
    height: float
    below: float
    bite: float
    flexure: float
    torque: float
    tension: float
    seam: float
    compression: float
    read: Mapping[ToyTestKind, str]
    """Tests whose value was read in the text, and in which edition; the others are from memory."""


_SECTIONS = (
    _Section(
        section="1500.51",
        ages=(0, 18),
        drops=10,
        height=4.5,
        below=3.0,
        bite=25,
        flexure=10,
        torque=2,
        tension=10,
        seam=10,
        compression=20,
        read={"torque": CFR_2007, "seam": CFR_2007},
    ),
    _Section(
        section="1500.52",
        ages=(18, 36),
        drops=4,
        height=3.0,
        below=4.0,
        bite=50,
        flexure=15,
        torque=3,
        tension=15,
        seam=15,
        compression=25,
        read={"compression": CFR_2011},
    ),
    _Section(
        section="1500.53",
        ages=(36, 96),
        drops=4,
        height=3.0,
        below=10.0,
        bite=100,
        flexure=15,
        torque=4,
        tension=15,
        seam=15,
        compression=30,
        read={"drop": CFR_2007},
    ),
)

_PARAGRAPHS: tuple[tuple[ToyTestKind, str, str, float, str, str], ...] = (
    (
        "drop",
        "b",
        "ft",
        0.5 / 12,
        "the whole toy; a bulky one is tipped over three times instead",
        "in any position, on vinyl tile 1/8 in thick over 2.5 in of concrete; looked at after every drop",
    ),
    ("bite", "c", "lbf", 0.5, "what fits into a child's mouth", f"between teeth of metal; {_WITHIN}"),
    (
        "flexure",
        "d",
        "lbf",
        0.5,
        "wire or metal that stiffens a part that bends",
        f"square to the wire 2 in from the body, {_BENT}, one in 2 s, a rest of 60 s after each 10",
    ),
    ("torque", "e", "in·lbf", 0.2, _GRASPED, _TORQUE),
    ("tension", "f", "lbf", 0.5, _GRASPED, f"{_TENSION}; along the axis, then square to it"),
    ("seam", "f", "lbf", 0.5, "seams of stuffed toys of cloth", "in any direction"),
    ("compression", "g", "lbf", 0.5, _HIDDEN, f"with a rigid disc of 1.125 in, its edge rounded; {_WITHIN}"),
)
"""Test, paragraph, unit, tolerance, what is tried, and how: the same words in all three sections."""

_NOTES: Mapping[ToyTestKind, str] = MappingProxyType(
    {
        "drop": "the mass limit was read in the text of 2007",
        "bite": "left out before the look for small parts (16 CFR 1501.4(b)(2))",
    }
)


def _american(law: _Section) -> tuple[ToyTest, ...]:
    """The tests of one section, in the order of its paragraphs."""
    return tuple(
        ToyTest(
            test=test,
            market="US",
            from_months=law.ages[0],
            to_months=law.ages[1],
            value=law.height if test == "drop" else getattr(law, test),
            unit=unit,
            tolerance=tolerance,
            section=f"16 CFR {law.section}({paragraph})",
            text=law.read.get(test, NOT_OPEN),
            surety=Surety.READ if test in law.read else Surety.MEMORY,
            tried=tried,
            how=how,
            times=law.drops if test == "drop" else 1,
            below=law.below if test == "drop" else None,
            note=_NOTES.get(test, ""),
        )
        for test, paragraph, unit, tolerance, tried, how in _PARAGRAPHS
    )


_EUROPEAN: tuple[tuple[ToyTestKind, str, float, str, float, Surety, str, str, str], ...] = (
    (
        *("drop", "8.5", 850, "mm", 50, Surety.TOLD, ""),
        "the whole toy; not a large and bulky one",
        "in its worst position, on steel 4 mm thick with a coat of 2 mm, 75 Shore A",
    ),
    (
        *("impact", "8.7", 100, "mm", 2, Surety.TOLD, ""),
        "the toy lying in its worst position on a steel plate",
        "a weight of 1 kg, 80 mm across, falls on it once",
    ),
    ("flexure", "8.13", 70, "N", 2, Surety.MEMORY, "", "metal wire that stiffens a part that bends", _BENT),
    ("torque", "8.3", 0.34, "N·m", 0.02, Surety.TOLD, "", _GRASPED, _TORQUE),
    ("tension", "8.4", 50, "N", 2, Surety.TOLD, "part of 6 mm or less", _GRASPED, _TENSION),
    ("tension", "8.4", 90, "N", 2, Surety.TOLD, "part above 6 mm", _GRASPED, _TENSION),
    ("seam", "8.4", 70, "N", 2, Surety.MEMORY, "", "seams of soft-filled toys", _WITHIN),
    ("compression", "8.8", 110, "N", 5, Surety.TOLD, "", _HIDDEN, f"with a rigid disc of 30 mm; {_WITHIN}"),
)
"""Test, clause, value, unit, tolerance, how sure, which part, what is tried, and how."""

TOY_TESTS: tuple[ToyTest, ...] = (
    *(row for law in _SECTIONS for row in _american(law)),
    *(
        ToyTest(
            test=test,
            market="EU",
            from_months=0,
            to_months=36,
            value=value,
            unit=unit,
            tolerance=tolerance,
            section=f"EN 71-1, {clause}",
            text=EN_71_1 if surety is Surety.TOLD else NOT_OPEN,
            surety=surety,
            tried=tried,
            how=how,
            part=part,
            times=5 if test == "drop" else 1,
            below=4.5 if test == "drop" else None,
            mass_unit="kg",
            note="the mass limit is from memory" if test == "drop" else "",
        )
        for test, clause, value, unit, tolerance, surety, part, tried, how in _EUROPEAN
    ),
)
"""Every row; there is none for another market."""

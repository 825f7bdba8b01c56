"""The unit of a drawing that does not say it: what the part would be in each, and which are plausible."""

from __future__ import annotations

from dataclasses import dataclass

from offtool.core.formulas import formula
from offtool.core.values import Caution, ImpossibleInput, Range
from offtool.handbook.defects import PRACTICE

MM_PER = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4}
"""Millimetres in each unit; an inch is 25.4 mm by definition."""
LEAST_MM, MOST_MM = 2.0, 1000.0
"""The longest side of a moulded part; common practice, no source."""
ASK = Caution("the unit is a guess from the size alone: ask who made the file, or measure one side")


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitTried:
    """The part as it would be in one unit."""

    unit: str
    box_mm: tuple[float, float, float]
    is_plausible: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitGuess:
    """What the part would measure in each unit; `guess` is empty where none or several are as likely."""

    guess: str
    tried: tuple[UnitTried, ...]
    words: str
    x: float
    y: float
    z: float
    cautions: tuple[Caution, ...] = ()


_SIDE = Range(meaning="side of the box as the file has it, without a unit", at_least=0, at_most=1e9)


@formula(
    limits={"x": _SIDE, "y": _SIDE, "z": _SIDE},
    example={"x": 1.575, "y": 0.984, "z": 0.63},
    source=f"25.4 mm to the inch by definition; which sizes are plausible: {PRACTICE}",
)
def guess_unit(x: float, y: float, z: float) -> UnitGuess:
    """In which unit a drawing can be that does not say it, by the size of its box.

    Each side times the millimetres of the unit; a moulded part has a longest side of 2 to 1000 mm.

    Returns: UnitGuess; a guess only where one unit alone is plausible. Raises: ImpossibleInput for a box
    without any extent.

    Holds when: the part is moulded. Several units are plausible as a rule, and then only a person can say.

    Example: 1.575 x 0.984 x 0.63 is no part in mm (1.6 mm long), and one of 40 mm in inches.
    """
    if max(x, y, z) <= 0:
        raise ImpossibleInput("x", x, "", "the box has no extent", "give the sides of the part")
    tried = tuple(_tried(unit, factor, (x, y, z)) for unit, factor in MM_PER.items())
    plausible = [one.unit for one in tried if one.is_plausible]
    guess = plausible[0] if len(plausible) == 1 else ""
    return UnitGuess(guess=guess, tried=tried, words=_words(tried, plausible), x=x, y=y, z=z, cautions=(ASK,))


def _tried(unit: str, factor: float, box: tuple[float, float, float]) -> UnitTried:
    x, y, z = (side * factor for side in box)
    return UnitTried(unit=unit, box_mm=(x, y, z), is_plausible=LEAST_MM <= max(x, y, z) <= MOST_MM)


def _words(tried: tuple[UnitTried, ...], plausible: list[str]) -> str:
    sizes = "; ".join(f"in {_named(one.unit)} {box_in_words(one.box_mm)}" for one in tried)
    if not plausible:
        return f"plausible for a moulded part in no unit: {sizes}"
    return f"plausible in {' or '.join(map(_named, plausible))}: {sizes}"


def _named(unit: str) -> str:
    return "inches" if unit == "in" else unit


def box_in_words(box_mm: tuple[float, float, float]) -> str:
    """40 × 25 × 16 mm."""
    return " × ".join(f"{side:.3g}" if side < 1000 else f"{side:.0f}" for side in box_mm) + " mm"

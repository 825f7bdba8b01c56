"""What walls, temperatures and heat at the press may be."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from offtool.core.values import Caution, ImpossibleInput, Range, nearest
from offtool.handbook.defects import PRACTICE
from offtool.handbook.moulding import MOULDING_RESINS, MouldingResin, moulding_resin

IN_C = "give it in °C, not in °F"

LIMITS: Mapping[str, Range] = MappingProxyType(
    {
        "wall_mm": Range(
            meaning="wall, from steel to steel",
            unit="mm",
            above=0,
            at_most=100,
            usual=(0.4, 8),
            source=PRACTICE,
            remedy="measure the thickest wall, in mm",
        ),
        "diameter_mm": Range(
            meaning="diameter of a round pin, boss or sprue",
            unit="mm",
            above=0,
            at_most=100,
            usual=(0.5, 15),
            source=PRACTICE,
            remedy="give it in mm",
        ),
        "melt_c": Range(
            meaning="temperature of the melt",
            unit="°C",
            at_least=-50,
            at_most=500,
            usual=(130, 420),
            source=PRACTICE,
            remedy=IN_C,
        ),
        "mould_c": Range(
            meaning="surface of the mould while it runs",
            unit="°C",
            at_least=-50,
            at_most=300,
            usual=(5, 180),
            source=PRACTICE,
            remedy=IN_C,
        ),
        "eject_c": Range(
            meaning="temperature at which the part can be pushed out",
            unit="°C",
            at_least=-50,
            at_most=400,
            usual=(30, 250),
            source=PRACTICE,
            remedy=IN_C,
        ),
        "diffusivity_mm2_s": Range(
            meaning="thermal diffusivity, a mean from melt to ejection",
            unit="mm²/s",
            above=0,
            at_most=200,
            usual=(0.04, 0.3),
            source=PRACTICE,
            remedy="of a resin it is about 0.1 mm²/s: 0.1e-6 m²/s is 0.1 mm²/s",
        ),
    }
)

RESIN = Range(meaning="resin code, such as ABS")


def known_resin(code: str) -> MouldingResin:
    """The handbook's row. Raises: ImpossibleInput for a code that is not on the list."""
    found = moulding_resin(code)
    if found is None:
        remedy = nearest(code.upper(), MOULDING_RESINS)
        raise ImpossibleInput(
            "resin", code or "blank", "", "is not on the list of resins at the press", remedy
        )
    return found


def refuse_crossed(melt_c: float, mould_c: float, eject_c: float) -> None:
    """A part is pushed out between the temperatures of mould and melt. Raises: ImpossibleInput."""
    if melt_c <= mould_c:
        raise ImpossibleInput(
            "melt_c", melt_c, "°C", f"must be above the mould, {mould_c:g} °C", "check which is which"
        )
    if eject_c <= mould_c:
        remedy = "a part never gets colder than the mould: cool the mould, or eject it warmer"
        raise ImpossibleInput("eject_c", eject_c, "°C", f"must be above the mould, {mould_c:g} °C", remedy)
    if eject_c >= melt_c:
        remedy = "give the temperature at which the part holds its shape"
        raise ImpossibleInput("eject_c", eject_c, "°C", f"must be below the melt, {melt_c:g} °C", remedy)


def about_resin(resin: MouldingResin) -> tuple[Caution, ...]:
    """That the handbook speaks of a family."""
    return (
        Caution(
            f"{resin.code} is taken as a family: grade, filler and colour move temperatures and heat; the "
            "sheet of the grade decides",
            resin.heat_source,
        ),
    )

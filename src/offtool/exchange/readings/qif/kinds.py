"""What each kind of characteristic of QIF measures, and how its single tolerance bounds it."""

from __future__ import annotations

import re
from enum import StrEnum

from offtool.exchange.readings.units import DEG, GRAM, MM, NEWTON


class Quantity(StrEnum):
    """What a number is of; the value is the base unit its readings are given in."""

    LENGTH = MM
    ANGLE = DEG
    FORCE = NEWTON
    MASS = GRAM


ITEM, NOMINAL, DEFINITION = (
    "CharacteristicItem",
    "CharacteristicNominal",
    "CharacteristicDefinition",
)
MEASURED = ("CharacteristicMeasurement", "CharacteristicActual")
"""What the element of a measurement ends with, in 3.0 and in 2.1."""

_ANGLES = {"Angle", "AngleBetween", "AngleFrom", "AngularCoordinate", "UserDefinedAngular"}
_NO_SIZES = {
    "ConicalTaper",
    "FlatTaper",
    "SurfaceTexture",
    "Thread",
    "UserDefinedArea",
    "UserDefinedAttribute",
    "UserDefinedPressure",
    "UserDefinedSpeed",
    "UserDefinedTemperature",
    "UserDefinedTime",
    "UserDefinedUnit",
}
_BOTH_WAYS = {"PointProfile"}
"""Kinds whose reading is a deviation with a sign: the zone lies half outside, half inside."""

_HUMP = re.compile(r"(?<=[a-z])(?=[A-Z])")


def kind_of(tag: str, *endings: str) -> str:
    """The kind in the name of an element: Diameter of DiameterCharacteristicItem; empty if it is none."""
    return next((tag.removesuffix(ending) for ending in endings if tag.endswith(ending)), "")


def quantity_of(kind: str) -> Quantity | None:
    """What a kind measures; None for a kind that gives no size, angle, force or mass."""
    if kind in _NO_SIZES or kind.startswith("Weld"):
        return None
    special = {"UserDefinedForce": Quantity.FORCE, "UserDefinedMass": Quantity.MASS}
    return Quantity.ANGLE if kind in _ANGLES else special.get(kind, Quantity.LENGTH)


def lies_both_ways(kind: str) -> bool:
    """Whether readings of a kind have a sign, so that half of its tolerance bounds each side."""
    return kind in _BOTH_WAYS


def in_words(kind: str) -> str:
    """A kind as it is said: "Distance between"."""
    return _HUMP.sub(" ", kind).capitalize()

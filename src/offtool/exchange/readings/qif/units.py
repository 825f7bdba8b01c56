"""The units a QIF file states: the primary ones, and others that single numbers name."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import isfinite, pi

from offtool.exchange.readings.numbers import Unread
from offtool.exchange.readings.qif.document import Document, Element
from offtool.exchange.readings.qif.kinds import Quantity
from offtool.exchange.readings.table import FileRefused
from offtool.exchange.readings.units import CONVERTED_DECIMALS, Unit, find_unit

_ELEMENT = {
    Quantity.LENGTH: "LinearUnit",
    Quantity.ANGLE: "AngularUnit",
    Quantity.FORCE: "ForceUnit",
    Quantity.MASS: "MassUnit",
}
_ATTRIBUTE = {
    Quantity.LENGTH: "linearUnit",
    Quantity.ANGLE: "angularUnit",
    Quantity.FORCE: "forceUnit",
    Quantity.MASS: "massUnit",
}
_BASE_PER_SI = {Quantity.LENGTH: 1000.0, Quantity.ANGLE: 180 / pi, Quantity.FORCE: 1.0, Quantity.MASS: 1000.0}
_SI_NAMES = {
    "m": Quantity.LENGTH,
    "radian": Quantity.ANGLE,
    "radians": Quantity.ANGLE,
    "rad": Quantity.ANGLE,
    "kilogram": Quantity.MASS,
}
_ROUNDED = 1e-6
"""Files round the factor of a degree to six figures and more."""

_UNKNOWN = Unread("is in a unit that the file does not explain", "state its conversion among the units")
_NO_ANGLE = Unread(
    "is an angle without a unit: the standard then means radians, many files mean degrees",
    "state the angular unit among the primary units of the file",
)


@dataclass(frozen=True, slots=True)
class Stated:
    """Numbers of one unit; None where the file states no unit, and numbers stand as they are."""

    unit: Unit | None

    def converted(self, number: float) -> float:
        """The number in the base unit."""
        if self.unit is None or self.unit.factor == 1.0:
            return number
        return round(number * self.unit.factor, CONVERTED_DECIMALS)


class FileUnits:
    """Finds the unit of a number. Raises FileRefused for units whose name and conversion disagree."""

    def __init__(self, document: Document, where: str) -> None:
        self._where = where
        self._declared: dict[tuple[Quantity, str], float] = {}
        self._primary: dict[Quantity, str] = {}
        self._found: dict[tuple[Quantity, str], Stated | Unread] = {}
        units = document.parts.get("FileUnits")
        for quantity, element, is_primary in _units(units) if units else ():
            name = element.said("UnitName") or element.said("SIUnitName")
            factor = element.said("UnitConversion", "Factor")
            if is_primary:
                self._primary.setdefault(quantity, name)
            if factor:
                offset = element.said("UnitConversion", "Offset")
                self._declared[quantity, name.casefold()] = self._factor(quantity, name, factor, offset)

    def of(self, quantity: Quantity, number: Element) -> Stated | Unread:
        """The unit of a number, by its own attribute, else the primary one of the file."""
        name = number.attributes.get(_ATTRIBUTE[quantity], "") or self._primary.get(quantity, "")
        name = " ".join(name.split())
        if not name:
            return _NO_ANGLE if quantity is Quantity.ANGLE else Stated(None)
        found = self._found.get((quantity, name))
        if found is None:
            found = self._found[quantity, name] = self._look_up(quantity, name)
        return found

    def _factor(self, quantity: Quantity, name: str, factor: str, offset: str) -> float:
        try:
            number, shift = float(factor), float(offset or 0)
        except ValueError:
            number, shift = 0.0, 0.0
        if not 0 < number < float("inf") or shift != 0 or not isfinite(number * _BASE_PER_SI[quantity]):
            raise self._contradicts(name, factor)
        return number * _BASE_PER_SI[quantity]

    def _look_up(self, quantity: Quantity, name: str) -> Stated | Unread:
        known = _known(quantity, name)
        declared = self._declared.get((quantity, name.casefold()))
        if known is None:
            return _UNKNOWN if declared is None else Stated(Unit(name, quantity.value, declared))
        if known.base != quantity.value or (
            declared is not None and abs(declared / known.factor - 1) > _ROUNDED
        ):
            raise self._contradicts(name, str(declared))
        return Stated(known)

    def _contradicts(self, name: str, factor: str) -> FileRefused:
        return FileRefused(
            f"calls a unit {name[:40]!r} and converts it by {factor[:40]}, which it is not",
            where=self._where,
            remedy="mend the units of the file: a conversion leads to metres, radians, newtons or kilograms",
        )


def _units(units: Element) -> Iterator[tuple[Quantity, Element, bool]]:
    for group in units.children:
        for quantity, tag in _ELEMENT.items():
            for element in group.all(tag):
                yield quantity, element, group.tag == "PrimaryUnits"


def _known(quantity: Quantity, name: str) -> Unit | None:
    if _SI_NAMES.get(name.casefold()) is quantity:
        return Unit(name, quantity.value, _BASE_PER_SI[quantity])
    return find_unit(name)

"""Nominal, limits and unit of one characteristic, from the cells that state them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from offtool.exchange.readings.grid import Cell, SpoiledCell, cell_text
from offtool.exchange.readings.ledger import Ledger
from offtool.exchange.readings.numbers import Unread
from offtool.exchange.readings.sizes import Deviations, Size, limit, read_size, read_tolerance
from offtool.exchange.readings.text import plain
from offtool.exchange.readings.units import BASE, DEG, Unit, find_unit
from offtool.exchange.readings.words import MISSING, Role


@dataclass(frozen=True, slots=True)
class Spot:
    """One cell and where it stands; rows and columns count from 0."""

    cell: Cell
    row: int
    column: int

    @property
    def text(self) -> str:
        return cell_text(self.cell)

    @property
    def says_nothing(self) -> bool:
        return plain(self.text).casefold() in MISSING


@dataclass(frozen=True, slots=True)
class Specification:
    """What a file asks of a characteristic; limits in the base unit, ``unit`` as the readings are written."""

    unit: Unit | None = None
    nominal: float | None = None
    lower: float | None = None
    upper: float | None = None


_UNKNOWN_UNIT = Unread(
    "is no unit that is known here", "use mm, µm, inch, deg, g, N or N·m; the numbers stand as they are"
)
_NO_NOMINAL = Unread("is a tolerance without a nominal", "give the nominal, or the limits themselves")
_UPSIDE_DOWN = Unread("lies below the lower limit", "check whether the limits are exchanged; they are left out")
_OTHER_KIND = Unread("is in another kind of unit than the readings", "give both in the same unit")
_BARE_NUMBER = "0123456789.,+-−"


class SpecificationReader:
    """Reads specifications in a file with one decimal mark; ``unsigned_below`` when lower tolerances lack signs."""

    def __init__(self, decimal: str, ledger: Ledger, *, unsigned_below: bool) -> None:
        self._decimal, self._ledger, self._unsigned_below = decimal, ledger, unsigned_below

    def read(self, spots: Mapping[Role, Spot], heading: Unit | None, nominal_heading: Unit | None) -> Specification:
        """``heading`` is the unit over the readings, ``nominal_heading`` the one over the nominal.

        A unit in the characteristic's own cells goes before one in a heading; a degree sign at the nominal
        goes before a heading for the whole table, which often says mm over angles too.
        """
        nominal = self._size(spots.get(Role.NOMINAL)) or self._size_in_name(spots.get(Role.CHARACTERISTIC))
        unit = self._unit(spots.get(Role.UNIT))
        if unit is None and nominal and nominal.unit and nominal.unit.base == DEG:
            unit = BASE[DEG]
        unit = unit or heading or nominal_heading or (nominal.unit if nominal else None)
        written = (nominal.unit if nominal else None) or nominal_heading or unit
        if unit and written and unit.base != written.base:
            spot = spots.get(Role.NOMINAL) or spots[Role.CHARACTERISTIC]
            self._ledger.refuse(spot.row, spot.column, spot.text, _OTHER_KIND)
            return Specification(unit)
        lower, upper = self._limits(spots, nominal or Size())
        factor = written.factor if written else 1.0
        return Specification(unit, *(_scaled(x, factor) for x in (nominal.nominal if nominal else None, lower, upper)))

    def _unit(self, spot: Spot | None) -> Unit | None:
        if spot is None or spot.says_nothing:
            return None
        unit = find_unit(spot.text)
        if not unit:
            self._ledger.refuse(spot.row, spot.column, spot.text, _UNKNOWN_UNIT)
        return unit

    def _size(self, spot: Spot | None) -> Size | None:
        """The size in a cell; what is more than a bare number is listed as a repair."""
        if spot is None or spot.says_nothing:
            return None
        size = read_size(spot.text, self._decimal)
        if isinstance(spot.cell, SpoiledCell):
            size = Unread(spot.cell.why, spot.cell.remedy)
        if isinstance(size, Unread):
            self._ledger.refuse(spot.row, spot.column, spot.text, size)
            return None
        if spot.text.strip().strip(_BARE_NUMBER):
            self._ledger.repair(spot.row, spot.column, spot.text, _in_words(size), "a size written as on a drawing")
        return size

    def _size_in_name(self, spot: Spot | None) -> Size | None:
        """The size when a name is one ("⌀4.00±0.05"); names that are none say nothing about it."""
        if spot is None or not isinstance(spot.cell, str) or not spot.text.strip(_BARE_NUMBER + " "):
            return None
        size = read_size(spot.text, self._decimal)
        if isinstance(size, Unread):
            return None
        self._ledger.repair(spot.row, spot.column, spot.text, _in_words(size), "a name that is a size of the drawing")
        return size

    def _limits(self, spots: Mapping[Role, Spot], size: Size) -> tuple[float | None, float | None]:
        lower, upper = size.lower, size.upper
        deviations = self._tolerance(spots.get(Role.TOLERANCE)) or self._deviations(spots)
        if isinstance(deviations, Size):
            lower, upper = deviations.lower, deviations.upper
        elif deviations and size.nominal is None:
            spot = next(spots[role] for role in (Role.TOLERANCE, Role.UPPER_DEVIATION, Role.LOWER_DEVIATION) if role in spots)
            self._ledger.refuse(spot.row, spot.column, spot.text, _NO_NOMINAL)
        elif deviations and size.nominal is not None:
            lower, upper = limit(size.nominal, deviations.lower), limit(size.nominal, deviations.upper)
        low_spot, high_spot = spots.get(Role.LOWER_LIMIT), spots.get(Role.UPPER_LIMIT)
        low, high = self._one_limit(low_spot), self._one_limit(high_spot)
        if size.nominal is not None and low is not None and high is not None and low <= 0 <= high < size.nominal:
            for spot, deviation in ((low_spot, low), (high_spot, high)):
                self._repair_deviation(spot, limit(size.nominal, deviation))
            low, high = limit(size.nominal, low), limit(size.nominal, high)
        lower, upper = (lower if low is None else low), (upper if high is None else high)
        if lower is not None and upper is not None and lower > upper:
            spot = high_spot or next(iter(spots.values()))
            self._ledger.refuse(spot.row, spot.column, spot.text, _UPSIDE_DOWN)
            return None, None
        return lower, upper

    def _tolerance(self, spot: Spot | None) -> Deviations | Size | None:
        if spot is None or spot.says_nothing:
            return None
        found: Deviations | Size | Unread = read_tolerance(spot.text, self._decimal)
        if isinstance(found, Unread):
            span = read_size(spot.text, self._decimal)
            found = span if isinstance(span, Size) and (span.lower is not None or span.upper is not None) else found
        if isinstance(found, Unread):
            self._ledger.refuse(spot.row, spot.column, spot.text, found)
            return None
        return found

    def _deviations(self, spots: Mapping[Role, Spot]) -> Deviations | None:
        upper, lower = (self._one_limit(spots.get(role)) for role in (Role.UPPER_DEVIATION, Role.LOWER_DEVIATION))
        if upper is None and lower is None:
            return None
        if lower is not None and self._unsigned_below and not spots[Role.LOWER_DEVIATION].text.strip().startswith("+"):
            lower = -abs(lower)
        return Deviations(upper or 0.0, lower or 0.0)

    def _one_limit(self, spot: Spot | None) -> float | None:
        size = self._size(spot)
        if size is None:
            return None
        return next((x for x in (size.nominal, size.upper, size.lower) if x is not None), None)

    def _repair_deviation(self, spot: Spot | None, read_as: float) -> None:
        if spot:
            why = "a limit far below the nominal is a deviation from it"
            self._ledger.repair(spot.row, spot.column, spot.text, f"{read_as:.10g}", why)


def _scaled(value: float | None, factor: float) -> float | None:
    return value if value is None or factor == 1.0 else value * factor


def _in_words(size: Size) -> str:
    parts = (("nominal", size.nominal), ("lower limit", size.lower), ("upper limit", size.upper))
    return ", ".join(f"{name} {value:.10g}" for name, value in parts if value is not None)

"""Nominal, limits and unit of one characteristic, from the cells that state them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from offtool.exchange.readings.grid import Cell, SpoiledCell, cell_text
from offtool.exchange.readings.ledger import Ledger
from offtool.exchange.readings.numbers import Unread
from offtool.exchange.readings.sizes import Deviations, Size, limit, read_size, read_tolerance
from offtool.exchange.readings.text import plain
from offtool.exchange.readings.units import BASE, CONVERTED_DECIMALS, DEG, Unit, find_unit
from offtool.exchange.readings.words import MISSING, Role


@dataclass(frozen=True, slots=True)
class Spot:
    """One cell, where it stands, counted from 0, and the unit in its heading."""

    cell: Cell
    row: int
    column: int
    heading_unit: Unit | None = None

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
_UPSIDE_DOWN = Unread(
    "lies below the lower limit", "check whether the limits are exchanged; both are left out"
)
_OTHER_KIND = Unread("is in another kind of unit than the readings", "give both in the same unit")
_OF_BARE_NUMBERS = "0123456789.,+-−"


class SpecificationReader:
    """Reads specifications of one file; ``unsigned_below`` when its lower tolerances have no signs."""

    def __init__(self, decimal: str, ledger: Ledger, *, unsigned_below: bool) -> None:
        self._decimal, self._ledger, self._unsigned_below = decimal, ledger, unsigned_below

    def attempt(self, spots: Mapping[Role, Spot], heading: Unit | None) -> Specification | None:
        """What cells say that may not be of a characteristic at all; None when they cannot be read as one."""
        tried = Ledger("")
        reader = SpecificationReader(self._decimal, tried, unsigned_below=self._unsigned_below)
        specification = reader.read(spots, heading)
        return None if tried.refused() else specification

    def read(self, spots: Mapping[Role, Spot], heading: Unit | None) -> Specification:
        """``heading`` is the unit stated over the readings or for the whole table.

        A unit in the characteristic's own cells goes before it; so does a degree sign at the nominal, since a
        heading for the whole table often says mm over angles too.
        """
        spot = spots.get(Role.NOMINAL)
        size = self._size(spot)
        if size is None:
            spot = spots.get(Role.CHARACTERISTIC)
            size = self._size_in_name(spot)
        at_nominal = (size.unit if size else None) or (spot.heading_unit if size and spot else None)
        unit = self._unit(spots.get(Role.UNIT))
        if unit is None and at_nominal and at_nominal.base == DEG:
            unit = BASE[DEG]
        unit = unit or heading or at_nominal
        written = at_nominal or unit
        if spot and unit and written and unit.base != written.base:
            self._refuse(spot, _OTHER_KIND)
            return Specification(unit)
        size = size or Size()
        lower, upper = self._limits(spots, size, written)
        factor = written.factor if written else 1.0
        return Specification(unit, *(_scaled(number, factor) for number in (size.nominal, lower, upper)))

    def _refuse(self, spot: Spot, refusal: Unread) -> None:
        self._ledger.refuse(spot.row, spot.column, spot.text, refusal)

    def _unit(self, spot: Spot | None) -> Unit | None:
        if spot is None or spot.says_nothing:
            return None
        unit = find_unit(spot.text)
        if not unit:
            self._refuse(spot, _UNKNOWN_UNIT)
        return unit

    def _size(self, spot: Spot | None) -> Size | None:
        """The size in a cell; what is more than a bare number is listed as a repair."""
        if spot is None or spot.says_nothing:
            return None
        if isinstance(spot.cell, SpoiledCell):
            self._refuse(spot, spot.cell.refusal)
            return None
        size = read_size(spot.text, self._decimal)
        if isinstance(size, Unread):
            self._refuse(spot, size)
            return None
        if spot.text.strip().strip(_OF_BARE_NUMBERS):
            self._repair(spot, _in_words(size), "a size written as on a drawing")
        return size

    def _size_in_name(self, spot: Spot | None) -> Size | None:
        """The size when a name is one ("⌀4.00±0.05"); other names say nothing about it."""
        if spot is None or not isinstance(spot.cell, str) or not spot.text.strip(_OF_BARE_NUMBERS + " "):
            return None
        size = read_size(spot.text, self._decimal)
        if isinstance(size, Unread):
            return None
        self._repair(spot, _in_words(size), "a name that is a size of the drawing")
        return size

    def _repair(self, spot: Spot, read_as: str, why: str) -> None:
        self._ledger.repair(spot.row, spot.column, spot.text, read_as, why)

    def _limits(
        self, spots: Mapping[Role, Spot], size: Size, written: Unit | None
    ) -> tuple[float | None, float | None]:
        """Lower and upper limit, in the unit the nominal is written in."""
        lower, upper = size.lower, size.upper
        below, above = self._tolerance(spots, size, written)
        lower, upper = (lower if below is None else below), (upper if above is None else above)
        low_spot, high_spot = spots.get(Role.LOWER_LIMIT), spots.get(Role.UPPER_LIMIT)
        low, high = self._number(low_spot, written), self._number(high_spot, written)
        if (
            size.nominal is not None
            and low is not None
            and high is not None
            and low <= 0 <= high < size.nominal
        ):
            low, high = limit(size.nominal, low), limit(size.nominal, high)
            for spot, read_as in ((low_spot, low), (high_spot, high)):
                if spot:
                    self._repair(
                        spot, f"{read_as:.10g}", "a limit far below the nominal is a deviation from it"
                    )
        lower, upper = (lower if low is None else low), (upper if high is None else high)
        if lower is not None and upper is not None and lower > upper:
            self._refuse(high_spot or low_spot or next(iter(spots.values())), _UPSIDE_DOWN)
            return None, None
        return lower, upper

    def _tolerance(
        self, spots: Mapping[Role, Spot], size: Size, written: Unit | None
    ) -> tuple[float | None, float | None]:
        """Lower and upper limit from the nominal and its tolerance, stated in one cell or in two."""
        spot = spots.get(Role.TOLERANCE)
        found = self._stated_tolerance(spot) if spot and not spot.says_nothing else None
        if spot is None or found is None:
            spot = spots.get(Role.UPPER_DEVIATION) or spots.get(Role.LOWER_DEVIATION)
            found = self._deviations(spots, written)
        if spot is None or found is None:
            return None, None
        lower, upper = (
            self._converted(spot, side, found.unit, written) for side in (found.lower, found.upper)
        )
        if isinstance(found, Size):
            return lower, upper
        if size.nominal is None or lower is None or upper is None:
            self._refuse(spot, _NO_NOMINAL)
            return None, None
        return limit(size.nominal, lower), limit(size.nominal, upper)

    def _stated_tolerance(self, spot: Spot) -> Deviations | Size | None:
        """Deviations, or limits where the cell of the tolerance gives those ("3.95~4.05")."""
        found = read_tolerance(spot.text, self._decimal)
        if isinstance(found, Deviations):
            return found
        span = read_size(spot.text, self._decimal)
        if isinstance(span, Size) and (span.lower is not None or span.upper is not None):
            return span
        self._refuse(spot, found)
        return None

    def _deviations(self, spots: Mapping[Role, Spot], written: Unit | None) -> Deviations | None:
        below = spots.get(Role.LOWER_DEVIATION)
        upper, lower = self._number(spots.get(Role.UPPER_DEVIATION), written), self._number(below, written)
        if upper is None and lower is None:
            return None
        if below and lower is not None and not below.text.strip().startswith("+"):
            # Also in a file that signs others: a lower tolerance that does not lie below the upper is a slip.
            downwards = self._unsigned_below or (upper is not None and lower >= upper)
            lower = -abs(lower) if downwards else lower
        return Deviations(upper or 0.0, lower or 0.0, written)

    def _number(self, spot: Spot | None, written: Unit | None) -> float | None:
        """The one number of a cell that gives a limit or a deviation."""
        size = self._size(spot)
        if spot is None or size is None:
            return None
        number = next((side for side in (size.nominal, size.upper, size.lower) if side is not None), None)
        return self._converted(spot, number, size.unit, written)

    def _converted(
        self, spot: Spot, number: float | None, unit: Unit | None, written: Unit | None
    ) -> float | None:
        """A number of a limit in the unit the nominal is written in."""
        unit = unit or spot.heading_unit
        if number is None or unit is None or written is None or unit.factor == written.factor:
            return number
        if unit.base != written.base:
            self._refuse(spot, _OTHER_KIND)
            return None
        return round(number * unit.factor / written.factor, CONVERTED_DECIMALS)


def _scaled(number: float | None, factor: float) -> float | None:
    return number if number is None or factor == 1.0 else round(number * factor, CONVERTED_DECIMALS)


def _in_words(size: Size) -> str:
    parts = (("nominal", size.nominal), ("lower limit", size.lower), ("upper limit", size.upper))
    return ", ".join(f"{name} {value:.10g}" for name, value in parts if value is not None)

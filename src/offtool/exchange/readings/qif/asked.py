"""What a QIF file asks of a characteristic: nominal and limits, from its nominal and its definition."""

from __future__ import annotations

from dataclasses import dataclass

from offtool.exchange.readings.ledger import Ledger
from offtool.exchange.readings.limits import MAX_SIZE
from offtool.exchange.readings.numbers import TOO_LARGE, Number, Unread
from offtool.exchange.readings.qif.document import Element
from offtool.exchange.readings.qif.kinds import Quantity, lies_both_ways
from offtool.exchange.readings.qif.numbers import read_decimal
from offtool.exchange.readings.qif.units import FileUnits, Stated
from offtool.exchange.readings.sizes import limit
from offtool.exchange.readings.units import Unit

_NO_NOMINAL = Unread("is a tolerance without a nominal", "give the nominal, or the limits themselves")
_UPSIDE_DOWN = Unread("leaves no room above the lower limit", "check the tolerance; both limits are left out")
_LIMITS_AFTER_ALL = "marked as a deviation, yet the two ends lie around the nominal: taken as a limit"


@dataclass(frozen=True, slots=True)
class Asked:
    """Nominal and limits in the base unit, and the unit the file writes them in."""

    unit: Unit | None = None
    nominal: float | None = None
    lower: float | None = None
    upper: float | None = None
    has_bonus: bool = False
    """Whether a material condition allows more than the limits say."""


class AskedReader:
    """Reads nominals and definitions of one file; what cannot be read goes into the ledger."""

    def __init__(self, units: FileUnits, ledger: Ledger) -> None:
        self._units, self._ledger = units, ledger

    def read(
        self, kind: str, quantity: Quantity, nominal: Element | None, definition: Element | None
    ) -> Asked:
        """What is asked of a characteristic of that kind."""
        target = nominal.child("TargetValue") if nominal else None
        size, unit = self._size(quantity, target)
        zone = definition.child("ToleranceValue") if definition else None
        tolerance = definition.child("Tolerance") if definition else None
        if definition and zone and zone.text:
            return self._of_zone(kind, definition, zone)
        if definition is None or tolerance is None:
            return Asked(unit, size)
        lower, upper, limit_unit = self._ends(quantity, tolerance, size)
        if lower is not None and upper is not None and lower > upper:
            self._refuse(tolerance, _UPSIDE_DOWN)
            lower = upper = None
        return Asked(unit or limit_unit, size, lower, upper)

    def _of_zone(self, kind: str, definition: Element, zone: Element) -> Asked:
        """The limits of form and position: at most the zone, or its parts on both sides of the surface."""
        width, unit = self._size(Quantity.LENGTH, zone)
        if width is None or width < 0:
            return Asked(unit)
        bonus = definition.said("MaterialCondition") in ("MAXIMUM", "LEAST")
        if not lies_both_ways(kind):
            return Asked(unit, 0.0, None, width, bonus)
        outside, _ = self._size(Quantity.LENGTH, definition.child("OuterDisposition"))
        outside = width / 2 if outside is None else outside
        return Asked(unit, 0.0, limit(outside, -width), outside, bonus)

    def _ends(
        self, quantity: Quantity, tolerance: Element, nominal: float | None
    ) -> tuple[float | None, float | None, Unit | None]:
        highest, lowest = tolerance.child("MaxValue"), tolerance.child("MinValue")
        plus, minus = tolerance.child("PlusValue"), tolerance.child("MinusValue")
        upper, unit = self._size(quantity, highest or plus)
        lower, other = self._size(quantity, lowest or minus)
        if minus and not lowest and lower is not None:
            lower = -abs(lower)
        if self._are_limits(tolerance, nominal, lower, upper):
            return lower, upper, unit or other
        if nominal is None:
            if lower is not None or upper is not None:
                self._refuse(highest or plus or lowest or minus or tolerance, _NO_NOMINAL)
            return None, None, unit or other
        return (
            None if lower is None else limit(nominal, lower),
            None if upper is None else limit(nominal, upper),
            unit or other,
        )

    def _are_limits(
        self, tolerance: Element, nominal: float | None, lower: float | None, upper: float | None
    ) -> bool:
        """Whether the ends are sizes. Deviations that both lie above 0, around the nominal, are none."""
        if tolerance.said("DefinedAsLimit") in ("true", "1"):
            return True
        if nominal is None or lower is None or upper is None or not 0 < lower <= nominal <= upper:
            return False
        for tag, read_as in (("MaxValue", upper), ("MinValue", lower)):
            end = tolerance.child(tag)
            if end:
                self._ledger.repair(
                    end.text_row - 1, end.text_column - 1, end.text, f"{read_as:.10g}", _LIMITS_AFTER_ALL
                )
        return True

    def _size(self, quantity: Quantity, element: Element | None) -> tuple[float | None, Unit | None]:
        if element is None or not element.text:
            return None, None
        stated = self._units.of(quantity, element)
        number = read_decimal(element.text)
        if isinstance(stated, Stated) and isinstance(number, Number):
            size = stated.converted(number.value)
            if abs(size) <= MAX_SIZE:
                return size, stated.unit
            number = TOO_LARGE
        self._refuse(element, stated if isinstance(stated, Unread) else number)
        return None, None

    def _refuse(self, element: Element, refusal: object) -> None:
        if isinstance(refusal, Unread):
            row, column = element.text_row or element.row, element.text_column or element.column
            self._ledger.refuse(row - 1, column - 1, element.text, refusal)

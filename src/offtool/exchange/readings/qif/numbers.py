"""A number in QIF: written plainly, with a point; what else stands there is explained as in any table."""

from __future__ import annotations

from offtool.exchange.readings.cells import Found, Missing, read_value
from offtool.exchange.readings.numbers import POINTED, Number, Unread, sized

_NOTHING = Unread("says that nothing was measured", "leave the value out")
_WITH_UNIT = Unread("has a unit in it", "name the unit in an attribute of the value")


def read_decimal(text: str) -> Number | Unread:
    """The number in a value, nominal or limit."""
    if POINTED.fullmatch(text):
        return sized(float(text))
    found = read_value(text, ".")
    if isinstance(found, Missing):
        return _NOTHING
    if isinstance(found, Found):
        return _WITH_UNIT if found.unit else Number(found.value, found.why)
    return found

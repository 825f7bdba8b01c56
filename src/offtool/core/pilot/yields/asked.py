"""Ranges and checks that the yield formulas share."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from offtool.core.formulas import Numbers
from offtool.core.values import ImpossibleInput, Range

MOST_PIECES = 10**5
"""Of one station; a pilot has hundreds."""

TRIED = Range(meaning="pieces that the station took up", at_least=1, at_most=MOST_PIECES)
GOOD_FIRST = Range(meaning="pieces that were good the first time", at_least=0, at_most=MOST_PIECES)
REWORKED_GOOD = Range(meaning="pieces that were good after rework", at_least=0, at_most=MOST_PIECES)
YIELD = Range(meaning="yield that was planned, as a share", above=0, below=1, remedy="95 % is 0.95")
TIME = Range(meaning="seconds", unit="s", above=0, at_most=1e6)

Counts = NDArray[np.int64]


def whole(name: str, values: Numbers, places: list[str]) -> Counts:
    """Counts that are whole, one for each place; what is not is refused by place."""
    array = np.asarray(values, dtype=float)
    if array.size != len(places):
        raise ImpossibleInput(name, array.size, "", f"must be {len(places)} counts, one for each")
    for place in np.flatnonzero(array != np.floor(array))[:1]:
        raise ImpossibleInput(name, array[place], "", f"must be whole, at {places[place]!r}")
    return array.astype(np.int64)


def names_once(argument: str, names: list[str]) -> list[str]:
    """Names, of which none is blank or stands twice, and at least one."""
    if not names:
        raise ImpossibleInput(argument, "none", "", "must name at least one")
    for place, name in enumerate(names, start=1):
        if not name.strip():
            raise ImpossibleInput(argument, "blank", "", f"must be named, in row {place}")
        if name in names[: place - 1]:
            raise ImpossibleInput(argument, name, "", "stands twice", "add its counts up, or give two names")
    return names

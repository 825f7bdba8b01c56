"""Between which numbers a measured colour lies, and under which light and for which eye it is stated."""

from __future__ import annotations

from enum import StrEnum

from offtool.handbook.terms import Ends

LIGHTNESS: Ends = {"at_least": 0, "at_most": 120}
"""CIELAB L*: 100 is the white of the light; fluorescent colours measure a little above it."""
SIDEWAYS: Ends = {"at_least": -200, "at_most": 200}
"""CIELAB a* and b*: no surface under daylight comes near these ends."""
DIFFERENCE: Ends = {"above": 0, "at_most": 100}
"""A spread or an uncertainty as a colour difference ΔE00: black and white are 100 apart."""
PART_OF_ALL: Ends = {"at_least": 0, "at_most": 1}
"""A share that may be nothing or all."""

USUAL_SPREAD_DE = 0.6
"""How far pieces of one job are from its colour, a standard deviation along each axis of ΔE00: a whole
difference is 1.7 times as large. Common practice, no source."""

USUAL_UNCERTAINTY_DE = 0.5
"""Standard uncertainty of one reading of an instrument on a moulded surface, along each axis of ΔE00; common
practice, no source."""


class Illuminant(StrEnum):
    """The light that a colour is stated for."""

    D65 = "D65"
    """Daylight at noon; what is meant where nothing is said."""
    D50 = "D50"
    """Light of the printing trade, and of colour profiles."""


OBSERVERS = (2, 10)
"""The standard eyes, by their field of view in degrees; 10 is usual for moulded parts."""
USUAL_OBSERVER = 10

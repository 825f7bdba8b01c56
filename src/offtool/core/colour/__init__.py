"""Colour that more than one part of the job needs: spaces, lights, and how far two colours are apart."""

from offtool.core.colour.difference import ColourDifference, ciede2000, colour_difference
from offtool.core.colour.spaces import (
    LIGHTS,
    USUAL_LIGHT,
    Lab,
    Light,
    SrgbInLab,
    lab_from_srgb,
    lab_in_light,
)

__all__ = [
    "LIGHTS",
    "USUAL_LIGHT",
    "ColourDifference",
    "Lab",
    "Light",
    "SrgbInLab",
    "ciede2000",
    "colour_difference",
    "lab_from_srgb",
    "lab_in_light",
]

"""Colour: how different, how measured from a photograph with a card, and whose job it was."""

from offtool.core.samples.colour.card import (
    CardCorrection,
    CardPatch,
    MethodTried,
    PatchError,
    PatchLeftOut,
    correct_card,
)
from offtool.core.samples.colour.difference import ColourDifference, ciede2000, colour_difference
from offtool.core.samples.colour.interrupted import interrupted_run
from offtool.core.samples.colour.jobs import (
    DaysBetweenChanges,
    InterruptedRun,
    Job,
    JobChance,
    JobsInterrupted,
    PartColour,
    PartInJobs,
    ProductChance,
)
from offtool.core.samples.colour.likelihood import NO_COLOUR_LOG_DENSITY, colour_log_likelihood
from offtool.core.samples.colour.piece import PieceColour, correct_colour
from offtool.core.samples.colour.spaces import (
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
    "NO_COLOUR_LOG_DENSITY",
    "USUAL_LIGHT",
    "CardCorrection",
    "CardPatch",
    "ColourDifference",
    "DaysBetweenChanges",
    "InterruptedRun",
    "Job",
    "JobChance",
    "JobsInterrupted",
    "Lab",
    "Light",
    "MethodTried",
    "PartColour",
    "PartInJobs",
    "PatchError",
    "PatchLeftOut",
    "PieceColour",
    "ProductChance",
    "SrgbInLab",
    "ciede2000",
    "colour_difference",
    "colour_log_likelihood",
    "correct_card",
    "correct_colour",
    "interrupted_run",
    "lab_from_srgb",
    "lab_in_light",
]

"""Colour: how different, how measured from a photograph with a card, and whose job it was."""

from offtool.core.samples.colour.card import (
    CardCorrection,
    CardPatch,
    MethodTried,
    PatchError,
    PatchLeftOut,
    correct_card,
)
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

__all__ = [
    "NO_COLOUR_LOG_DENSITY",
    "CardCorrection",
    "CardPatch",
    "DaysBetweenChanges",
    "InterruptedRun",
    "Job",
    "JobChance",
    "JobsInterrupted",
    "MethodTried",
    "PartColour",
    "PartInJobs",
    "PatchError",
    "PatchLeftOut",
    "PieceColour",
    "ProductChance",
    "colour_log_likelihood",
    "correct_card",
    "correct_colour",
    "interrupted_run",
]

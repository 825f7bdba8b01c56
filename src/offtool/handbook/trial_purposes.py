"""What a trial is run for, and how many pieces each purpose usually takes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from offtool.handbook.defects import PRACTICE
from offtool.handbook.terms import TrialPurpose


class Counted(StrEnum):
    """What the pieces of a purpose are counted by."""

    CAVITY = "of each cavity"
    SETS = "sets"
    WHOLE = "whole shots"


@dataclass(frozen=True, slots=True, kw_only=True)
class PurposeWords:
    """One purpose: what it asks of the trial, and how many pieces are usual."""

    purpose: TrialPurpose
    says: str
    counted: Counted
    usual: int
    least: int
    most: int
    """From fewest to most that are usual."""
    measured: bool = False
    """Every piece of it is measured."""
    destroyed: bool = False
    """Its pieces serve nothing else afterwards."""
    settled: bool = True
    """It must be shot after the press has settled."""
    right_colour: bool = False
    """It says nothing in another colour than that of the product."""
    source: str = PRACTICE

    @property
    def shared(self) -> bool:
        """Whether its pieces may serve another purpose too."""
        return self.counted is not Counted.WHOLE and not self.destroyed


TRIAL_PURPOSES: Mapping[TrialPurpose, PurposeWords] = MappingProxyType(
    {
        one.purpose: one
        for one in (
            PurposeWords(
                purpose=TrialPurpose.SHORT_SHOTS,
                says="short shots without hold pressure, one step after the other, laid out in order",
                counted=Counted.WHOLE,
                usual=11,
                least=10,
                most=12,
                settled=False,
            ),
            PurposeWords(
                purpose=TrialPurpose.FIRST_LOOK,
                says="full shots to look at: does the tool open, fill and eject",
                counted=Counted.CAVITY,
                usual=10,
                least=5,
                most=10,
                settled=False,
            ),
            PurposeWords(
                purpose=TrialPurpose.SIZES,
                says="consecutive shots, every size of every cavity measured",
                counted=Counted.CAVITY,
                usual=5,
                least=1,
                most=10,
                measured=True,
            ),
            PurposeWords(
                purpose=TrialPurpose.CAPABILITY,
                says="consecutive shots, the critical sizes of every cavity measured",
                counted=Counted.CAVITY,
                usual=30,
                least=30,
                most=125,
                measured=True,
            ),
            PurposeWords(
                purpose=TrialPurpose.ASSEMBLY,
                says="sets to put together, joints turned and pulled",
                counted=Counted.SETS,
                usual=40,
                least=30,
                most=50,
            ),
            PurposeWords(
                purpose=TrialPurpose.COLOUR,
                says="pieces in the colour of the product, measured against its master",
                counted=Counted.CAVITY,
                usual=5,
                least=3,
                most=10,
                measured=True,
                settled=False,
                right_colour=True,
            ),
            PurposeWords(
                purpose=TrialPurpose.WELDING,
                says="sets to weld and pull apart; nothing of them is left",
                counted=Counted.SETS,
                usual=20,
                least=10,
                most=30,
                destroyed=True,
            ),
            PurposeWords(
                purpose=TrialPurpose.KEEP,
                says="whole shots with their runner, bagged and tagged for the archive",
                counted=Counted.WHOLE,
                usual=3,
                least=2,
                most=3,
                settled=False,
            ),
        )
    }
)
"""In the order in which they are shot."""

SETTLE_SHOTS = (10, 20)
"""Shots that are thrown away until the press runs evenly; common practice, no source."""
SETTLE_MINUTES = (15.0, 30.0)
"""Minutes until mould and melt no longer change; common practice, no source."""
SCRAP_SHARE = 0.10
"""Shots more than are needed, for those that stick, drop or are mixed up; common practice, no source."""
FIRST_LOOK_SHOTS = (50, 100)
"""So many shots suffice for a first look; common practice, no source."""
SET_UP_MINUTES = (45.0, 120.0)
"""From last good part to first good part with a tool change: a practised shop, and a usual one; common
practice, no source."""
SMALL_PART_CYCLE_S = (8.0, 15.0, 30.0)
"""Cycle of small thin parts of which nothing is known: quick, usual, slow; common practice, no source."""

SETTINGS_TO_WRITE: tuple[tuple[str, str], ...] = (
    ("melt, measured", "°C"),
    ("nozzle and zones", "°C"),
    ("hot runner", "°C"),
    ("mould, cavity half", "°C"),
    ("mould, core half", "°C"),
    ("water in and out", "°C"),
    ("fill time", "s"),
    ("change-over at", "mm"),
    ("pressure there", "bar"),
    ("hold pressure, time", "bar, s"),
    ("cushion", "mm"),
    ("cooling", "s"),
    ("cycle", "s"),
    ("screw back in", "s"),
    ("back pressure", "bar"),
    ("clamp", "kN"),
    ("weight of a shot", "g"),
    ("resin lot, colour lot", ""),
    ("dried: hours, at", "h, °C"),
    ("settled from shot", ""),
)
"""What is written down at the press, as measured and not only as set; common practice, no source."""

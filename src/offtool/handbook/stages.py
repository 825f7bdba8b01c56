"""The stages of a product in two tongues: as engineers say it, and as archives write it.

The same letters mean different things in different firms: every programme may say its own.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from offtool.handbook.defects import PRACTICE
from offtool.handbook.terms import Stage


@dataclass(frozen=True, slots=True, kw_only=True)
class StageWords:
    """One stage in both tongues."""

    stage: Stage
    engineer: str
    archive: str
    meaning: str
    kept: float
    """How many of the pieces that turn up later are from this stage, before anything is looked at."""
    source: str = PRACTICE


NARROW = "in the narrow sense: from the first times that the tool ran"
BROAD = "in the broad sense: anything moulded before the line pilot"


STAGES: Mapping[Stage, StageWords] = MappingProxyType(
    {
        one.stage: one
        for one in (
            StageWords(
                stage=Stage.FIRST,
                engineer="T0, first shots",
                archive="first shot, in the narrow sense",
                meaning="the tool runs for the first times, in whatever colour is on the press",
                kept=0.10,
            ),
            StageWords(
                stage=Stage.EARLY,
                engineer="T1, trial before the corrections",
                archive="first shot, in the broad sense",
                meaning="sizes are measured, joints tried; marks, textures and last details are often not in",
                kept=0.16,
            ),
            StageWords(
                stage=Stage.LATE,
                engineer="T2 or later, trial of the corrections",
                archive="first shot, in the broad sense; late trial",
                meaning="corrections are confirmed; details and marks come in one after the other",
                kept=0.12,
            ),
            StageWords(
                stage=Stage.ENGINEERING,
                engineer="EP, engineering build",
                archive="engineering sample",
                meaning="figures built by hand to try function, joints, seams and paint",
                kept=0.08,
            ),
            StageWords(
                stage=Stage.FINAL,
                engineer="FEP, final engineering build",
                archive="final engineering sample, approval sample",
                meaning="right resin, colour, paint and packing, built before the line",
                kept=0.06,
            ),
            StageWords(
                stage=Stage.PILOT,
                engineer="PP, line pilot",
                archive="pilot sample, pre-production sample",
                meaning="built by the line's own people; close to production in everything",
                kept=0.05,
            ),
            StageWords(
                stage=Stage.PRODUCTION,
                engineer="PS, production",
                archive="production piece",
                meaning="made after release",
                kept=0.35,
            ),
            StageWords(
                stage=Stage.CHANGE,
                engineer="start-up or colour-change shot of production",
                archive="colour-change piece of production; often taken for a first shot",
                meaning="made on a finished tool while the press went from one colour to the next",
                kept=0.08,
            ),
        )
    }
)

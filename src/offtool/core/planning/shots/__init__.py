"""Shots of a trial: what to run, throw away, keep and measure, and how long that takes the press."""

from offtool.core.planning.shots.press_time import (
    minutes_for,
    press_time,
    set_up_line,
    trial_material,
    trial_time,
)
from offtool.core.planning.shots.results import (
    MinutesFor,
    PurposeShots,
    ShotGroup,
    ShotKind,
    TimeOn,
    TrialMaterial,
    TrialShots,
    TrialTime,
)
from offtool.core.planning.shots.to_run import shots_to_run

__all__ = [
    "MinutesFor",
    "PurposeShots",
    "ShotGroup",
    "ShotKind",
    "TimeOn",
    "TrialMaterial",
    "TrialShots",
    "TrialTime",
    "minutes_for",
    "press_time",
    "set_up_line",
    "shots_to_run",
    "trial_material",
    "trial_time",
]

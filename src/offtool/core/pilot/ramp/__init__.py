"""Ramp: learning, yield growth, a day's capacity, and when a quantity is there."""

from offtool.core.pilot.ramp.capacity import DayCapacity, day_capacity
from offtool.core.pilot.ramp.dates import RampDates, ramp_dates
from offtool.core.pilot.ramp.learning import LearningCurve, LearningFound, fit_learning, learning_curve
from offtool.core.pilot.ramp.ramp import Ramp, RampDay, ramp_up

__all__ = [
    "DayCapacity",
    "LearningCurve",
    "LearningFound",
    "Ramp",
    "RampDates",
    "RampDay",
    "day_capacity",
    "fit_learning",
    "learning_curve",
    "ramp_dates",
    "ramp_up",
]

"""Which press a tool goes on: clamp, shot, time in the barrel, and room."""

from offtool.core.planning.press.barrel import BarrelShare, ResidenceTime, barrel_share, residence_time
from offtool.core.planning.press.check import FitCheck, FitQuestion, Knows, Missing
from offtool.core.planning.press.clamp import ClampForce, clamp_force
from offtool.core.planning.press.compare import PressCompared, PressesCompared, compare_presses
from offtool.core.planning.press.facts import PressFacts, ToolFacts
from offtool.core.planning.press.fit import PressFit, fit_press

__all__ = [
    "BarrelShare",
    "ClampForce",
    "FitCheck",
    "FitQuestion",
    "Knows",
    "Missing",
    "PressCompared",
    "PressFacts",
    "PressFit",
    "PressesCompared",
    "ResidenceTime",
    "ToolFacts",
    "barrel_share",
    "clamp_force",
    "compare_presses",
    "fit_press",
    "residence_time",
]

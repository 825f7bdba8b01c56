"""Weld studies: runs of the welder against strength, flash and look."""

from offtool.core.welding.study.results import (
    FittedLooks,
    FittedStrength,
    OpenQuestion,
    SettingFinding,
    Summary,
    WeldWindow,
    WindowGrid,
    WindowSetting,
)
from offtool.core.welding.study.runs import WeldRun, WeldRuns
from offtool.core.welding.study.window import weld_window

__all__ = [
    "FittedLooks",
    "FittedStrength",
    "OpenQuestion",
    "SettingFinding",
    "Summary",
    "WeldRun",
    "WeldRuns",
    "WeldWindow",
    "WindowGrid",
    "WindowSetting",
    "weld_window",
]

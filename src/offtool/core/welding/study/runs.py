"""The runs of a weld study, as a plain table."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import isfinite

import numpy as np
from numpy.typing import NDArray

from offtool.core.values import ImpossibleInput, NotEnoughData
from offtool.handbook.terms import Appearance

Setting = tuple[float | None, ...]

VARIED: dict[str, str] = {"time_s": "s", "pressure_bar": "bar", "amplitude_um": "µm"}
"""What a setting of the welder is made of, with units: the same in all three is the same setting."""
UNIT_STEPS: dict[str, float] = {"s": 0.01, "bar": 0.05, "µm": 1.0}
"""What a welder can be set to, by the unit of the setting (common practice, no source)."""
NAMES: dict[str, str] = {"time_s": "weld time", "pressure_bar": "pressure", "amplitude_um": "amplitude"}
NOT_NEGATIVE = ("time_s", "pressure_bar", "amplitude_um", "hold_s", "energy_j", "strength_n", "flash_mm")
ANY_NUMBER = ("collapse_mm", "height_mm")
MOST_RUNS = 5000


@dataclass(frozen=True, slots=True, kw_only=True)
class WeldRun:
    """One piece that was welded: what the welder was set to, and what became of it. None: not known.

    `stopped` says that the pull was stopped at `strength_n` before the seam came apart. `amplitude_um` is
    peak-to-peak.
    """

    time_s: float | None = None
    pressure_bar: float | None = None
    amplitude_um: float | None = None
    hold_s: float | None = None
    energy_j: float | None = None
    collapse_mm: float | None = None
    strength_n: float | None = None
    stopped: bool = False
    height_mm: float | None = None
    flash_mm: float | None = None
    appearance: Appearance = Appearance.NOT_LOOKED

    @property
    def setting(self) -> Setting:
        """Weld time, pressure, amplitude."""
        return (self.time_s, self.pressure_bar, self.amplitude_um)

    def looks_good(self, largest_flash_mm: float | None) -> bool | None:
        """Good to look at and no more flash than allowed; None where nothing was looked at."""
        judged = largest_flash_mm is not None and self.flash_mm is not None
        flash = judged and self.flash_mm > largest_flash_mm  # type: ignore[operator]
        if self.appearance is Appearance.BAD or flash:
            return False
        return True if judged or self.appearance is Appearance.GOOD else None


@dataclass(frozen=True, slots=True, kw_only=True)
class WeldRuns:
    """All runs of a study."""

    runs: tuple[WeldRun, ...]


def require_possible(table: WeldRuns) -> None:
    """Refuse an empty table, one without any strength, and cells that cannot be, each by its row."""
    if not any(run.strength_n is not None for run in table.runs):
        raise NotEnoughData("no run has a strength", remedy="pull the welded pieces apart")
    if len(table.runs) > MOST_RUNS:
        raise ImpossibleInput("runs", len(table.runs), "", f"must be at most {MOST_RUNS}", "split the study")
    for row, run in enumerate(table.runs, start=1):
        for name in (*NOT_NEGATIVE, *ANY_NUMBER):
            value = getattr(run, name)
            if value is None:
                continue
            if not isfinite(value):
                raise ImpossibleInput(f"{name} of run {row}", value, "", "must be a finite number")
            if value < 0 and name in NOT_NEGATIVE:
                raise ImpossibleInput(f"{name} of run {row}", value, "", "must be at least 0")


def column(runs: Iterable[WeldRun], name: str) -> NDArray[np.float64]:
    """What is known of one column."""
    return np.array([value for run in runs if (value := getattr(run, name)) is not None], dtype=float)


def setting_words(setting: Setting) -> str:
    """A setting as a person reads it: "0.3 s, 2.5 bar, 60 µm"."""
    said = [
        f"{value:g} {unit}" for value, unit in zip(setting, VARIED.values(), strict=True) if value is not None
    ]
    return ", ".join(said) or "unknown setting"

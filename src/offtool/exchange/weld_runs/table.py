"""What reading the file of a weld study gives: a run a row, and all that was odd."""

from __future__ import annotations

from dataclasses import dataclass

from offtool.exchange.headed_tables import FileTable
from offtool.handbook.terms import Appearance, Failure, Ridge


@dataclass(frozen=True, slots=True, kw_only=True)
class WeldRunRead:
    """One piece that was welded; None where the file does not say. `row` counts from 1."""

    piece: str
    top_cavity: str = ""
    """As the file writes it; empty where it says none."""
    bottom_cavity: str = ""
    time_s: float | None = None
    pressure_bar: float | None = None
    amplitude_um: float | None = None
    """Peak-to-peak."""
    hold_s: float | None = None
    energy_j: float | None = None
    collapse_mm: float | None = None
    strength_n: float | None = None
    """The pull at which it came apart; where the failure is held, at which the pull was stopped."""
    failure: Failure = Failure.NOT_LOOKED
    height_mm: float | None = None
    flash_mm: float | None = None
    appearance: Appearance = Appearance.NOT_LOOKED
    ridge: Ridge = Ridge.NOT_LOOKED
    row: int


@dataclass(frozen=True, slots=True, kw_only=True)
class WeldStudyTable:
    """The runs of one file, as they stand in it."""

    file: FileTable
    runs: tuple[WeldRunRead, ...]
    top_column: int | None
    """The column of the top part's cavity, from 1; None where there is none."""
    bottom_column: int | None

"""What was understood of the file of a weld study, before and after it is kept."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from offtool.handbook.terms import Failure
from offtool.records.operations import NewWeldRun
from offtool.steps.assembled_pieces import FilePreview

_SETTINGS = {
    "time_s": ("weld time", "s"),
    "pressure_bar": ("pressure", "bar"),
    "amplitude_um": ("amplitude", "µm peak-to-peak"),
    "hold_s": ("hold time", "s"),
    "energy_j": ("energy", "J"),
    "collapse_mm": ("collapse", "mm"),
    "strength_n": ("strength", "N"),
    "height_mm": ("height", "mm"),
    "flash_mm": ("flash", "mm"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberSeen:
    """One column of numbers at a glance."""

    what: str
    unit: str
    runs: int
    levels: int
    """How many different values occur."""
    lowest: float
    highest: float


@dataclass(frozen=True, slots=True, kw_only=True)
class WeldStudyPreview(FilePreview):
    """How a study is read."""

    seam: str
    top_part: str
    bottom_part: str
    top_trial: str
    """Tool and trial, such as M1 T3; empty where there is none."""
    bottom_trial: str
    runs: int
    held: int
    """Runs whose pull was stopped before the seam came apart."""
    seen: tuple[NumberSeen, ...]

    @property
    def can_be_kept(self) -> bool:
        """Whether nothing stands in the way but cells to leave out."""
        return not self.problems and self.runs > 0


@dataclass(frozen=True, slots=True, kw_only=True)
class WeldStudyKept:
    """A weld study that is now in the record."""

    programme: str
    seam: str
    study: str
    file: str
    top_trial: str
    bottom_trial: str
    runs: int
    repairs: int
    left_out: int
    study_id: int


def numbers_seen(runs: Sequence[NewWeldRun]) -> Iterator[NumberSeen]:
    """The numbers of the runs, column by column; only those that were written down."""
    for column, (what, unit) in _SETTINGS.items():
        values = [value for one in runs if (value := getattr(one, column)) is not None]
        if values:
            yield NumberSeen(
                what=what,
                unit=unit,
                runs=len(values),
                levels=len(set(values)),
                lowest=min(values),
                highest=max(values),
            )


def held(runs: Sequence[NewWeldRun]) -> int:
    """How many seams held until the pull was stopped."""
    return sum(one.failure is Failure.HELD for one in runs)

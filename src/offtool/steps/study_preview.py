"""What was understood of the file of a gauge study, before and after it is kept."""

from __future__ import annotations

from dataclasses import dataclass

from offtool.core.values import Caution
from offtool.exchange.readings import RefusedCell, Repair


@dataclass(frozen=True, slots=True, kw_only=True)
class StudyPreview:
    """How a study is read. `problems` must be mended before it can be kept; refused cells may be left out."""

    file: str
    sha256: str
    size: int
    gauge: str
    kind: str
    measured: str
    """Part and number of the size; empty where none is given."""
    tolerance: float | None
    layout: str
    sheet: str | None
    encoding: str
    delimiter: str
    decimal: str
    unit: str
    readings: int
    parts: tuple[str, ...]
    operators: tuple[str, ...]
    repeats: int
    missing: int
    repairs: tuple[Repair, ...]
    refused: tuple[RefusedCell, ...]
    notes: tuple[str, ...]
    problems: tuple[str, ...]
    headline: str
    """What the study would say; empty where it cannot be analysed."""
    cautions: tuple[Caution, ...]

    @property
    def can_be_kept(self) -> bool:
        """Whether nothing stands in the way but cells to leave out."""
        return not self.problems and self.readings > 0


@dataclass(frozen=True, slots=True, kw_only=True)
class StudyKept:
    """A study that is now in the record."""

    programme: str
    gauge: str
    study: str
    kind: str
    file: str
    readings: int
    repairs: int
    left_out: int
    study_id: int

"""What was understood of a file of readings, before and after it is kept."""

from __future__ import annotations

from dataclasses import dataclass

from offtool.exchange.readings import RefusedCell, Repair


@dataclass(frozen=True, slots=True, kw_only=True)
class MatchedCharacteristic:
    """A characteristic of the file beside the one of the record it is taken for; `number` is "" for a new
    one."""

    label: str
    number: str
    name: str
    part: str
    unit: str
    nominal: float | None
    lower: float | None
    upper: float | None
    readings: int
    problem: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingPreview:
    """How a file is read. `problems` must be mended before it can be kept; refused cells may be left out."""

    file: str
    sha256: str
    size: int
    layout: str
    layouts: tuple[str, ...]
    sheet: str | None
    encoding: str
    delimiter: str
    decimal: str
    readings: int
    missing: int
    characteristics: tuple[MatchedCharacteristic, ...]
    cavities: tuple[str, ...]
    shots: tuple[int, int] | None
    repairs: tuple[Repair, ...]
    refused: tuple[RefusedCell, ...]
    notes: tuple[str, ...]
    problems: tuple[str, ...]

    @property
    def can_be_kept(self) -> bool:
        """Whether nothing stands in the way but cells to leave out."""
        return not self.problems and self.readings > 0


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingsKept:
    """A file that is now in the record."""

    programme: str
    tool: str
    trial: str
    state: str
    source_id: int
    file: str
    readings: int
    repairs: int
    left_out: int
    predictions_judged: int

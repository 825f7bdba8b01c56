"""What every table of a file tells of itself, whatever is read from it."""

from __future__ import annotations

from dataclasses import dataclass

from offtool.core.values import Caution
from offtool.exchange.readings.table import RefusedCell, Repair


@dataclass(frozen=True, slots=True, kw_only=True)
class FileTable:
    """How a file is written, and all that was repaired, refused or missing in it."""

    name: str
    sheet: str | None
    """Name of the sheet; None for a text file."""
    encoding: str
    delimiter: str
    decimal: str
    repairs: tuple[Repair, ...]
    refused: tuple[RefusedCell, ...]
    missing: int
    """Cells where a value could stand and none does."""
    notes: tuple[str, ...]
    cautions: tuple[Caution, ...] = ()

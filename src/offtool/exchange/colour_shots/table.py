"""What reading the file of a change of colour gives: a shot a row, and all that was odd."""

from __future__ import annotations

from dataclasses import dataclass

from offtool.exchange.headed_tables import FileTable


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourShotRead:
    """The colour of one shot, counted from 1 at the change. `row` counts from 1."""

    number: int
    lightness: float
    a: float
    b: float
    row: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourShotsTable:
    """The shots of one file, as they stand in it."""

    file: FileTable
    shots: tuple[ColourShotRead, ...]

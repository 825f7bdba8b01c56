"""What reading the file of a toy test gives: its pieces, each with its row, and all that was odd."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from offtool.exchange.headed_tables import FileTable
from offtool.handbook.toy_law import ToyTestKind


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadRead:
    """How far one piece was turned, pulled or pressed, in N·m or N; `stopped`: the cell says at least so."""

    value: float
    stopped: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ToyPieceRead:
    """One piece; rows count from 1 as a spreadsheet shows the file.

    `held`: nothing broke and nothing came off; None where the file does not say it. `came_off_mm`: the
    largest size of what came off.
    """

    piece: str
    part: str
    loads: Mapping[ToyTestKind, LoadRead] = field(default_factory=dict)
    drops: int | None = None
    height_m: float | None = None
    held: bool | None = None
    came_off_mm: float | None = None
    row: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ToyTestTable:
    """The pieces of one file, row by row as they stand in it, and which tests it holds."""

    file: FileTable
    pieces: tuple[ToyPieceRead, ...]
    tests: tuple[ToyTestKind, ...]
    part_column: int | None
    """The column of the parts, from 1; None where there is none."""

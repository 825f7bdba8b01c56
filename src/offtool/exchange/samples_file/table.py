"""What reading a register of samples gives: a row a part of a sample, and all that was odd."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from offtool.exchange.headed_tables import FileTable


@dataclass(frozen=True, slots=True, kw_only=True)
class SampleRowRead:
    """One part of a sample, as the file writes it; empty or None where it says nothing. `row` counts from 1.

    What is said of the whole sample stands in each of its rows, also where the file says it only once.
    """

    number: str
    name: str = ""
    part: str = ""
    label: str = ""
    tool: str = ""
    state: str = ""
    cavity: str = ""
    trial: str = ""
    shot: int | None = None
    colour: str = ""
    build: str = ""
    purpose: str = ""
    disposition: str = ""
    place: str = ""
    holder: str = ""
    found_on: date | None = None
    note: str = ""
    row: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SamplesTable:
    """The rows of one file, as they stand in it."""

    file: FileTable
    rows: tuple[SampleRowRead, ...]
    columns: Mapping[str, int]
    """Where each column that was found stands, from 1, by its name in SampleRowRead."""

"""What must hold between samples, their parts, what was seen of them, and the rest of the folder."""

from __future__ import annotations

from collections.abc import Mapping, Set
from typing import Protocol

from offtool.exchange.programme.folder import ProgrammeFolder
from offtool.exchange.programme.ground_checks import (
    refuse_not_made,
    refuse_unknown_observer,
    refuse_unknown_sign,
)
from offtool.exchange.programme.refused import Place, refuse_unknown
from offtool.exchange.programme.sample_rows import SamplePartRow

Names = tuple[str, ...]


class OnSample(Protocol):
    """A row of what was seen on a sample, or on one of its parts."""

    @property
    def sample(self) -> str: ...
    @property
    def sample_part(self) -> str: ...

    def place(self, column: str = "") -> Place: ...


def check_samples(told: ProgrammeFolder, names: Mapping[str, Set[Names]]) -> None:
    """Raise FolderRefused for the first thing that does not hold; `names` are those of every table."""
    made = {(cavity.tool, cavity.part) for cavity in told.cavities}
    for sample in told.samples:
        if sample.build:
            refuse_unknown(sample.place("build"), (sample.build,), names["builds"])
    for part in told.sample_parts:
        _part(part, names, made)
    _seen(told, names)


def _part(row: SamplePartRow, names: Mapping[str, Set[Names]], made: Set[Names]) -> None:
    """A part names its sample and its part; what its tag says is of one tool, which makes the part."""
    refuse_unknown(row.place("sample"), (row.sample,), names["samples"])
    refuse_unknown(row.place("part"), (row.part,), names["parts"])
    if not row.tool:
        for column in ("state", "cavity", "trial"):
            if getattr(row, column):
                what = f"{getattr(row, column)!r} without a tool"
                raise row.place(column).refuse(what, "name the tool too: they are counted by tool")
        return
    refuse_unknown(row.place("tool"), (row.tool,), names["tools"])
    refuse_not_made(row.place("tool"), row.tool, row.part, made)
    if row.state:
        refuse_unknown(row.place("state"), (row.tool, row.state), names["states"])
    if row.cavity:
        refuse_unknown(row.place("cavity"), (row.tool, row.part, row.cavity), names["cavities"])
    if row.trial:
        refuse_unknown(row.place("trial"), (row.tool, row.trial), names["trials"])


def _seen(told: ProgrammeFolder, names: Mapping[str, Set[Names]]) -> None:
    """What was seen names its sample, its part, and a detail or characteristic of that part."""
    part_of = {row.names: row.part for row in told.sample_parts}
    for detail in told.seen_details:
        _on_sample(detail, names)
        part = part_of[detail.sample, detail.sample_part]
        refuse_unknown(detail.place("detail"), (part, detail.detail), names["details"])
    for sign in told.seen_signs:
        _on_sample(sign, names)
        refuse_unknown_sign(sign)
    for size in told.sample_sizes:
        _on_sample(size, names)
        part = part_of[size.sample, size.sample_part]
        refuse_unknown(size.place("characteristic"), (part, size.characteristic), names["characteristics"])
    for colour in told.sample_colours:
        _on_sample(colour, names)
        refuse_unknown_observer(colour.place("observer"), colour.observer)
    for photograph in told.sample_photographs:
        _on_sample(photograph, names)


def _on_sample(row: OnSample, names: Mapping[str, Set[Names]]) -> None:
    refuse_unknown(row.place("sample"), (row.sample,), names["samples"])
    if row.sample_part:
        refuse_unknown(row.place("sample_part"), (row.sample, row.sample_part), names["sample_parts"])

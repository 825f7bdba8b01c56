"""Tables of several files as one table: characteristics and cavities of all, readings file after file."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from offtool.exchange.readings.bundle import natural
from offtool.exchange.readings.checks import repeats
from offtool.exchange.readings.limits import refuse_beyond
from offtool.exchange.readings.table import FoundCharacteristic, ReadingTable
from offtool.exchange.readings.text import one_line, plain
from offtool.exchange.readings.together import FilesRead


@dataclass(frozen=True, slots=True, eq=False)
class Merged:
    """The readings of all files in one table, which of them are whose, and where files disagree."""

    table: ReadingTable
    starts: tuple[int, ...]
    """Where the readings of each file begin; one more at the end."""
    files_of: tuple[tuple[str, ...], ...]
    """For each characteristic, the files that name it."""
    contradictions: tuple[str, ...]
    """Files that ask different things of one characteristic."""


def merge(read: FilesRead, name: str) -> Merged:
    """Put the tables of all files together. A characteristic is one by its number and name together."""
    union = _Union()
    tables = [file.table for file in read.files]
    places = [[union.add(found, table.name) for found in table.characteristics] for table in tables]
    characteristic = [
        np.array(place, np.int32)[table.characteristic] for place, table in zip(places, tables, strict=True)
    ]
    refuse_beyond("characteristics", len(union.found), where=name)
    cavities = tuple(sorted({label for table in tables for label in table.cavities}, key=natural))
    refuse_beyond("cavities", len(cavities), where=name)
    code = {label: at for at, label in enumerate(cavities)}
    cavity = [
        np.array([*(code[label] for label in table.cavities), -1], np.int32)[table.cavity] for table in tables
    ]
    starts = np.concatenate([[0], np.cumsum([len(table.value) for table in tables])]).tolist()
    refuse_beyond("readings", starts[-1], where=name)
    columns = ("shot", "part", "value", "row", "column")
    together = ReadingTable(
        name=name,
        layout=tables[0].layout,
        sheet=None,
        encoding=_common([table.encoding for table in tables]),
        delimiter=_common([table.delimiter for table in tables]),
        decimal=_common([table.decimal for table in tables]),
        characteristics=tuple(union.found),
        cavities=cavities,
        characteristic=np.concatenate(characteristic),
        cavity=np.concatenate(cavity),
        **{one: np.concatenate([getattr(table, one) for table in tables]) for one in columns},
        repairs=(),
        refused=(),
        missing=sum(table.missing for table in tables),
        notes=(),
    )
    return Merged(together, tuple(starts), tuple(map(tuple, union.files)), tuple(union.contradictions))


def doubled(merged: Merged, files: Sequence[str]) -> str:
    """What is said of readings that another file has too: the same characteristic, cavity, shot and part."""
    table = merged.table
    of_file = np.repeat(np.arange(len(files)), np.diff(merged.starts))
    known = np.flatnonzero((table.shot >= 0) | (table.part >= 0))
    keys = (table.characteristic[known], table.cavity[known], table.shot[known], table.part[known])
    within = repeats(*keys, of_file[known])
    again = known[repeats(*keys) & ~within]
    if not len(again):
        return ""
    at = int(again[0])
    stand = "1 reading stands" if len(again) == 1 else f"{len(again):,} readings stand"
    return (
        f"{stand} for the same characteristic, cavity, shot and part as one in another file, the first in"
        f" {files[of_file[at]]}, row {table.row[at]}; all are kept."
    )


class _Union:
    """The characteristics of all files, each once, and where two files differ about one."""

    def __init__(self) -> None:
        self.found: list[FoundCharacteristic] = []
        self.files: list[list[str]] = []
        self.contradictions: list[str] = []
        self._index: dict[str, int] = {}

    def add(self, found: FoundCharacteristic, file: str) -> int:
        """The place of a characteristic among all; what a later file adds is filled in."""
        key = one_line(plain(f"{found.number} {found.name}").casefold()) or found.label.casefold()
        index = self._index.setdefault(key, len(self.found))
        if index == len(self.found):
            self.found.append(found)
            self.files.append([file])
            return index
        if self.files[index][-1] != file:
            self.files[index].append(file)
        self.found[index] = self._completed(self.found[index], found, self.files[index][0], file)
        return index

    def _completed(
        self, known: FoundCharacteristic, found: FoundCharacteristic, first: str, file: str
    ) -> FoundCharacteristic:
        filled = {}
        for side in ("unit", "nominal", "lower", "upper"):
            before, now = getattr(known, side), getattr(found, side)
            filled[side] = now if before is None else before
            if before is not None and now is not None and not _alike(before, now):
                what = {"lower": "lower limit", "upper": "upper limit"}.get(side, side)
                self.contradictions.append(
                    f"{known.label!r}: {first} gives the {what} as {_shown(before)}, {file} as {_shown(now)}"
                )
        return FoundCharacteristic(label=known.label, number=known.number, name=known.name, **filled)


def _alike(before: float | str, now: float | str) -> bool:
    if isinstance(before, str) or isinstance(now, str):
        return before == now
    return abs(before - now) <= 1e-9 * max(1.0, abs(before))


def _shown(said: float | str) -> str:
    return said if isinstance(said, str) else f"{said:g}"


def _common(said: list[str]) -> str:
    return said[0] if len(set(said)) == 1 else ""

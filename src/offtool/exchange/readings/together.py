"""The files of one trial read each by itself, each part placed, and all put together to one table."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from offtool.exchange.readings.bundle import FileLeftOut, SentFile, left_out, unpack_files
from offtool.exchange.readings.checks import not_recorded, repeats
from offtool.exchange.readings.ledger import quote
from offtool.exchange.readings.name_places import places_in_names
from offtool.exchange.readings.places import Place
from offtool.exchange.readings.read import AlikeReader
from offtool.exchange.readings.table import FileRefused, Layout, ReadingTable

_LISTED = 3
_WORKBOOKS = (".xlsx", ".xlsm")


@dataclass(frozen=True, slots=True)
class FileRead:
    """A file of the trial with its table, every reading placed as far as file and name say."""

    sent: SentFile
    table: ReadingTable


@dataclass(frozen=True, slots=True)
class FilesRead:
    """The files that hold readings, in the natural order of their names, and those left out."""

    files: tuple[FileRead, ...]
    left_out: tuple[FileLeftOut, ...]
    notes: tuple[str, ...] = field(default=())


def read_files(
    files: Sequence[SentFile], name: str, *, layout: Layout | None = None, sheet: str | None = None
) -> FilesRead:
    """Read several files and archives as one trial; ``name`` is what messages call them together.

    A file that says nothing of cavity, shot or part in its columns may say it in its name; where no name says
    it and a file can only be of one part, parts are numbered in the natural order of the names. Raises
    FileRefused when no file can be read, and for hostile archives.
    """
    sent, unread = unpack_files(files)
    read: list[FileRead] = []
    first: dict[bytes, str] = {}
    alike = AlikeReader(layout, sheet)
    for file in sent:
        if file.content in first:
            why = f"has the same bytes as {first[file.content]}; a part of its own has a file of its own"
            unread.append(FileLeftOut(file.name, why, is_missed=True))
            continue
        try:
            table = alike.read(file.content, file.name, is_workbook=file.suffix in _WORKBOOKS)
        except FileRefused as refusal:
            unread.append(left_out(file, refusal))
        else:
            first[file.content] = file.name
            read.append(FileRead(file, table))
    if not read:
        raise _none_read(name, unread)
    placed, notes = place_by_names(read)
    return FilesRead(tuple(placed), tuple(unread), notes)


def _none_read(name: str, unread: Sequence[FileLeftOut]) -> FileRefused:
    reasons = sorted(unread, key=lambda one: not one.is_missed)
    shown = "; ".join(map(str, reasons[:_LISTED]))
    more = f" and {len(reasons) - _LISTED} more" if len(reasons) > _LISTED else ""
    what = f"none of its files can be read: {shown}{more}" if reasons else "holds no file"
    return FileRefused(what, where=name, remedy="send files of readings: CSV, XLSX or QIF")


def place_by_names(read: Sequence[FileRead]) -> tuple[list[FileRead], tuple[str, ...]]:
    """Each file with what its name says of its place, and with a number for its part where nothing does."""
    places = places_in_names([one.sent.path or one.sent.name for one in read])
    notes: list[str] = []
    placed: list[FileRead] = []
    by_name = 0
    for file, place in zip(read, places, strict=True):
        table = _with_place(file.table, place) if place else file.table
        if table is not file.table:
            by_name += 1
            if by_name == 1:
                notes.append(_said_by_name(file.sent.name, file.table, table))
        placed.append(FileRead(file.sent, table))
    numbered = [at for at, one in enumerate(placed) if len(read) > 1 and _is_one_part_unplaced(one.table)]
    last = max((int(one.table.part.max()) for one in placed), default=-1)
    for number, at in enumerate(numbered, max(last, 0) + 1):
        placed[at] = FileRead(placed[at].sent, _with_place(placed[at].table, Place(part=number)))
    if numbered:
        start = max(last, 0) + 1
        notes.append(
            f"Nothing says which part {_count(len(numbered))} of; parts are numbered in the order of the"
            f" names, from {placed[numbered[0]].sent.name} = part {start}."
        )
    return placed, tuple(notes)


def _count(files: int) -> str:
    return "1 file is" if files == 1 else f"{files:,} files are"


def _with_place(table: ReadingTable, place: Place) -> ReadingTable:
    """The table with what a place says where it says nothing itself; the same one if nothing changes."""
    changed: dict[str, object] = {}
    notes = list(table.notes)
    if place.cavity is not None and (table.cavity < 0).all():
        changed |= {"cavities": (place.cavity,), "cavity": np.zeros(len(table.cavity), np.int32)}
        notes = [note for note in notes if note != not_recorded("cavity")]
    no_shot = bool((table.shot < 0).all())
    if place.shot is not None and no_shot:
        changed["shot"] = np.full(len(table.shot), place.shot, np.int64)
        notes = [note for note in notes if note != not_recorded("shot")]
    if place.part is not None and no_shot and (table.part < 0).all():
        changed["part"] = np.full(len(table.part), place.part, np.int64)
    return replace(table, notes=tuple(notes), **changed) if changed else table  # type: ignore[arg-type]


def _said_by_name(name: str, before: ReadingTable, after: ReadingTable) -> str:
    said = (
        ("cavity", after.cavities[0] if after.cavity is not before.cavity else None),
        ("shot", int(after.shot[0]) if after.shot is not before.shot else None),
        ("part", int(after.part[0]) if after.part is not before.part else None),
    )
    read_as = " ".join(f"{what} {which}" for what, which in said if which is not None)
    return f"Names of files say where they were taken: {quote(name)!r} is {read_as}."


def _is_one_part_unplaced(table: ReadingTable) -> bool:
    """Whether no shot and part are known, and no characteristic was read twice in a cavity."""
    if (table.shot >= 0).any() or (table.part >= 0).any():
        return False
    return table.layout is Layout.QIF or not repeats(table.characteristic, table.cavity).any()

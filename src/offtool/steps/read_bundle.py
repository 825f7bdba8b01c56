"""Read several files as one trial: first shown as they are understood together, then kept, all or none.

The tables of the files are matched as one, so that five hundred small files take no longer than one large
one; each file is kept byte for byte with its own readings.
"""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

import numpy as np
from django.db import transaction

from offtool.exchange.readings import (
    FileLeftOut,
    FileRead,
    FilesRead,
    Layout,
    Merged,
    ReadingTable,
    SentFile,
    doubled,
    is_archive,
    merge,
    read_files,
)
from offtool.records.models import Programme, SourceFile, Trial
from offtool.records.operations import AlreadyRead, store_readings
from offtool.records.reading_arrays import ReadingColumns
from offtool.steps.matching import Match, columns_of, match_table, shot_span
from offtool.steps.read_readings import (
    TrialAbout,
    as_read,
    judge_waiting,
    refuse_problems,
    tool_to_read,
    trial_for,
)
from offtool.steps.reading_preview import (
    FilePreview,
    ReadingPreview,
    ReadingsKept,
    RefusedInFile,
    RepairInFile,
)

_LISTED = 3


@dataclass(frozen=True, slots=True, eq=False)
class Bundle:
    """Several files read as one: what was sent, each file, all together, and what that is matched to."""

    name: str
    read: FilesRead
    merged: Merged
    match: Match

    @property
    def table(self) -> ReadingTable:
        return self.merged.table


def is_bundle(files: Sequence[SentFile]) -> bool:
    """Whether what was sent is to be read as several files: more than one, or an archive of files."""
    return len(files) != 1 or is_archive(files[0].content)


def preview_bundle(
    files: Sequence[SentFile],
    name: str,
    *,
    programme: str,
    tool: str,
    layout: Layout | None = None,
    sheet: str | None = None,
) -> ReadingPreview:
    """How several files would be read into a trial of a tool together; nothing is kept.

    Raises FileRefused when none can be read, or an archive is hostile; AlreadyRead when all were read before;
    NotInRecord for an unknown programme or tool.
    """
    return preview_of_bundle(_understood(files, name, programme, tool, layout, sheet))


def keep_bundle(
    files: Sequence[SentFile],
    name: str,
    *,
    programme: str,
    tool: str,
    trial: str,
    read_at: datetime,
    read_by: str,
    layout: Layout | None = None,
    sheet: str | None = None,
    leave_out: bool = False,
    about: TrialAbout | None = None,
) -> ReadingsKept:
    """Keep every file in a trial, all or none; files read before in the programme are passed over.

    Raises what `preview_bundle` raises; CannotKeep for headings or cavities that fit nothing, and for refused
    cells and missed files unless `leave_out`.
    """
    bundle = _understood(files, name, programme, tool, layout, sheet)
    refuse_problems_of(bundle, leave_out=leave_out)
    found = tool_to_read(programme, tool)
    with transaction.atomic():
        into = trial_for(found, trial, about or TrialAbout())
        return store_bundle(bundle, into, read_at=read_at, read_by=read_by)


def store_bundle(bundle: Bundle, trial: Trial, *, read_at: datetime, read_by: str) -> ReadingsKept:
    """Store each file of a matched bundle, then judge the predictions that were waiting."""
    columns = columns_of(bundle.table, trial.tool, bundle.match.sizes)
    starts = bundle.merged.starts
    sources = [
        store_readings(
            trial,
            as_read(file.sent.content, file.table),
            _slice(columns, start, end),
            read_at=read_at,
            read_by=read_by,
        )
        for file, start, end in zip(bundle.read.files, starts[:-1], starts[1:], strict=True)
    ]
    return ReadingsKept(
        programme=trial.tool.programme.slug,
        tool=trial.tool.code,
        trial=trial.name,
        state=trial.state.label,
        source_id=sources[0].pk,
        file=bundle.name,
        readings=len(bundle.table.value),
        repairs=sum(len(file.table.repairs) for file in bundle.read.files),
        left_out=sum(len(file.table.refused) for file in bundle.read.files),
        predictions_judged=judge_waiting(trial),
        files=tuple(source.name for source in sources),
        files_left_out=tuple(one.name for one in bundle.read.left_out),
    )


def refuse_problems_of(bundle: Bundle, *, leave_out: bool) -> None:
    """Raise CannotKeep for what stands in the way of keeping the files."""
    found = preview_of_bundle(bundle)
    refuse_problems(bundle.name, found.problems, found.refused, found.missed, leave_out=leave_out)


def preview_of_bundle(bundle: Bundle) -> ReadingPreview:
    """What was understood of all files together, with what it is matched to."""
    table, read = bundle.table, bundle.read
    sent = b"".join(hashlib.sha256(file.sent.content).digest() for file in read.files)
    return ReadingPreview(
        file=bundle.name,
        sha256=hashlib.sha256(sent).hexdigest(),
        size=sum(len(file.sent.content) for file in read.files),
        layout=" and ".join(dict.fromkeys(file.table.layout.value for file in read.files)),
        layouts=tuple(one.value for one in Layout),
        sheet=None,
        encoding=table.encoding,
        delimiter=table.delimiter,
        decimal=table.decimal,
        readings=len(table.value),
        missing=table.missing,
        characteristics=bundle.match.headings,
        cavities=table.cavities,
        shots=shot_span(table),
        repairs=tuple(
            RepairInFile(one.row, one.column, one.found, one.read_as, one.why, file.sent.name)
            for file in read.files
            for one in file.table.repairs
        ),
        refused=tuple(
            RefusedInFile(one.row, one.column, one.found, one.why, one.remedy, file.sent.name)
            for file in read.files
            for one in file.table.refused
        ),
        notes=_notes(bundle),
        problems=_problems(bundle),
        files=tuple(map(_file, read.files)),
        left_out=read.left_out,
    )


def _understood(
    files: Sequence[SentFile], name: str, programme: str, tool: str, layout: Layout | None, sheet: str | None
) -> Bundle:
    found = tool_to_read(programme, tool)
    read = _without_known(read_files(files, name, layout=layout, sheet=sheet), found.programme)
    merged = merge(read, name)
    return Bundle(name, read, merged, match_table(merged.table, found))


def _without_known(read: FilesRead, programme: Programme) -> FilesRead:
    """The files that are new to a programme, by their bytes and sheet; the others are said to be left out."""
    by_bytes = {
        (hashlib.sha256(one.sent.content).hexdigest(), one.table.sheet or ""): one for one in read.files
    }
    kept = (
        SourceFile.objects.filter(programme=programme, sha256__in=[sha256 for sha256, _ in by_bytes])
        .select_related("trial__tool")
        .defer("content", "repairs", "left_out", "read_options")
    )
    before = {(one.sha256, one.sheet): one for one in kept}
    known = {key: before[key] for key in by_bytes if key in before}
    new = tuple(file for key, file in by_bytes.items() if key not in known)
    if known and not new:
        key, first = next(iter(known.items()))
        raise AlreadyRead(by_bytes[key].sent.name, first)
    passed = [
        FileLeftOut(by_bytes[key].sent.name, f"was read before as {one.name} in trial {one.trial.name}")
        for key, one in known.items()
    ]
    return replace(read, files=new, left_out=(*read.left_out, *passed))


def _slice(columns: ReadingColumns, start: int, end: int) -> ReadingColumns:
    return ReadingColumns(
        characteristic_id=columns.characteristic_id[start:end],
        cavity_id=columns.cavity_id[start:end],
        shot=columns.shot[start:end],
        part=columns.part[start:end],
        value=columns.value[start:end],
        row=columns.row[start:end],
        column=columns.column[start:end],
    )


def _file(file: FileRead) -> FilePreview:
    table = file.table
    shots, parts = np.unique(table.shot), np.unique(table.part)
    return FilePreview(
        name=file.sent.name,
        size=len(file.sent.content),
        layout=table.layout.value,
        sheet=table.sheet,
        readings=len(table.value),
        cavity=table.cavities[0] if len(table.cavities) == 1 else "",
        shot=int(shots[0]) if len(shots) == 1 and shots[0] >= 0 else None,
        part=int(parts[0]) if len(parts) == 1 and parts[0] >= 0 else None,
        repaired=len(table.repairs),
        refused=len(table.refused),
        notes=table.notes,
    )


def _notes(bundle: Bundle) -> tuple[str, ...]:
    """What is said of all files: notes that every file shares stand once, others name their file."""
    files = bundle.read.files
    names: dict[str, list[str]] = defaultdict(list)
    for file in files:
        for note in dict.fromkeys(file.table.notes):
            names[note].append(file.sent.name)
    shared = [note if len(of) == len(files) else f"{in_words(of)}: {note}" for note, of in names.items()]
    twice = doubled(bundle.merged, [file.sent.name for file in files])
    unlike = [f"{one}." for one in bundle.merged.contradictions]
    return (*bundle.read.notes, *([twice] if twice else []), *unlike, *shared, *bundle.match.notes)


def _problems(bundle: Bundle) -> tuple[str, ...]:
    """What must be mended, with the files it stands in unless it stands in all."""
    match, count = bundle.match, len(bundle.read.files)
    said = {
        f"{heading.label!r} {heading.problem}": of
        for heading, of in zip(match.headings, bundle.merged.files_of, strict=True)
    }
    for label in bundle.table.cavities:
        of = tuple(file.sent.name for file in bundle.read.files if label in file.table.cavities)
        said |= {one: of for one in match.problems if one.startswith(f"cavity {label!r}: ")}
    return tuple(
        f"{in_words(said[one])}: {one}" if one in said and len(said[one]) < count else one
        for one in match.problems
    )


def in_words(names: Sequence[str]) -> str:
    """Some of many files: "a.csv, b.csv and 4 more"."""
    more = len(names) - _LISTED
    return ", ".join(names[:_LISTED]) + (f" and {more} more" if more > 0 else "")

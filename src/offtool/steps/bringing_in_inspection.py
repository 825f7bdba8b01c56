"""Bringing what was seen and left out readings of a folder into the record.

Of a look only `set_aside` may change; of what was said of readings, there may only be more.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np
from django.utils import timezone

from offtool.core.values import OfftoolError
from offtool.exchange.programme import ProgrammeFolder
from offtool.exchange.programme.inspection_rows import DefectRow, ExclusionRow, LookRow
from offtool.exchange.programme.readings import cell_keys
from offtool.records.models import Defect, Exclusion, Look, Programme, SourceFile, Trial
from offtool.records.queries import load_readings
from offtool.records.reading_arrays import ReadingArrays
from offtool.records.refusals import refusals_in_words
from offtool.steps.answering import Known, Names
from offtool.steps.bringing_in import TableLoaded, add_rows, bring_in, change, is_settled
from offtool.steps.inspection_tables import FLAWS, LOOKS, PHOTOGRAPHS


def with_list_changes(rows: Sequence[DefectRow], programme: Programme) -> tuple[DefectRow, ...]:
    """Defects with all that folder and record know of when each was on the list: nothing is forgotten."""
    kept = {one.code: one for one in Defect.objects.filter(programme=programme)}
    return tuple(replace(row, list_changes=_list_changes(row, kept.get(row.code))) for row in rows)


def _list_changes(row: DefectRow, kept: Defect | None) -> dict[str, bool]:
    """A yes or no that no change tells of was written by hand: it holds from now on."""
    changes = {**(kept.list_changes if kept else {}), **row.list_changes}
    was_listed = changes[max(changes)] if changes else kept.is_listed if kept else row.is_listed
    if row.is_listed != was_listed:
        changes[max([timezone.now().isoformat(), *changes])] = row.is_listed  # a clock may have been ahead
    return changes


def bring_in_findings(told: ProgrammeFolder, known: Known) -> tuple[TableLoaded, ...]:
    """Looks, their flaws and photographs."""
    looks, number_of = _bring_in_looks(told.looks, known)
    flaws = [replace(row, look=number_of[row.tool, row.trial, str(row.look)]) for row in told.flaws]
    originals = {}
    for row in told.photographs:
        named = replace(row, look=number_of[row.tool, row.trial, str(row.look)], file="")
        originals[named] = row
    return (
        looks,
        bring_in(FLAWS, flaws, known),
        bring_in(PHOTOGRAPHS, [*originals], known, lambda row: told.original_of(originals[row])),
    )


def _bring_in_looks(rows: Sequence[LookRow], known: Known) -> tuple[TableLoaded, dict[Names, int]]:
    """Looks that are new are added. Gives the record's number of every look of the folder.

    Two looks with the same content (one person, one moment, the same pieces) are told apart by their order.
    """
    waiting: dict[tuple[Any, ...], list[tuple[Look, Any]]] = {}
    for kept in LOOKS.kept(known.programme):
        before: Any = LOOKS.row_of(kept)
        waiting.setdefault(_seen(before), []).append((kept, before))
    found: dict[Names, Look] = {}
    new: list[LookRow] = []
    changed = 0
    for row in sorted(rows, key=lambda row: row.number):
        same = waiting.get(_seen(row))
        if not same:
            new.append(row)
            continue
        found[row.names], before = same.pop(0)
        if row.set_aside != before.set_aside:
            change(LOOKS, row, before, found[row.names], known)
            changed += 1
    _refuse_edited_looks(new, [before for left in waiting.values() for _, before in left])
    unchanged = len(found) - changed
    found.update(zip((row.names for row in new), add_rows(LOOKS, new, known), strict=True))
    numbered = {look.pk: look for look in LOOKS.kept(known.programme)}
    known.looks.update({LOOKS.row_of(look).names: look for look in numbered.values()})
    loaded = TableLoaded(
        table=LOOKS.name,
        added=len(new),
        changed=changed,
        unchanged=unchanged,
        kept=sum(len(same) for same in waiting.values()),
    )
    return loaded, {names: numbered[look.pk].number for names, look in found.items()}


def _refuse_edited_looks(new: Sequence[LookRow], left: Sequence[LookRow]) -> None:
    """Raise OfftoolError for a look that the record has from the same person and moment, but otherwise."""
    written = {(row.tool, row.trial, row.looked_at, row.looked_by): row for row in left}
    for row in new:
        before = written.get((row.tool, row.trial, row.looked_at, row.looked_by))
        if before is not None:
            seen = ("part", "cavity", "shot_number", "pieces", "note")
            column = next(name for name in seen if getattr(row, name) != getattr(before, name))
            raise is_settled(row, column, before)


def _seen(row: Any) -> tuple[Any, ...]:
    """All of a look that is settled when it is written down."""
    return (
        *(row.tool, row.trial, row.part, row.cavity, row.shot_number),
        *(row.pieces, row.note, row.looked_at, row.looked_by),
    )


def bring_in_exclusions(told: ProgrammeFolder, known: Known) -> TableLoaded:
    """What was said of readings; of one reading the folder may say more than the record or less."""
    said: dict[tuple[str, int, int], list[ExclusionRow]] = {}
    for row in told.exclusions:
        said.setdefault((row.file, row.row, row.column), []).append(row)
    key_of = _reading_keys(told, known)
    kept: dict[int, list[Exclusion]] = {}
    for one in Exclusion.objects.filter(reading__source__programme=known.programme).order_by("pk"):
        kept.setdefault(one.reading_id, []).append(one)
    new: list[Exclusion] = []
    unchanged = 0
    for cell, rows in said.items():
        before = kept.get(key_of[cell], [])
        for row, one in zip(rows, before, strict=False):
            _refuse_other_word(row, one)
        unchanged += min(len(rows), len(before))
        new += [_exclusion(row, key_of[cell]) for row in rows[len(before) :]]
    with refusals_in_words(ExclusionRow.table):
        Exclusion.objects.bulk_create(new)
    left = sum(map(len, kept.values())) - unchanged
    return TableLoaded(table="exclusions", added=len(new), unchanged=unchanged, kept=left)


def _reading_keys(told: ProgrammeFolder, known: Known) -> dict[tuple[str, int, int], int]:
    """The record's key of every reading that the folder says something of."""
    cells: dict[str, list[ExclusionRow]] = {}
    for row in told.exclusions:
        cells.setdefault(row.file, []).append(row)
    if not cells:
        return {}
    sources = SourceFile.objects.filter(programme=known.programme).select_related("trial").defer("content")
    by_content = {(source.sha256, source.sheet): source for source in sources}
    files: dict[Trial, list[tuple[SourceFile, str]]] = {}
    for listed in told.sources:
        if listed.file in cells:
            source = by_content[listed.sha256, listed.sheet]
            files.setdefault(source.trial, []).append((source, listed.file))
    keys: dict[tuple[str, int, int], int] = {}
    for trial, sources_of_trial in files.items():
        stored = load_readings(trial)  # once for all its files: a trial may come from hundreds
        for source, file in sources_of_trial:
            keys.update(_keys_of_cells(stored, source, file, cells[file]))
    return keys


def _keys_of_cells(
    stored: ReadingArrays, source: SourceFile, file: str, rows: Sequence[ExclusionRow]
) -> dict[tuple[str, int, int], int]:
    wanted = cell_keys(np.array([row.row for row in rows]), np.array([row.column for row in rows]))
    of_file = np.flatnonzero(stored.source_id == source.pk)
    chosen = of_file[np.isin(cell_keys(stored.row[of_file], stored.column[of_file]), wanted)]
    columns = (stored.row[chosen], stored.column[chosen], stored.reading_id[chosen])
    return {(file, row, column): key for row, column, key in zip(*(c.tolist() for c in columns), strict=True)}


def _exclusion(row: ExclusionRow, reading_id: int) -> Exclusion:
    return Exclusion(
        reading_id=reading_id,
        is_left_out=row.is_left_out,
        reason=row.reason,
        made_at=row.made_at,
        made_by=row.made_by,
    )


def _refuse_other_word(row: ExclusionRow, kept: Exclusion) -> None:
    """Raise OfftoolError where folder and record say different things of one reading, one after the other."""
    for column in ("is_left_out", "reason", "made_at", "made_by"):
        given, before = getattr(row, column), getattr(kept, column)
        if given != before:
            raise OfftoolError(
                f"{given!r}, but the record has {before!r}",
                where=str(row.place(column)),
                remedy="what was said of a reading stays: put it back, and say more in a row below it",
            )

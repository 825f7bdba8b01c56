"""Bringing studies with their readings into the record: whole new ones are added, known ones never change."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from offtool.core.values import OfftoolError
from offtool.exchange.programme import ProgrammeFolder
from offtool.exchange.programme.refused import Place
from offtool.steps.answering import Known, Names, Table
from offtool.steps.bringing_in import TableLoaded, bring_in


def bring_in_measured(
    told: ProgrammeFolder, studies: Table, *readings: Table, known: Known
) -> tuple[TableLoaded, ...]:
    """Studies with their files, and their readings; a study that the record has must have the same ones."""
    rows: tuple[Any, ...] = getattr(told, studies.name)
    for table in readings:
        _refuse_other_readings(told, studies, table, known)
    originals = {replace(row, file=""): row for row in rows}
    return (
        bring_in(studies, [*originals], known, lambda row: told.original_of(originals[row])),
        *(bring_in(table, getattr(told, table.name), known) for table in readings),
    )


def _refuse_other_readings(told: ProgrammeFolder, studies: Table, readings: Table, known: Known) -> None:
    """Raise OfftoolError for a reading more or less; its first names are those of its study."""
    first = len(studies.row.key)
    kept = {readings.row_of(reading).names for reading in readings.kept(known.programme)}
    measured = {studies.row_of(study).names for study in studies.kept(known.programme)}
    given = {row.names: row for row in getattr(told, readings.name)}
    for names, row in given.items():
        if names[:first] in measured and names not in kept:
            raise _other(row.place(row.key[-1]), f"{_shown(readings, names, first)}, a new one")
    in_folder = {row.names for row in getattr(told, studies.name)}
    for names in sorted(kept - given.keys()):
        if names[:first] in in_folder:
            raise _other(Place(readings.row.table), f"{_shown(readings, names, first)} is not there")


def _shown(readings: Table, names: Names, first: int) -> str:
    """Such as: row 2, column 3 of S1."""
    own = zip(readings.row.key[first:], names[first:], strict=True)
    return ", ".join(f"{column} {name}" for column, name in own if name) + f" of {names[first - 1]}"


def _other(place: Place, what: str) -> OfftoolError:
    return OfftoolError(
        f"{what}, but the record has the whole study",
        where=str(place),
        remedy="what was measured is never changed: put it back, or give a new study beside it",
    )

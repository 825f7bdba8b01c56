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
    told: ProgrammeFolder, studies: Table, readings: Table, known: Known
) -> tuple[TableLoaded, ...]:
    """Studies with their files, and their readings; a study that the record has must have the same ones."""
    rows: tuple[Any, ...] = getattr(told, studies.name)
    _refuse_other_readings(told, studies, readings, known)
    originals = {replace(row, file=""): row for row in rows}
    return (
        bring_in(studies, [*originals], known, lambda row: told.original_of(originals[row])),
        bring_in(readings, getattr(told, readings.name), known),
    )


def _refuse_other_readings(told: ProgrammeFolder, studies: Table, readings: Table, known: Known) -> None:
    """Raise OfftoolError for a reading more or less; its first two names are those of its study."""
    kept = {readings.row_of(reading).names for reading in readings.kept(known.programme)}
    measured = {names[:2] for names in kept}
    given = {row.names: row for row in getattr(told, readings.name)}
    for names, row in given.items():
        if names[:2] in measured and names not in kept:
            raise _other(row.place(row.key[-1]), f"{_shown(readings, names)}, a new one")
    in_folder = {row.names for row in getattr(told, studies.name)}
    for names in sorted(kept - given.keys()):
        if names[:2] in in_folder:
            raise _other(Place(readings.row.table), f"{_shown(readings, names)} is not there")


def _shown(readings: Table, names: Names) -> str:
    """Such as: row 2, column 3 of S1."""
    own = zip(readings.row.key[2:], names[2:], strict=True)
    return ", ".join(f"{column} {name}" for column, name in own if name) + f" of {names[1]}"


def _other(place: Place, what: str) -> OfftoolError:
    return OfftoolError(
        f"{what}, but the record has the whole study",
        where=str(place),
        remedy="what was measured is never changed: put it back, or give a new study beside it",
    )

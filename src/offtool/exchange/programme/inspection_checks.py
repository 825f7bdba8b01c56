"""What must hold between looks, flaws, photographs, gauge studies and left out readings, and the rest."""

from __future__ import annotations

from collections.abc import Mapping, Set

import numpy as np

from offtool.exchange.programme.folder import ProgrammeFolder
from offtool.exchange.programme.inspection_rows import ExclusionRow, FlawRow
from offtool.exchange.programme.readings import TrialReadings, cell_keys
from offtool.exchange.programme.refused import refuse_unknown

Names = tuple[str, ...]


def check_inspection(told: ProgrammeFolder, names: Mapping[str, Set[Names]]) -> None:
    """Raise FolderRefused for the first thing that does not hold; `names` are those of every table."""
    _looks(told, names)
    _flaws(told, names)
    _photographs(told, names)
    _gauge_studies(told, names)
    _exclusions(told, names)


def _looks(told: ProgrammeFolder, names: Mapping[str, Set[Names]]) -> None:
    """A look names its trial, and a cavity of the tool that was tried if any."""
    for look in told.looks:
        refuse_unknown(look.place("tool"), (look.tool,), names["tools"])
        refuse_unknown(look.place("trial"), (look.tool, look.trial), names["trials"])
        if bool(look.part) != bool(look.cavity):
            what = f"cavity {look.cavity!r} with part {look.part!r}"
            raise look.place("cavity").refuse(what, "give both or neither: cavities are counted by part")
        if look.part:
            refuse_unknown(look.place("part"), (look.part,), names["parts"])
            refuse_unknown(look.place("cavity"), (look.tool, look.part, look.cavity), names["cavities"])


def _flaws(told: ProgrammeFolder, names: Mapping[str, Set[Names]]) -> None:
    """A flaw names its look and its defect, and is on no more pieces than were looked at."""
    pieces = {look.names: look.pieces for look in told.looks}
    for flaw in told.flaws:
        look = (flaw.tool, flaw.trial, str(flaw.look))
        refuse_unknown(flaw.place("look"), look, names["looks"])
        refuse_unknown(flaw.place("defect"), (flaw.defect,), names["defects"])
        if flaw.pieces > pieces[look]:
            what = f"{flaw.pieces}, but {pieces[look]} were looked at"
            raise flaw.place("pieces").refuse(what, "a flaw cannot be on more pieces than were looked at")


def _photographs(told: ProgrammeFolder, names: Mapping[str, Set[Names]]) -> None:
    """A photograph names its look, and a flaw of that look if any."""
    for each in told.photographs:
        look = (each.tool, each.trial, str(each.look))
        refuse_unknown(each.place("look"), look, names["looks"])
        shows_a_flaw = each.defect or each.flaw_place
        if shows_a_flaw and (*look, each.defect, each.flaw_place) not in names["flaws"]:
            shown = f"{each.defect!r} at {each.flaw_place!r}" if each.flaw_place else repr(each.defect)
            what = f"look {each.look} of {each.tool} {each.trial} has no flaw {shown}"
            raise each.place("defect").refuse(what, f"name one of {FlawRow.table}, or leave it blank")


def _gauge_studies(told: ProgrammeFolder, names: Mapping[str, Set[Names]]) -> None:
    """A study names its gauge, the size that was measured if any, and has readings; they name their study."""
    measured = {(reading.gauge, reading.study) for reading in told.gauge_readings}
    for study in told.gauge_studies:
        refuse_unknown(study.place("gauge"), (study.gauge,), names["gauges"])
        if study.part or study.characteristic:
            refuse_unknown(study.place("part"), (study.part,), names["parts"])
            size = (study.part, study.characteristic)
            refuse_unknown(study.place("characteristic"), size, names["characteristics"])
        if (study.gauge, study.name) not in measured:
            what = f"{study.name!r} has no readings"
            raise study.place("name").refuse(what, "give its readings, or take the row out")
    for reading in told.gauge_readings:
        refuse_unknown(reading.place("gauge"), (reading.gauge,), names["gauges"])
        refuse_unknown(reading.place("study"), (reading.gauge, reading.study), names["gauge_studies"])


def _exclusions(told: ProgrammeFolder, names: Mapping[str, Set[Names]]) -> None:
    """What is said of a reading names a file, and the one cell that it was read from."""
    said: dict[str, list[ExclusionRow]] = {}
    for row in told.exclusions:
        refuse_unknown(row.place("file"), (row.file,), names["sources"])
        said.setdefault(row.file, []).append(row)
    for source in told.sources:
        if source.file in said:
            readings = told.readings[source.tool, source.trial].of_file(source.file)
            _refuse_other_cells(said[source.file], readings)


def _refuse_other_cells(said: list[ExclusionRow], readings: TrialReadings) -> None:
    wanted = cell_keys(np.array([row.row for row in said]), np.array([row.column for row in said]))
    found = cell_keys(readings.row, readings.column)
    cells, counts = np.unique(found[np.isin(found, wanted)], return_counts=True)
    count_of = dict(zip(cells.tolist(), counts.tolist(), strict=True))
    for row, cell in zip(said, wanted.tolist(), strict=True):
        count = count_of.get(cell, 0)
        if count != 1:
            what = f"row {row.row}, column {row.column} of {row.file!r} holds {count or 'no'} readings"
            raise row.place("row").refuse(what, "name the cell of one reading")

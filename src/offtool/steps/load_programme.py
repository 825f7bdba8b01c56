"""A programme folder into the record: the whole of it in one transaction, or nothing."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from django.db import transaction

from offtool.core.values import Caution, OfftoolError
from offtool.exchange.programme import ProgrammeFolder, read_folder
from offtool.exchange.programme.names import readings_file_names
from offtool.exchange.programme.readings import FOLDER as READINGS
from offtool.exchange.programme.readings import TrialReadings
from offtool.exchange.programme.refused import Place
from offtool.exchange.programme.rows import ProgrammeRow, SourceRow, cells_of
from offtool.records.acting import acting_as
from offtool.records.models import Programme, SourceFile, Trial
from offtool.records.operations import ReadFile, store_readings
from offtool.records.queries import load_readings
from offtool.records.reading_arrays import NOT_RECORDED, ReadingArrays, ReadingColumns
from offtool.records.refusals import refusals_in_words
from offtool.steps.answering import Known
from offtool.steps.bringing_in import (
    REASON,
    TableLoaded,
    bring_in,
    bring_in_predictions,
)
from offtool.steps.bringing_in_inspection import (
    bring_in_exclusions,
    bring_in_findings,
    with_list_changes,
)
from offtool.steps.bringing_in_joints import bring_in_joints, bring_in_seams
from offtool.steps.bringing_in_line import bring_in_lines
from offtool.steps.bringing_in_measured import bring_in_measured
from offtool.steps.bringing_in_planning import bring_in_planning
from offtool.steps.bringing_in_release import bring_in_release
from offtool.steps.bringing_in_samples import bring_in_samples
from offtool.steps.inspection_tables import STUDIES
from offtool.steps.programme_tables import CORRECTIONS, DEFINITIONS


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadReport:
    """What loading a programme folder did to the record."""

    slug: str
    title: str
    is_new: bool
    tables: tuple[TableLoaded, ...]
    cautions: tuple[Caution, ...]

    @property
    def is_unchanged(self) -> bool:
        """Whether the record was the same before."""
        return not any(table.added or table.changed for table in self.tables)


def load_programme(folder: Path, *, loaded_by: str) -> LoadReport:
    """Bring a programme folder into the record.

    A new programme is made whole. Of a programme that is there already, what is new is added and changed
    definitions are changed, with the old ones kept in the history. Nothing is ever removed, and nothing
    measured or decided is changed. Loading the same folder twice changes nothing.

    Parameters
    ----------
    folder : the folder with programme.toml
    loaded_by : who loads it, for the history

    Returns what was done, table by table.

    Raises
    ------
    FolderRefused
        Something in the folder cannot be; names file, line, column, value and remedy.
    OfftoolError
        The folder contradicts what was measured or decided. In both cases nothing is recorded.
    """
    told = read_folder(folder)
    with acting_as(loaded_by), transaction.atomic():
        programme, loaded = _bring_in_programme(told.programme)
        is_new = bool(loaded.added)
        known = Known(programme=programme)
        told = replace(told, defects=with_list_changes(told.defects, programme))
        tables = (
            loaded,
            *(bring_in(table, getattr(told, table.name), known) for table in DEFINITIONS),
            _bring_in_sources(told, known),
            bring_in_exclusions(told, known),
            *bring_in_findings(told, known),
            *bring_in_measured(told, *STUDIES, known=known),
            *bring_in_joints(told, known),
            *bring_in_seams(told, known),
            *bring_in_samples(told, known),
            *bring_in_planning(told, known),
            *bring_in_lines(told, known),
            *bring_in_release(told, known),
            bring_in(CORRECTIONS, told.corrections, known),
            bring_in_predictions(told.predictions, known),
        )
    return LoadReport(
        slug=programme.slug,
        title=programme.title,
        is_new=is_new,
        tables=tables,
        cautions=tuple(_caution(table) for table in tables if table.kept),
    )


def _caution(table: TableLoaded) -> Caution:
    name = table.table.replace("_", " ")
    return Caution(f"{table.kept} {name} of the record are not in the folder; loading removes nothing")


def _bring_in_programme(row: ProgrammeRow) -> tuple[Programme, TableLoaded]:
    programme = Programme.objects.select_for_update().filter(slug=row.slug).first()
    is_new = programme is None
    programme = programme or Programme(slug=row.slug)
    said = {column: getattr(row, column) for column in cells_of(ProgrammeRow)}
    is_changed = not is_new and any(getattr(programme, name) != value for name, value in said.items())
    if is_new or is_changed:
        for name, value in said.items():
            setattr(programme, name, value)
        programme._change_reason = REASON  # type: ignore[attr-defined]
        with refusals_in_words(str(row.place())):
            programme.save()
    return programme, TableLoaded(
        table="programme", added=is_new, changed=is_changed, unchanged=not is_new and not is_changed
    )


def _bring_in_sources(told: ProgrammeFolder, known: Known) -> TableLoaded:
    """Files that are new are stored with their readings; those that are there must be the same."""
    kept = {(source.sha256, source.sheet): source for source in _sources_of(known.programme)}
    compared = _Compared(told)
    new = [row for row in told.sources if (row.sha256, row.sheet) not in kept]
    for row in told.sources:
        if (row.sha256, row.sheet) in kept:
            compared.refuse_difference(row, kept[row.sha256, row.sheet], known)
    for row in new:
        _store(row, told, known)
    return TableLoaded(
        table="sources",
        added=len(new),
        unchanged=len(told.sources) - len(new),
        kept=len(kept.keys() - {(row.sha256, row.sheet) for row in told.sources}),
    )


def _sources_of(programme: Programme) -> list[SourceFile]:
    return list(programme.source_files.select_related("trial__tool").defer("content"))


def _store(row: SourceRow, told: ProgrammeFolder, known: Known) -> None:
    read = ReadFile(
        name=row.name,
        content=told.original_of(row),
        layout=row.layout,
        read_options=row.read_options,
        repairs=row.repairs,
        left_out=row.left_out,
    )
    readings = told.readings[row.tool, row.trial].of_file(row.file)
    columns = _columns(readings, row.tool, known)
    store_readings(known.trials[row.tool, row.trial], read, columns, read_at=row.read_at, read_by=row.read_by)


def _columns(readings: TrialReadings, tool: str, known: Known) -> ReadingColumns:
    """The readings of a file with the record's keys for the folder's names."""
    sizes = [known.characteristics[name].pk for name in readings.characteristics]
    cavities = [known.cavities[tool, *name].pk for name in readings.cavities]
    return ReadingColumns(
        characteristic_id=np.array(sizes, np.int64)[readings.characteristic],
        cavity_id=np.array([*cavities, NOT_RECORDED], np.int64)[readings.cavity],  # -1 takes the last
        shot=readings.shot,
        part=readings.part,
        value=readings.value,
        row=readings.row,
        column=readings.column,
    )


class _Compared:
    """Files that are in the record already, held against the folder's; each trial is fetched once."""

    def __init__(self, told: ProgrammeFolder) -> None:
        self.told = told
        self.fetched: dict[int, ReadingArrays] = {}
        self.files = readings_file_names((trial.tool, trial.name) for trial in told.trials)

    def refuse_difference(self, row: SourceRow, kept: SourceFile, known: Known) -> None:
        """Raise OfftoolError for the first thing in which the folder contradicts what was read."""
        told = {"tool": kept.trial.tool.code, "trial": kept.trial.name} | {
            column: getattr(kept, column)
            for column in ("name", "layout", "read_options", "repairs", "left_out", "read_at", "read_by")
        }
        for column, value in told.items():
            if getattr(row, column) != value:
                raise _differs(row.place(column), getattr(row, column), value)
        self._refuse_other_readings(row, kept, known)

    def _refuse_other_readings(self, row: SourceRow, kept: SourceFile, known: Known) -> None:
        given = self.told.readings[row.tool, row.trial].of_file(row.file)
        columns = _columns(given, row.tool, known)
        trial: Trial = kept.trial
        if trial.pk not in self.fetched:
            self.fetched[trial.pk] = load_readings(trial)
        stored = self.fetched[trial.pk]
        chosen = stored.source_id == kept.pk
        file = f"{READINGS}/{self.files[row.tool, row.trial]}"
        if len(given) != int(chosen.sum()):
            what = f"{len(given)} readings of {row.file}"
            raise _differs(Place(file), what, f"{int(chosen.sum())} of them")
        for column in ("characteristic_id", "cavity_id", "shot", "part", "value", "row", "column"):
            ours, theirs = getattr(stored, column)[chosen], getattr(columns, column)
            different = ours != theirs
            if different.any():
                at = int(different.argmax())
                place = Place(file, int(given.line[at]), column.removesuffix("_id"))
                shown = (
                    (theirs[at].item(), ours[at].item())
                    if not column.endswith("_id")
                    else ("another", "its own")
                )
                raise _differs(place, *shown)


def _differs(place: Place, given: object, kept: object) -> OfftoolError:
    return OfftoolError(
        f"{given!r}, but the record has {kept!r}",
        where=str(place),
        remedy="what was measured is never changed: put it back, or read a corrected file as a new one",
    )

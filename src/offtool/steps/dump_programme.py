"""A programme of the record into a folder of plain text; loading it again gives the same record."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, TypeVar

import numpy as np
from django.db.models import Model

from offtool.exchange.programme import ProgrammeFolder, write_folder
from offtool.exchange.programme.folder import FileRow
from offtool.exchange.programme.inspection_rows import ExclusionRow, GaugeStudyRow, PhotographRow
from offtool.exchange.programme.joint_rows import JointTestRow
from offtool.exchange.programme.names import names_by_content, original_file_names
from offtool.exchange.programme.pilot_rows import PilotFileRow
from offtool.exchange.programme.planning_rows import ColourChangeRow, MeshRow
from offtool.exchange.programme.readings import TrialReadings
from offtool.exchange.programme.release_rows import EvidenceRow, ToyTestRow
from offtool.exchange.programme.rows import ProgrammeRow, Row, SourceRow, cells_of
from offtool.exchange.programme.sample_rows import SamplePhotographRow
from offtool.exchange.programme.seam_rows import WeldStudyRow
from offtool.records.models import (
    Cavity,
    Characteristic,
    ColourChange,
    Evidence,
    Exclusion,
    GaugeStudy,
    JointTest,
    PartMesh,
    Photograph,
    PilotFile,
    Programme,
    SamplePhotograph,
    SourceFile,
    ToyTestRun,
    Trial,
    WeldStudy,
)
from offtool.records.queries import find_programme, load_readings
from offtool.records.reading_arrays import NOT_RECORDED
from offtool.steps.answering import Table
from offtool.steps.ground_tables import GROUND
from offtool.steps.inspection_tables import FINDINGS, STUDIES
from offtool.steps.joint_tables import JOINED
from offtool.steps.line_tables import LINED
from offtool.steps.pilot_tables import PILOTED
from offtool.steps.planning_tables import PLANNED
from offtool.steps.programme_tables import CORRECTIONS, DEFINITIONS, PREDICTIONS
from offtool.steps.release_tables import RELEASED
from offtool.steps.sample_tables import SAMPLED

R = TypeVar("R", bound=Row)

_TABLES = (
    *(*DEFINITIONS, CORRECTIONS, PREDICTIONS, *FINDINGS, *STUDIES, *JOINED),
    *(*GROUND, *SAMPLED, *PLANNED, *LINED, *PILOTED, *RELEASED),
)
_OF_FILES = (
    *("photographs", "gauge_studies", "joint_tests", "weld_studies", "sample_photographs"),
    *("meshes", "colour_changes", "pilot_files", "evidence", "toy_tests"),
)
"""Tables whose rows stand for files; source files are named among themselves."""
_KEPT_IN: Mapping[type[FileRow], tuple[type[Model], str]] = {
    PhotographRow: (Photograph, "look__trial__tool__programme"),
    GaugeStudyRow: (GaugeStudy, "gauge__programme"),
    JointTestRow: (JointTest, "joint__programme"),
    WeldStudyRow: (WeldStudy, "seam__programme"),
    SamplePhotographRow: (SamplePhotograph, "sample__programme"),
    MeshRow: (PartMesh, "part__programme"),
    ColourChangeRow: (ColourChange, "press__programme"),
    PilotFileRow: (PilotFile, "pilot__line__programme"),
    EvidenceRow: (Evidence, "programme"),
    ToyTestRow: (ToyTestRun, "programme"),
}
"""Where the bytes of their files are in the record, and the way from there to the programme."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DumpReport:
    """What was written where."""

    slug: str
    folder: Path
    files: tuple[str, ...]


def dump_programme(slug: str, folder: Path) -> DumpReport:
    """Write a programme into a new or empty folder, or one dumped before and not changed since.

    Parameters
    ----------
    slug : the programme's short name
    folder : where to write

    Returns the files written.

    Raises
    ------
    NotInRecord
        There is no such programme.
    FolderRefused
        The folder holds files that offtool did not write or that were changed since; nothing is written.
    """
    programme = find_programme(slug)
    return DumpReport(slug=slug, folder=folder, files=write_folder(programme_as_rows(programme), folder))


def programme_as_rows(programme: Programme) -> ProgrammeFolder:
    """All of a programme as rows, in an order that does not depend on when what was entered."""
    sources = _Sources(programme)
    trials = Trial.objects.filter(tool__programme=programme).select_related("tool")
    readings = {(trial.tool.code, trial.name): _readings(trial, sources) for trial in trials}
    tables: dict[str, Any] = {table.name: _rows(table, programme) for table in _TABLES}
    for name in _OF_FILES:
        tables[name] = _with_file_names(tables[name])
    return ProgrammeFolder(
        programme=ProgrammeRow(**{column: getattr(programme, column) for column in cells_of(ProgrammeRow)}),
        **tables,
        sources=sources.rows(),
        exclusions=sources.exclusions(),
        readings={trial: found for trial, found in sorted(readings.items()) if len(found)},
        original_of=lambda row: _content_of(row, programme, sources),
    )


def _rows(table: Table, programme: Programme) -> tuple[Row, ...]:
    rows = [table.row_of(kept) for kept in table.kept(programme)]
    return tuple(sorted(rows, key=lambda row: _in_order(row, row.names[:1] if table.as_given else row.names)))


def _in_order(row: Row, names: tuple[str, ...]) -> tuple[Any, ...]:
    """As people count: T2 before T10; a row without a name by all it says."""
    names = names or tuple(repr(getattr(row, column)) for column in row.__slots__ if column != "line")
    return (*(tuple(_counted(name)) for name in names), names)


def _counted(name: str) -> list[tuple[int, int, str]]:
    return [
        (1, int(piece), "") if piece.isdecimal() else (0, 0, piece) for piece in re.findall(r"\d+|\D+", name)
    ]


def _with_file_names(rows: tuple[Any, ...]) -> tuple[Any, ...]:
    """The rows with names for their files; the same bytes lie in the folder once."""
    pictures = (PhotographRow, SamplePhotographRow)
    names = names_by_content(
        (row.sha256, row.name if isinstance(row, pictures) else row.file_name) for row in rows if row.sha256
    )
    return tuple(replace(row, file=names.get(row.sha256, "")) for row in rows)


def _content_of(row: FileRow, programme: Programme, sources: _Sources) -> bytes:
    """The bytes of a file as it came."""
    kept: Any = SourceFile.objects.filter(pk=sources.by_file.get(row.file, 0))
    if type(row) in _KEPT_IN:
        model, path = _KEPT_IN[type(row)]
        kept = model._default_manager.filter(**{path: programme, "sha256": row.sha256})
    return bytes(kept.order_by("pk").values_list("content", flat=True)[0])


class _Sources:
    """The source files of a programme: in the order of reading, under names that are safe as files."""

    def __init__(self, programme: Programme) -> None:
        kept = programme.source_files.select_related("trial__tool").defer("content")
        self.kept = sorted(
            kept, key=lambda source: (source.read_at, source.name, source.sha256, source.sheet)
        )
        names = original_file_names({_read(source): source.name for source in self.kept})
        self.file_names: Mapping[int, str] = {source.pk: names[_read(source)] for source in self.kept}
        self.by_file = {self.file_names[source.pk]: source.pk for source in self.kept}
        self.place = {source.pk: place for place, source in enumerate(self.kept)}

    def rows(self) -> tuple[SourceRow, ...]:
        """Everything about the files but their bytes."""
        return tuple(
            SourceRow(
                tool=source.trial.tool.code,
                trial=source.trial.name,
                file=self.file_names[source.pk],
                name=source.name,
                sha256=source.sha256,
                layout=source.layout,
                read_options=source.read_options,
                repairs=source.repairs,
                left_out=source.left_out,
                read_at=source.read_at,
                read_by=source.read_by,
            )
            for source in self.kept
        )

    def exclusions(self) -> tuple[ExclusionRow, ...]:
        """What was said of readings: by file and cell, and of one cell in the order in which it was said."""
        said = Exclusion.objects.filter(reading__source__in=self.file_names).select_related("reading")
        in_order = sorted(said, key=self._cell)
        return tuple(
            ExclusionRow(
                file=self.file_names[one.reading.source_id],
                row=one.reading.row,
                column=one.reading.column,
                is_left_out=one.is_left_out,
                reason=one.reason,
                made_at=one.made_at,
                made_by=one.made_by,
            )
            for one in in_order
        )

    def _cell(self, one: Exclusion) -> tuple[int, ...]:
        reading = one.reading
        return self.place[reading.source_id], reading.row, reading.column, one.pk


def _read(source: SourceFile) -> tuple[str, ...]:
    """What was read, as `SourceRow.read` says it."""
    return (source.sha256, source.sheet) if source.sheet else (source.sha256,)


def _readings(trial: Trial, sources: _Sources) -> TrialReadings:
    kept = load_readings(trial)
    source_ids, source = np.unique(kept.source_id, return_inverse=True)
    size_ids, size = np.unique(kept.characteristic_id, return_inverse=True)
    cavity_ids, cavity = np.unique(kept.cavity_id, return_inverse=True)
    sizes = Characteristic.objects.select_related("part").in_bulk(size_ids.tolist())
    cavities = Cavity.objects.select_related("part").in_bulk(cavity_ids.tolist())
    # -1 sorts first among the ids: where it is there, the names begin one later
    first = int(len(cavity_ids) > 0 and cavity_ids[0] == NOT_RECORDED)
    # file after file in the order of sources.csv, which need not be that of storing
    places = np.array([sources.place[key] for key in source_ids.tolist()], np.int64)
    order = np.argsort(places[source], kind="stable")
    return TrialReadings(
        characteristics=tuple((sizes[key].part.code, sizes[key].number) for key in size_ids.tolist()),
        cavities=tuple((cavities[key].part.code, cavities[key].label) for key in cavity_ids.tolist()[first:]),
        files=tuple(sources.file_names[key] for key in source_ids.tolist()),
        characteristic=size[order],
        cavity=cavity[order] - first,
        shot=kept.shot[order],
        part=kept.part[order],
        value=kept.value[order],
        file=source[order],
        row=kept.row[order],
        column=kept.column[order],
        line=np.zeros(len(kept), np.int64),
    )

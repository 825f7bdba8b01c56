"""Reading a programme folder: every file found, read and checked before anything is believed."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from offtool.core.values import nearest
from offtool.exchange.programme.checks import check_folder
from offtool.exchange.programme.csv_tables import read_table
from offtool.exchange.programme.files import find_file, read_bytes, refuse_path_trick
from offtool.exchange.programme.folder import CSV_TABLES, FILES, WRITTEN, FileRow, ProgrammeFolder
from offtool.exchange.programme.inspection_rows import GaugeStudyRow, PhotographRow
from offtool.exchange.programme.joint_rows import JointTestRow
from offtool.exchange.programme.limits import LARGEST_ORIGINAL_BYTES
from offtool.exchange.programme.names import readings_file_names
from offtool.exchange.programme.pilot_rows import PilotFileRow
from offtool.exchange.programme.planning_rows import ColourChangeRow, MeshRow
from offtool.exchange.programme.readings import FOLDER as READINGS
from offtool.exchange.programme.readings import TrialReadings, read_readings
from offtool.exchange.programme.refused import FolderRefused, Place
from offtool.exchange.programme.release_rows import EvidenceRow, ToyTestRow
from offtool.exchange.programme.rows import SourceRow, TrialRow
from offtool.exchange.programme.sample_rows import SamplePhotographRow
from offtool.exchange.programme.seam_rows import WeldStudyRow
from offtool.exchange.programme.toml_file import read_toml


def read_folder(folder: Path) -> ProgrammeFolder:
    """Read a programme folder and check all of it. Raises FolderRefused for the first thing wrong."""
    if not folder.is_dir():
        raise FolderRefused(
            "it is no folder", where=str(folder), remedy="name the folder with programme.toml"
        )
    toml = read_toml(folder)
    _refuse_unknown_tables(folder)
    tables: dict[str, Any] = {name: read_table(folder, row) for name, row in CSV_TABLES.items()}
    told = ProgrammeFolder(
        programme=toml.programme,
        resins=toml.resins,
        parts=toml.parts,
        gauges=toml.gauges,
        tools=toml.tools,
        cavities=toml.cavities,
        states=toml.states,
        trials=toml.trials,
        joints=toml.joints,
        joint_sizes=toml.joint_sizes,
        seams=toml.seams,
        seam_sizes=toml.seam_sizes,
        **tables,
        readings=_read_all_readings(folder, toml.trials),
        original_of=lambda row: _read_original(folder, row),
    )
    check_folder(told)
    _check_originals(folder, told)
    return told


def _refuse_unknown_tables(folder: Path) -> None:
    """A misspelt table would be passed over in silence."""
    known = [row.table for row in CSV_TABLES.values()]
    for path in sorted(folder.glob("*.csv")):
        if path.name not in (*known, WRITTEN):
            raise Place(path.name).refuse("no table has this name", nearest(path.name, known))


def _read_all_readings(folder: Path, trials: Sequence[TrialRow]) -> dict[tuple[str, str], TrialReadings]:
    files = readings_file_names((trial.tool, trial.name) for trial in trials)
    for path in sorted((folder / READINGS).glob("*.csv")):
        if path.name not in files.values():
            place = Place(f"{READINGS}/{path.name}")
            raise place.refuse("it belongs to no trial", nearest(path.name, files.values()))
    found = {trial: read_readings(folder, file) for trial, file in files.items()}
    return {trial: readings for trial, readings in found.items() if readings is not None}


_NOT_LISTED = {
    SourceRow.folder: "read it into the record as a file of readings, or take it out",
    PhotographRow.folder: "give it its row, or take it out",
    GaugeStudyRow.folder: "read it into the record as a gauge study, or take it out",
    JointTestRow.folder: "read it into the record as a test of the joint, or take it out",
    WeldStudyRow.folder: "read it into the record as a weld study, or take it out",
    SamplePhotographRow.folder: "give it its row, or take it out",
    MeshRow.folder: "read it into the record as the shape of a part, or take it out",
    ColourChangeRow.folder: "read it into the record as a colour change, or take it out",
    PilotFileRow.folder: "read it into the record as a sheet of the pilot, or take it out",
    EvidenceRow.folder: "give it its row, or take it out",
    ToyTestRow.folder: "read it into the record as a test of the law, or take it out",
}


def _check_originals(folder: Path, told: ProgrammeFolder) -> None:
    """Every file is listed; every listed one is there and has the bytes that were read."""
    for name, row_type in FILES.items():
        rows: Sequence[FileRow] = getattr(told, name)
        listed = {row.file for row in rows}
        for path in sorted((folder / row_type.folder).glob("[!.]*")):
            if path.name not in listed:
                place = Place(f"{row_type.folder}/{path.name}")
                raise place.refuse(f"it is not listed in {row_type.table}", _NOT_LISTED[row_type.folder])
        for row in rows:
            told.original_of(row)


def _read_original(folder: Path, row: FileRow) -> bytes:
    if not row.file:  # a paper of which only the number is known
        return b""
    refuse_path_trick(row.file, row.place("file"))
    place = Place(f"{row.folder}/{row.file}")
    path = find_file(folder, row.folder, row.file)
    if path is None:
        raise place.refuse("it is not there", f"put it back, or take its row out of {row.table}")
    content = read_bytes(path, place.file, LARGEST_ORIGINAL_BYTES)
    if hashlib.sha256(content).hexdigest() != row.sha256:
        raise place.refuse("its bytes are not those that were read", "put the file back as it came")
    if isinstance(row, MeshRow) and len(content) != row.size:
        what = f"{row.size}, but {place.file} has {len(content)} bytes"
        raise row.place("size").refuse(what, "leave this column as it was dumped")
    return content

"""Writing a programme folder: a new or empty one, or one that was written before and not touched since.

All files are made beside the folder first and then moved into it, so that a full disk or an error leaves the
folder as it was. written.csv lists what was written, with checksums: what it does not list is never touched.
"""

from __future__ import annotations

import hashlib
import secrets
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from offtool.exchange.programme.csv_tables import csv_line, records, table_text
from offtool.exchange.programme.files import find_file, refuse_path_trick
from offtool.exchange.programme.folder import (
    CSV_TABLES,
    FILES,
    FOLDERS,
    ONLY_WITH_ROWS,
    WRITTEN,
    ProgrammeFolder,
)
from offtool.exchange.programme.names import readings_file_names
from offtool.exchange.programme.readings import FOLDER as READINGS
from offtool.exchange.programme.readings import write_readings
from offtool.exchange.programme.refused import FolderRefused, Place
from offtool.exchange.programme.toml_file import FILE as TOML
from offtool.exchange.programme.toml_file import ProgrammeToml, toml_text


def write_folder(told: ProgrammeFolder, folder: Path) -> tuple[str, ...]:
    """Write a programme into a folder.

    Returns the files written, as paths inside the folder.

    Raises
    ------
    FolderRefused
        The folder holds files that offtool did not write, or that were changed since; nothing is written.
    """
    try:
        return _write(told, folder)
    except OSError as error:
        remedy = "see that there is room and that you may write there"
        raise FolderRefused(
            f"it cannot be written: {error.strerror}", where=str(folder), remedy=remedy
        ) from error


def _write(told: ProgrammeFolder, folder: Path) -> tuple[str, ...]:
    before = _written_before(folder)
    if not folder.parent.is_dir():
        raise FolderRefused("there is no such folder", where=str(folder.parent), remedy="make it first")
    with _workshop(folder) as workshop:
        _write_all(told, workshop)
        files = sorted(path for path in workshop.rglob("*") if path.is_file())
        after = {path.relative_to(workshop).as_posix(): _checksum(path) for path in files}
        _write_text(workshop / WRITTEN, _written_text(after))
        if folder.exists():
            _refuse_foreign(folder, before, after)
            _move_in(workshop, folder, [*after, WRITTEN])
        else:
            workshop.rename(folder)
    for name in sorted(before.keys() - after.keys()):
        (folder / name).unlink(missing_ok=True)
    return (*after, WRITTEN)


@contextmanager
def _workshop(folder: Path) -> Iterator[Path]:
    """A folder beside the one to be written, gone afterwards."""
    workshop = folder.parent / f".{folder.name}-{secrets.token_hex(4)}"
    workshop.mkdir()
    try:
        yield workshop
    finally:
        shutil.rmtree(workshop, ignore_errors=True)


def _write_all(told: ProgrammeFolder, workshop: Path) -> None:
    _write_text(workshop / TOML, toml_text(_toml_of(told)))
    for name, row_type in CSV_TABLES.items():
        rows = getattr(told, name)
        if rows or name not in ONLY_WITH_ROWS:
            _write_text(workshop / row_type.table, table_text(row_type, rows))
    names = readings_file_names((trial.tool, trial.name) for trial in told.trials)
    for trial, readings in told.readings.items():
        with _new_file(workshop / READINGS / names[trial]).open("w", encoding="utf-8", newline="") as out:
            write_readings(out, readings)
    for name, file_type in FILES.items():
        for row in (one for one in getattr(told, name) if one.file):
            refuse_path_trick(row.file, Place(file_type.table, column="file"))
            _new_file(workshop / file_type.folder / row.file).write_bytes(told.original_of(row))


def _toml_of(told: ProgrammeFolder) -> ProgrammeToml:
    return ProgrammeToml(
        programme=told.programme,
        resins=told.resins,
        parts=told.parts,
        gauges=told.gauges,
        tools=told.tools,
        cavities=told.cavities,
        states=told.states,
        trials=told.trials,
        joints=told.joints,
        joint_sizes=told.joint_sizes,
        seams=told.seams,
        seam_sizes=told.seam_sizes,
    )


def _write_text(path: Path, text: str) -> None:
    path.write_text(text, encoding="utf-8", newline="")


def _new_file(path: Path) -> Path:
    path.parent.mkdir(exist_ok=True)
    return path


def _checksum(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _written_text(files: dict[str, str]) -> str:
    return "".join(map(csv_line, [("file", "sha256"), *files.items()]))


def _written_before(folder: Path) -> dict[str, str]:
    """What was written into the folder before, with checksums. Raises FolderRefused if others wrote in it."""
    if not folder.exists() and not folder.is_symlink():
        return {}
    if not folder.is_dir():
        raise FolderRefused("it is a file", where=str(folder), remedy="name a new folder")
    path = find_file(folder, WRITTEN)
    if path is None:
        if any(folder.iterdir()):
            remedy = "name a new or empty folder"
            raise FolderRefused("it holds files that offtool did not write", where=str(folder), remedy=remedy)
        return {}
    lines = records(path, WRITTEN)
    next(lines, None)
    return dict(_listed(line, record) for line, record in lines)


def _listed(line: int, record: list[str]) -> tuple[str, str]:
    """A row of written.csv. Raises FolderRefused for what offtool never writes, such as a way out."""
    name = record[0]
    tables = {TOML, *(row.table for row in CSV_TABLES.values())}
    within, _, plain = name.rpartition("/")
    refuse_path_trick(plain, Place(WRITTEN, line, "file"))
    if len(record) != 2 or not (name in tables or within in FOLDERS):
        raise Place(WRITTEN, line).refuse(f"{name!r} is no file of a programme folder", "name a new folder")
    return name, record[1]


def _refuse_foreign(folder: Path, before: dict[str, str], after: dict[str, str]) -> None:
    """Whatever would be overwritten or removed must be as it was written before."""
    for name in sorted({*before, *after, *FOLDERS}):
        path = folder / name
        if path.is_symlink():
            raise Place(name).refuse("it is a link", "remove it, or name a new folder")
        if not path.exists() or (path.is_dir() and name in FOLDERS):
            continue
        if name not in before or not path.is_file():
            raise Place(name).refuse("offtool did not write it", "move it away, or name a new folder")
        if _checksum(path) != before[name]:
            remedy = "load the folder first, or name a new one: your change would be lost"
            raise Place(name).refuse("it was changed since it was written", remedy)


def _move_in(workshop: Path, folder: Path, names: list[str]) -> None:
    for name in names:
        target = folder / name
        target.parent.mkdir(parents=True, exist_ok=True)
        (workshop / name).replace(target)

"""Several files as one trial: those of an archive, of a folder, or chosen together.

What an archive declares is checked before a byte of it is unpacked, and no more is unpacked than it declares.
A file of an archive is only ever a name and bytes: nothing is written to a disk.
"""

from __future__ import annotations

import io
import re
import stat
import zipfile
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import PurePosixPath

from offtool.exchange.readings.ledger import quote
from offtool.exchange.readings.limits import MAX_PACKED, refuse_beyond
from offtool.exchange.readings.table import FileRefused
from offtool.exchange.readings.unpack import ZIP_SIGNATURE

_EMPTY_ARCHIVE = b"PK\x05\x06"
_OFFICE = ("[Content_Types].xml", "mimetype")
"""Parts that only documents of an office program have; a workbook is a file, not an archive of files."""

_ENCRYPTED = 0x1
_LARGE = 1_000_000
"""Small files may be packed as tightly as they like."""

_OTHERS = re.compile(r"__macosx/.*|(?:.*/)?(?:\.[^/]*|~\$[^/]*|thumbs\.db|desktop\.ini)", re.IGNORECASE)
_READABLE = {".csv", ".tsv", ".txt", ".xlsx", ".xlsm", ".qif", ".xml"}
_NOTES = {".txt", ".xml"}
_HIDDEN = "is a hidden file of a computer, not of the gauge room"
_DAMAGED = "pack the files again, or send them unpacked"


@dataclass(frozen=True, slots=True)
class SentFile:
    """A file as it was sent: the name it is shown by, its place in a folder or archive, its bytes."""

    name: str
    content: bytes = field(repr=False)
    path: str = ""

    @property
    def suffix(self) -> str:
        return PurePosixPath(self.name).suffix.casefold()


@dataclass(frozen=True, slots=True)
class FileLeftOut:
    """A file that is not read, and why; ``is_missed`` when readings might be in it."""

    name: str
    why: str
    is_missed: bool = False

    def __str__(self) -> str:
        return f"{self.name}: {self.why}"


def is_archive(content: bytes) -> bool:
    """Whether bytes are a zip of files, and no workbook or other document in the form of a zip."""
    if content.startswith(_EMPTY_ARCHIVE):
        return True
    if not content.startswith(ZIP_SIGNATURE):
        return False
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            return not set(_OFFICE) & set(archive.namelist())
    except Exception:  # damaged: the reader of workbooks says so; hostile archives raise errors of many kinds
        return False


def unpack_files(files: Iterable[SentFile]) -> tuple[list[SentFile], list[FileLeftOut]]:
    """All files, those of archives unpacked, in the natural order of their names; and those left out.

    Raises FileRefused for an archive that is encrypted, damaged, too large, or has another inside.
    """
    found: list[SentFile] = []
    left_out: list[FileLeftOut] = []
    for file in files:
        members = _unpacked(file) if is_archive(file.content) else [file]
        for one in members:
            if _OTHERS.fullmatch(one.path or one.name):
                left_out.append(FileLeftOut(one.name, _HIDDEN))
            else:
                found.append(one)
        refuse_beyond("files", len(found), where=file.name)
        refuse_beyond("bytes together", sum(len(one.content) for one in found), where=file.name)
    found.sort(key=lambda one: natural(one.path or one.name))
    return _with_names_of_their_own(found), left_out


def left_out(file: SentFile, refusal: FileRefused) -> FileLeftOut:
    """A file that could not be read. One that is named like a table is missed; a note or a picture is not."""
    missed = file.suffix in _READABLE - _NOTES
    return FileLeftOut(file.name, f"{refusal.what}; {refusal.remedy}" if missed else refusal.what, missed)


def natural(name: str) -> list[tuple[int, int, str]]:
    """2 before 10, in whatever capitals."""
    pieces = re.split(r"([0-9]+)", name.casefold())
    return [(0, int(one), "") if one.isdecimal() else (1, 0, one) for one in pieces if one]


def _unpacked(file: SentFile) -> list[SentFile]:
    try:
        with zipfile.ZipFile(io.BytesIO(file.content)) as archive:
            return _members(archive, file.name)
    except FileRefused:
        raise
    except Exception as error:  # hostile archives make the standard library raise errors of many kinds
        raise FileRefused("is a damaged archive", where=file.name, remedy=_DAMAGED) from error


def _members(archive: zipfile.ZipFile, name: str) -> list[SentFile]:
    members = [one for one in archive.infolist() if not one.is_dir() and not _is_link(one)]
    refuse_beyond("files", len(members), where=name)
    refuse_beyond("bytes together", sum(one.file_size for one in members), where=name)
    if not members:
        raise FileRefused("is an archive without files", where=name, remedy="pack the files again")
    found = []
    for one in members:
        path = safe_path(one.filename)
        _refuse_odd(one, f"{name}, {quote(path)}")
        content = archive.read(one)
        if is_archive(content):
            what = f"holds an archive in the archive: {quote(path)}"
            raise FileRefused(what, where=name, remedy="unpack it, and pack its files anew")
        found.append(SentFile(PurePosixPath(path).name, content, path))
    return found


def _refuse_odd(member: zipfile.ZipInfo, where: str) -> None:
    if member.flag_bits & _ENCRYPTED:
        raise FileRefused("is locked by a password", where=where, remedy="pack the files without one")
    refuse_beyond("bytes", member.file_size, where=where)
    if member.file_size > _LARGE and member.file_size > MAX_PACKED * max(member.compress_size, 1):
        refuse_beyond("packing", member.file_size // max(member.compress_size, 1), where=where)


def _is_link(member: zipfile.ZipInfo) -> bool:
    return stat.S_ISLNK(member.external_attr >> 16)


def safe_path(path: str) -> str:
    """A path below its archive; one that would lead out of it is reduced to its last name."""
    parts = [part for part in path.replace("\\", "/").split("/") if part not in ("", ".")]
    leads_out = ".." in parts or path.startswith(("/", "\\")) or ":" in path[:3]
    kept = [part for part in parts if part != ".."] or ["file"]
    return kept[-1] if leads_out else "/".join(kept)


def _with_names_of_their_own(files: Sequence[SentFile]) -> list[SentFile]:
    """Files of the same name in different folders are shown with their folders."""
    names = [one.name for one in files]
    twice = {name for name in names if names.count(name) > 1} if len(set(names)) < len(names) else set()
    return [_with_folders(one) if one.name in twice else one for one in files]


def _with_folders(file: SentFile) -> SentFile:
    return SentFile((file.path or file.name).replace("/", " - "), file.content, file.path)

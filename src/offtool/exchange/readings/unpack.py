"""A workbook checked and packed anew before the spreadsheet reader sees it.

The reader trusts what an archive declares and holds a sheet as one rectangle, so that a small hostile file,
or one stray cell in the last corner, would take all memory. Here every part that is needed is unpacked and
counted, the used rectangle of each sheet is found, and only these parts go on. On the way two things are seen
that the reader shows as empty cells: errors of formulas, and formulas without a stored result.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterator
from xml.etree import ElementTree

from offtool.exchange.readings.limits import refuse_beyond
from offtool.exchange.readings.sheet_scan import SheetScan
from offtool.exchange.readings.table import FileRefused

ZIP_SIGNATURE = b"PK\x03\x04"

_WORKBOOK, _RELATIONS = "xl/workbook.xml", "xl/_rels/workbook.xml.rels"
_ALWAYS = (
    "[Content_Types].xml",
    "_rels/.rels",
    _WORKBOOK,
    _RELATIONS,
    "xl/sharedStrings.xml",
    "xl/styles.xml",
)

_INDEX_BYTES = 10_000_000
"""The list of sheets of a workbook is some kilobytes; more is no list of sheets."""

_PIECE = 1 << 20
_OLD_OR_OTHER = "open it in a spreadsheet and save it as .xlsx"


def unpack(content: bytes, name: str) -> tuple[bytes, dict[str, SheetScan]]:
    """The checked workbook, and what was seen in each sheet, by its name; raises FileRefused."""
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            return _repack(archive, name)
    except FileRefused:
        raise
    except Exception as error:  # hostile archives make the standard library raise errors of many kinds
        raise _damaged(name) from error


def _repack(archive: zipfile.ZipFile, name: str) -> tuple[bytes, dict[str, SheetScan]]:
    members = {member.filename: member for member in archive.infolist()}
    if _WORKBOOK not in members:
        raise FileRefused("is an archive, but no .xlsx workbook", where=name, remedy=_OLD_OR_OTHER)
    if len(members) != len(archive.infolist()):
        raise _damaged(name)
    refuse_beyond("unpacked bytes", sum(member.file_size for member in members.values()), where=name)
    parts = _sheet_parts(archive, name)
    scans: dict[str, SheetScan] = {}
    checked = io.BytesIO()
    with zipfile.ZipFile(checked, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as anew:
        for part in [part for part in _ALWAYS if part in members] + sorted({*parts.values()} & {*members}):
            scan = scans.setdefault(part, SheetScan()) if part in parts.values() else None
            with anew.open(part, "w") as copy:
                for piece in _pieces(archive, part):
                    copy.write(piece)
                    if scan:
                        scan.feed(piece)
            if scan:
                scan.finish()
    return checked.getvalue(), {sheet: scans[part] for sheet, part in parts.items() if part in scans}


def _pieces(archive: zipfile.ZipFile, part: str) -> Iterator[bytes]:
    """The unpacked bytes; never more than the archive declares, whose sum is checked before."""
    with archive.open(part) as packed:
        while piece := packed.read(_PIECE):
            yield piece


def _sheet_parts(archive: zipfile.ZipFile, name: str) -> dict[str, str]:
    """The part of the archive that holds each sheet, by the name of the sheet."""
    targets = {
        relation.get("Id", ""): relation.get("Target", "")
        for relation in _elements(archive, _RELATIONS, name)
    }
    parts = {}
    for sheet in _elements(archive, _WORKBOOK, name):
        if _local(sheet.tag) == "sheet":
            identity = next((value for key, value in sheet.attrib.items() if _local(key) == "id"), "")
            target = targets.get(identity, "").removeprefix("/")
            parts[sheet.get("name", "")] = target if target.startswith("xl/") else f"xl/{target}"
    return parts


def _elements(archive: zipfile.ZipFile, part: str, name: str) -> Iterator[ElementTree.Element]:
    if archive.getinfo(part).file_size > _INDEX_BYTES:
        raise _damaged(name)
    xml = archive.read(part)
    if b"<!" in xml.replace(b"<!--", b""):  # no workbook declares entities; refusing them keeps bombs out
        raise _damaged(name)
    return ElementTree.fromstring(xml).iter()  # noqa: S314  declarations are refused one line above


def _local(tag: str) -> str:
    return tag.rpartition("}")[2]


def _damaged(name: str) -> FileRefused:
    return FileRefused(
        "is a damaged workbook",
        where=name,
        remedy="open it in a spreadsheet, let it repair the file, and save it anew",
    )

"""The pages that read a file: choose it, see what is understood of it, keep it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django import forms

from offtool.exchange.readings import FileLeftOut, RefusedCell, Repair
from offtool.exchange.readings.limits import MAX_BYTES
from offtool.reports import words
from offtool.steps.findings import Fact
from offtool.steps.reading_preview import (
    FilePreview,
    MatchedCharacteristic,
    ReadingPreview,
    ReadingsKept,
    RefusedInFile,
    RepairInFile,
)
from offtool.steps.sentences import count, decimals_for
from offtool.web.pages.frame import Frame

CELLS_SHOWN = 500
"""Repaired or refused cells on the page; a file with more is listed whole in its JSON."""

LAYOUTS = {
    "wide": "a column a size, a row a part",
    "long": "a row a reading",
    "report": "first-article report: a row a size, a column for each cavity and part",
    "QIF": "results in QIF (ISO 23952)",
}
SEPARATORS = {
    ",": "comma",
    ";": "semicolon",
    "\t": "tab",
    "|": "upright line",
    " ": "space",
    ":": "colon",
    "": "none",
}
DECIMAL_MARKS = {".": "point", ",": "comma"}


@dataclass(frozen=True, slots=True, kw_only=True)
class CellRow:
    """One cell, where it stands, what was found and what follows."""

    place: str
    found: str
    then: str
    """How it is read, or why it is refused."""
    note: str
    """Why it is read so, or what to do."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HeadingRow:
    """A heading of the file beside the size it is taken for."""

    label: str
    size: str
    limits: str
    readings: int
    problem: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FileRow:
    """One file among several, and which part it is of."""

    name: str
    place: str
    readings: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PreviewShown:
    """What is understood of a file."""

    when: str
    headline: str
    can_be_kept: bool
    """Whether nothing stands in the way but cells to leave out."""
    problems: tuple[str, ...]
    """What must be mended first."""
    how: tuple[Fact, ...]
    """How the file is read."""
    notes: tuple[str, ...]
    headings: tuple[HeadingRow, ...]
    refused: tuple[CellRow, ...]
    refused_more: int
    """Refused cells that do not fit on the page."""
    repairs: tuple[CellRow, ...]
    repairs_more: int
    files: tuple[FileRow, ...] = ()
    """Each file, where several were sent as one."""
    left_out: tuple[FileLeftOut, ...] = ()
    """Files among several that are not read."""
    must_leave_out: str = ""
    """What is kept only when it is left out by hand: cells, files, or both."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FilePage:
    """Choose a file."""

    frame: Frame
    headline: str
    lead: str
    """What happens with the file."""
    refusal: str
    """Why it must be chosen again."""
    form: forms.Form
    largest: str = f"{MAX_BYTES // 1_000_000} MB"
    """The largest file that is read."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PreviewPage:
    """A file as it is understood, and the form to keep it."""

    frame: Frame
    preview: PreviewShown | None
    """None where nothing can be made of the file; `how_form` may help."""
    file: str
    """Its name, as it was sent."""
    refusal: str
    """Why nothing can be made of it."""
    how_form: forms.Form
    """Read it otherwise: layout, sheet."""
    keep_form: Any
    """Where to keep it, what to leave out."""
    again: str
    """The address to choose another file."""


def preview_shown(preview: ReadingPreview, *, is_start: bool = False) -> PreviewShown:
    """A preview in words. At the start every heading becomes a new size."""
    workbook = preview.sheet is not None
    sheet = f", sheet {preview.sheet}" if workbook else ""
    sheet += f", {count(len(preview.files), 'file')}" if preview.files else ""
    return PreviewShown(
        when=f"{preview.file}, {_bytes(preview.size)}{sheet}",
        headline=_headline(preview),
        can_be_kept=preview.can_be_kept,
        problems=preview.problems,
        how=tuple(_how(preview)),
        notes=preview.notes,
        headings=tuple(_heading_row(one, is_start) for one in preview.characteristics),
        refused=tuple(_refused_row(cell, workbook) for cell in preview.refused[:CELLS_SHOWN]),
        refused_more=max(len(preview.refused) - CELLS_SHOWN, 0),
        repairs=tuple(_repair_row(cell, workbook) for cell in preview.repairs[:CELLS_SHOWN]),
        repairs_more=max(len(preview.repairs) - CELLS_SHOWN, 0),
        files=tuple(map(_file_row, preview.files)),
        left_out=preview.left_out,
        must_leave_out=" and ".join(
            thing for thing, there in (("cells", preview.refused), ("files", preview.missed)) if there
        ),
    )


def _headline(preview: ReadingPreview) -> str:
    sizes = count(len(preview.characteristics), "size")
    cavities = f" in {count(len(preview.cavities), 'cavity', 'cavities')}" if preview.cavities else ""
    start = f"{count_large(preview.readings, 'reading')} of {sizes}{cavities}"
    if preview.problems:
        return f"{start}: {count(len(preview.problems), 'thing')} to mend first."
    if preview.refused or preview.missed:
        unread = ((preview.refused, "cell"), (preview.missed, "file"))
        said = " and ".join(count(len(them), thing) for them, thing in unread if them)
        return f"{start}; {said} cannot be read."
    return f"{start}, every cell read." if preview.readings else "No reading was found in this file."


def count_large(number: int, thing: str) -> str:
    """1,440 readings."""
    return f"{number:,} {thing}{'' if number == 1 else 's'}"


def _how(preview: ReadingPreview) -> list[Fact]:
    shots = f"{preview.shots[0]} to {preview.shots[1]}" if preview.shots else "not recorded"
    told = [
        ("Layout", LAYOUTS.get(preview.layout, preview.layout)),
        ("Cavities", ", ".join(preview.cavities) or "not recorded"),
        ("Shots", shots),
        ("Empty cells", f"{preview.missing:,}"),
    ]
    if preview.sheet is None and preview.layout != "QIF":
        told += [
            ("Separator", SEPARATORS.get(preview.delimiter, preview.delimiter)),
            ("Encoding", preview.encoding),
        ]
    mark = ("Decimal mark", DECIMAL_MARKS.get(preview.decimal, preview.decimal))
    told.append(("File", preview.encoding) if preview.layout == "QIF" else mark)
    return [Fact(about=about, says=says) for about, says in told]


def _heading_row(one: MatchedCharacteristic, is_start: bool) -> HeadingRow:
    size = " ".join(filter(None, [one.part, one.number, one.name])) if one.number else ""
    return HeadingRow(
        label=one.label,
        size=size or ("" if one.problem else "a new size" if is_start else ""),
        limits=_limits(one),
        readings=one.readings,
        problem=one.problem,
    )


def _limits(one: MatchedCharacteristic) -> str:
    if one.lower is None and one.upper is None:
        return ""
    ends = [end for end in (one.lower, one.upper) if end is not None]
    nominal = one.nominal if one.nominal is not None else sum(ends) / len(ends)
    decimals = decimals_for(one.lower, one.upper, nominal)
    return f"{words.limits(one.lower, one.upper, nominal=nominal, decimals=decimals)} {one.unit}"


def _repair_row(cell: Repair, workbook: bool) -> CellRow:
    return CellRow(place=_place(cell, workbook), found=cell.found, then=cell.read_as, note=cell.why)


def _refused_row(cell: RefusedCell, workbook: bool) -> CellRow:
    return CellRow(place=_place(cell, workbook), found=cell.found, then=cell.why, note=cell.remedy)


def _place(cell: Repair | RefusedCell, workbook: bool) -> str:
    """E14 as a spreadsheet says it, or row and column of a text file; after its name among several."""
    if isinstance(cell, RepairInFile | RefusedInFile):
        return f"{cell.file}, row {cell.row}, column {cell.column}"
    return f"{column_letters(cell.column)}{cell.row}" if workbook else f"row {cell.row}, column {cell.column}"


def _file_row(one: FilePreview) -> FileRow:
    said = (("cavity", one.cavity or None), ("shot", one.shot), ("part", one.part))
    place = " ".join(f"{what} {which}" for what, which in said if which is not None)
    return FileRow(name=one.name, place=place, readings=one.readings)


def column_letters(column: int) -> str:
    """1 is A, 26 is Z, 27 is AA."""
    letters = ""
    while column > 0:
        column, letter = divmod(column - 1, 26)
        letters = chr(ord("A") + letter) + letters
    return letters


def _bytes(size: int) -> str:
    for unit, step in (("MB", 1_000_000), ("kB", 1_000)):
        if size >= step:
            return f"{size / step:.1f} {unit}"
    return f"{size} bytes"


def kept_in_words(kept: ReadingsKept) -> str:
    """What was kept, in a sentence or two."""
    readings = count_large(kept.readings, "reading")
    said = f"{readings} of {kept.what} are kept in trial {kept.trial}, state {kept.state}."
    if kept.left_out:
        said += f" {count(kept.left_out, 'cell')} left out."
    if kept.files_left_out:
        said += f" {count(len(kept.files_left_out), 'file')} not read: {', '.join(kept.files_left_out[:5])}."
    if kept.predictions_judged:
        said += f" {count(kept.predictions_judged, 'prediction')} judged."
    return said

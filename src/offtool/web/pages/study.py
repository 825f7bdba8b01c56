"""The page that shows the file of a gauge study as it is understood, and keeps it."""

from __future__ import annotations

from dataclasses import dataclass

from offtool.core.values import Caution
from offtool.exchange.readings import RefusedCell, Repair
from offtool.steps.findings import Fact
from offtool.steps.sentences import count
from offtool.steps.study_preview import StudyKept, StudyPreview
from offtool.web.pages.reading import (
    CELLS_SHOWN,
    DECIMAL_MARKS,
    SEPARATORS,
    CellRow,
    column_letters,
    count_large,
)

NAMES_SHOWN = 12
LAYOUTS = {
    "long": "a row a reading",
    "wide": "a row a part, a column for each person and repeat",
    "sheet": "a row for each person and repeat, a column a part",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class StudyShown:
    """What is understood of a file."""

    headline: str
    says: str
    """What the study would say; empty where it cannot be analysed."""
    cautions: tuple[Caution, ...]
    can_be_kept: bool
    problems: tuple[str, ...]
    how: tuple[Fact, ...]
    notes: tuple[str, ...]
    refused: tuple[CellRow, ...]
    repairs: tuple[CellRow, ...]


def study_shown(preview: StudyPreview) -> StudyShown:
    """A preview in words."""
    workbook = preview.sheet is not None
    return StudyShown(
        headline=_headline(preview),
        says=preview.headline,
        cautions=preview.cautions,
        can_be_kept=preview.can_be_kept,
        problems=preview.problems,
        how=tuple(Fact(about=about, says=says) for about, says in _how(preview) if says),
        notes=preview.notes,
        refused=tuple(refused_row(cell, workbook) for cell in preview.refused[:CELLS_SHOWN]),
        repairs=tuple(repair_row(cell, workbook) for cell in preview.repairs[:CELLS_SHOWN]),
    )


def _headline(preview: StudyPreview) -> str:
    people = count(len(preview.operators), "person", "people")
    by = f" by {people}" if preview.operators else ""
    start = f"{count_large(preview.readings, 'reading')} of {count(len(preview.parts), 'part')}{by}"
    if preview.problems:
        return f"{start}: {count(len(preview.problems), 'thing')} to mend first."
    if preview.refused:
        return f"{start}; {count(len(preview.refused), 'cell')} cannot be read."
    return f"{start}, every cell read."


def _how(preview: StudyPreview) -> list[tuple[str, str]]:
    tolerance = f"{preview.tolerance:.6g} {preview.unit}".rstrip() if preview.tolerance else "none"
    told = [
        ("Layout", LAYOUTS.get(preview.layout, preview.layout)),
        ("Parts", _names(preview.parts)),
        ("People", _names(preview.operators) or "not named"),
        ("Repeats", f"up to {preview.repeats}"),
        ("Unit", preview.unit or "not stated"),
        ("Tolerance", tolerance),
        ("Empty cells", f"{preview.missing:,}" if preview.missing else ""),
    ]
    if preview.sheet is None:
        told += [
            ("Separator", SEPARATORS.get(preview.delimiter, preview.delimiter)),
            ("Encoding", preview.encoding),
        ]
    else:
        told.append(("Sheet", preview.sheet))
    return [*told, ("Decimal mark", DECIMAL_MARKS.get(preview.decimal, preview.decimal))]


def repair_row(cell: Repair, workbook: bool) -> CellRow:
    """A cell that is read otherwise than it is written."""
    return CellRow(
        place=_place(cell.row, cell.column, workbook), found=cell.found, then=cell.read_as, note=cell.why
    )


def refused_row(cell: RefusedCell, workbook: bool) -> CellRow:
    """A cell that cannot be read."""
    return CellRow(
        place=_place(cell.row, cell.column, workbook), found=cell.found, then=cell.why, note=cell.remedy
    )


def _place(row: int, column: int, workbook: bool) -> str:
    """E14 as a spreadsheet says it, or row and column of a text file."""
    return f"{column_letters(column)}{row}" if workbook else f"row {row}, column {column}"


def _names(names: tuple[str, ...]) -> str:
    more = len(names) - NAMES_SHOWN
    return ", ".join(names[:NAMES_SHOWN]) + (f" and {more} more" if more > 0 else "")


def study_kept_in_words(kept: StudyKept) -> str:
    """What was kept, in a sentence or two."""
    said = f"{count_large(kept.readings, 'reading')} of {kept.file} are kept as study {kept.study}."
    return said + (f" {count(kept.left_out, 'cell')} left out." if kept.left_out else "")

"""The page that shows the file of a change of colour as it is understood, and keeps it."""

from __future__ import annotations

from dataclasses import dataclass

from offtool.core.values import Caution
from offtool.exchange.readings import RefusedCell, Repair
from offtool.steps.findings import Fact
from offtool.steps.keep_colour_change import ChangeKept, ChangePreview
from offtool.steps.sentences import count, sentence
from offtool.web.pages.reading import CELLS_SHOWN, DECIMAL_MARKS, SEPARATORS, CellRow, column_letters


@dataclass(frozen=True, slots=True, kw_only=True)
class ShotsShown:
    """What is understood of a file."""

    headline: str
    says: str
    """What its shots would tell of the press."""
    cautions: tuple[Caution, ...]
    can_be_kept: bool
    problems: tuple[str, ...]
    how: tuple[Fact, ...]
    notes: tuple[str, ...]
    refused: tuple[CellRow, ...]
    repairs: tuple[CellRow, ...]


def shots_shown(preview: ChangePreview) -> ShotsShown:
    """A preview in words."""
    workbook = preview.file.sheet is not None
    return ShotsShown(
        headline=_headline(preview),
        says=sentence(preview.fit_words) if preview.fit_words else "",
        cautions=preview.cautions,
        can_be_kept=preview.can_be_kept,
        problems=preview.problems,
        how=tuple(Fact(about=about, says=says) for about, says in _how(preview) if says),
        notes=preview.file.notes,
        refused=tuple(_refused(cell, workbook) for cell in preview.refused[:CELLS_SHOWN]),
        repairs=tuple(_repair(cell, workbook) for cell in preview.file.repairs[:CELLS_SHOWN]),
    )


def _headline(preview: ChangePreview) -> str:
    start = f"{count(preview.shots, 'shot')} of {preview.file.name}"
    if preview.problems:
        return f"{start}: {count(len(preview.problems), 'thing')} to mend first."
    if preview.refused:
        return f"{start}; {count(len(preview.refused), 'cell')} cannot be read."
    return f"{start}, every cell read."


def _how(preview: ChangePreview) -> list[tuple[str, str]]:
    file = preview.file
    told = [
        ("Press", preview.press),
        ("First", _shot(preview.first, preview.first_difference)),
        ("Last", _shot(preview.last, preview.last_difference)),
    ]
    if file.sheet is None:
        separator = SEPARATORS.get(file.delimiter, file.delimiter)
        told += [("Separator", separator), ("Encoding", file.encoding)]
    else:
        told.append(("Sheet", file.sheet))
    return [*told, ("Decimal mark", DECIMAL_MARKS.get(file.decimal, file.decimal))]


def _shot(number: int, off: float | None) -> str:
    return f"shot {number}" if off is None else f"shot {number}, ΔE {off:.1f} from the new colour"


def _repair(cell: Repair, workbook: bool) -> CellRow:
    place = _place(cell.row, cell.column, workbook)
    return CellRow(place=place, found=cell.found, then=cell.read_as, note=cell.why)


def _refused(cell: RefusedCell, workbook: bool) -> CellRow:
    place = _place(cell.row, cell.column, workbook)
    return CellRow(place=place, found=cell.found, then=cell.why, note=cell.remedy)


def _place(row: int, column: int, workbook: bool) -> str:
    """E14 as a spreadsheet says it, or row and column of a text file."""
    return f"{column_letters(column)}{row}" if workbook else f"row {row}, column {column}"


def change_kept_in_words(kept: ChangeKept) -> str:
    """What was kept, in a sentence or two."""
    said = f"{count(kept.shots, 'shot')} of {kept.file} are kept as {kept.change} of {kept.press}."
    return said + (f" {count(kept.left_out, 'cell')} left out." if kept.left_out else "")

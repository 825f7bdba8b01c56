"""The pages on which a sheet of a pilot is chosen, shown as it is understood, and kept."""

from __future__ import annotations

from dataclasses import dataclass

from offtool.core.values import Caution
from offtool.exchange.readings import RefusedCell, Repair
from offtool.steps.findings import Fact
from offtool.steps.pilot_file_preview import PilotFileKept, PilotFilePreview, StationInFile
from offtool.steps.pilot_layouts import PilotSheet
from offtool.steps.sentences import count
from offtool.web.pages.reading import CELLS_SHOWN, DECIMAL_MARKS, SEPARATORS, CellRow, column_letters


@dataclass(frozen=True, slots=True, kw_only=True)
class InSheetRow:
    """What a sheet says of one station, seam or joint."""

    name: str
    rows: int
    hours: str
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetShown:
    """What is understood of a sheet."""

    headline: str
    cautions: tuple[Caution, ...]
    can_be_kept: bool
    problems: tuple[str, ...]
    seen: tuple[InSheetRow, ...]
    how: tuple[Fact, ...]
    notes: tuple[str, ...]
    refused: tuple[CellRow, ...]
    repairs: tuple[CellRow, ...]


def sheet_shown(preview: PilotFilePreview, sheet: PilotSheet) -> SheetShown:
    """A preview in words."""
    file = preview.file
    workbook = file.sheet is not None
    return SheetShown(
        headline=_headline(preview, sheet),
        cautions=preview.cautions,
        can_be_kept=preview.can_be_kept,
        problems=preview.problems,
        seen=tuple(map(_seen, preview.seen)),
        how=tuple(Fact(about=about, says=says) for about, says in _how(preview) if says),
        notes=file.notes,
        refused=tuple(_refused(cell, workbook) for cell in preview.refused[:CELLS_SHOWN]),
        repairs=tuple(_repair(cell, workbook) for cell in file.repairs[:CELLS_SHOWN]),
    )


def _headline(preview: PilotFilePreview, sheet: PilotSheet) -> str:
    start = f"{count(preview.rows, sheet.thing)} in {preview.file.name}"
    if preview.problems:
        return f"{start}: {count(len(preview.problems), 'thing')} to mend first."
    if preview.refused:
        return f"{start}; {count(len(preview.refused), 'row or cell', 'rows or cells')} cannot be taken."
    return f"{start}, every row read."


def _seen(one: StationInFile) -> InSheetRow:
    hours = one.hours
    span = f"{hours[0]} to {hours[-1]}" if len(hours) > 1 else "".join(map(str, hours)) or "not said"
    return InSheetRow(name=one.name, rows=one.rows, hours=span, says=one.says)


def _how(preview: PilotFilePreview) -> list[tuple[str, str]]:
    file = preview.file
    told = [("Empty cells", f"{file.missing:,}" if file.missing else "")]
    if file.sheet is None:
        separator = SEPARATORS.get(file.delimiter, file.delimiter)
        told += [("Separator", separator), ("Encoding", file.encoding)]
    else:
        told.append(("Sheet", file.sheet))
    return [*told, ("Decimal mark", DECIMAL_MARKS.get(file.decimal, file.decimal))]


def _repair(cell: Repair, workbook: bool) -> CellRow:
    found = cell.found or "empty"
    return CellRow(
        place=_place(cell.row, cell.column, workbook), found=found, then=cell.read_as, note=cell.why
    )


def _refused(cell: RefusedCell, workbook: bool) -> CellRow:
    return CellRow(
        place=_place(cell.row, cell.column, workbook), found=cell.found, then=cell.why, note=cell.remedy
    )


def _place(row: int, column: int, workbook: bool) -> str:
    """E14 as a spreadsheet says it, or row and column of a text file."""
    return f"{column_letters(column)}{row}" if workbook else f"row {row}, column {column}"


def sheet_kept_in_words(kept: PilotFileKept) -> str:
    """What was kept, in a sentence or two."""
    said = (
        f"{count(kept.rows, 'row')} of {kept.file} are kept as {kept.kind} {kept.name} of pilot {kept.pilot}."
    )
    return said + (
        f" {count(kept.left_out, 'row or cell', 'rows or cells')} left out." if kept.left_out else ""
    )

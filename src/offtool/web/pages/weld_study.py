"""The page that shows the file of a weld study as it is understood, and keeps it."""

from __future__ import annotations

from dataclasses import dataclass

from offtool.core.values import Caution
from offtool.exchange.readings import RefusedCell, Repair
from offtool.steps.findings import Fact
from offtool.steps.sentences import count
from offtool.steps.weld_study_preview import NumberSeen, WeldStudyKept, WeldStudyPreview
from offtool.web.pages.reading import CELLS_SHOWN, DECIMAL_MARKS, SEPARATORS, CellRow, column_letters


@dataclass(frozen=True, slots=True, kw_only=True)
class NumbersRow:
    """One column of numbers at a glance."""

    what: str
    runs: int
    values: str
    span: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WeldStudyShown:
    """What is understood of a file."""

    headline: str
    cautions: tuple[Caution, ...]
    can_be_kept: bool
    problems: tuple[str, ...]
    numbers: tuple[NumbersRow, ...]
    how: tuple[Fact, ...]
    notes: tuple[str, ...]
    refused: tuple[CellRow, ...]
    repairs: tuple[CellRow, ...]


def weld_study_shown(preview: WeldStudyPreview) -> WeldStudyShown:
    """A preview in words."""
    file = preview.file
    workbook = file.sheet is not None
    return WeldStudyShown(
        headline=_headline(preview),
        cautions=preview.cautions,
        can_be_kept=preview.can_be_kept,
        problems=preview.problems,
        numbers=tuple(map(_numbers, preview.seen)),
        how=tuple(Fact(about=about, says=says) for about, says in _how(preview) if says),
        notes=file.notes,
        refused=tuple(_refused(cell, workbook) for cell in preview.refused[:CELLS_SHOWN]),
        repairs=tuple(_repair(cell, workbook) for cell in file.repairs[:CELLS_SHOWN]),
    )


def _headline(preview: WeldStudyPreview) -> str:
    start = f"{count(preview.runs, 'piece')} of {preview.file.name}"
    if preview.problems:
        return f"{start}: {count(len(preview.problems), 'thing')} to mend first."
    if preview.refused:
        return f"{start}; {count(len(preview.refused), 'cell')} cannot be read."
    return f"{start}, every cell read."


def _numbers(one: NumberSeen) -> NumbersRow:
    unit = f" {one.unit}"
    span = f"{one.lowest:g}{unit}" if one.levels == 1 else f"{one.lowest:g} to {one.highest:g}{unit}"
    values = "always the same" if one.levels == 1 else f"{one.levels} different"
    return NumbersRow(what=one.what, runs=one.runs, values=values, span=span)


def _how(preview: WeldStudyPreview) -> list[tuple[str, str]]:
    file = preview.file
    told = [
        ("Under the horn", _from(preview.top_part, preview.top_trial)),
        ("In the nest", _from(preview.bottom_part, preview.bottom_trial)),
        ("Pulled with", preview.gauge or "not recorded"),
        ("Held", f"{count(preview.held, 'pull')} stopped before the seam came apart" if preview.held else ""),
        ("Empty cells", f"{file.missing:,}" if file.missing else ""),
    ]
    if file.sheet is None:
        separator = SEPARATORS.get(file.delimiter, file.delimiter)
        told += [("Separator", separator), ("Encoding", file.encoding)]
    else:
        told.append(("Sheet", file.sheet))
    return [*told, ("Decimal mark", DECIMAL_MARKS.get(file.decimal, file.decimal))]


def _from(part: str, trial: str) -> str:
    return f"{part}, {trial}" if trial else f"{part}, no trial"


def _repair(cell: Repair, workbook: bool) -> CellRow:
    return CellRow(
        place=_place(cell.row, cell.column, workbook), found=cell.found, then=cell.read_as, note=cell.why
    )


def _refused(cell: RefusedCell, workbook: bool) -> CellRow:
    return CellRow(
        place=_place(cell.row, cell.column, workbook), found=cell.found, then=cell.why, note=cell.remedy
    )


def _place(row: int, column: int, workbook: bool) -> str:
    """E14 as a spreadsheet says it, or row and column of a text file."""
    return f"{column_letters(column)}{row}" if workbook else f"row {row}, column {column}"


def weld_study_kept_in_words(kept: WeldStudyKept) -> str:
    """What was kept, in a sentence or two."""
    said = f"{count(kept.runs, 'piece')} of {kept.file} are kept as weld study {kept.study}."
    return said + (f" {count(kept.left_out, 'cell')} left out." if kept.left_out else "")

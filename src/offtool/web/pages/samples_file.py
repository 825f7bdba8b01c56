"""The page that shows a register from a file as it is understood, and keeps it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from offtool.core.values import Caution
from offtool.exchange.readings import RefusedCell, Repair
from offtool.steps.findings import Fact
from offtool.steps.samples_from_file import PartInFile, SampleInFile, SamplesKept, SamplesPreview
from offtool.steps.sentences import count
from offtool.web.pages.reading import CELLS_SHOWN, DECIMAL_MARKS, SEPARATORS, CellRow, column_letters

SAMPLES_SHOWN = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class SampleFileRow:
    """One sample as it would be registered."""

    number: str
    name: str
    parts: tuple[str, ...]
    place: str
    holder: str
    also: str
    """All else that would be kept of it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SamplesFileShown:
    """What is understood of a file."""

    headline: str
    cautions: tuple[Caution, ...]
    can_be_kept: bool
    problems: tuple[str, ...]
    samples: tuple[SampleFileRow, ...]
    more: int
    """Samples beyond those that are listed."""
    how: tuple[Fact, ...]
    notes: tuple[str, ...]
    refused: tuple[CellRow, ...]
    repairs: tuple[CellRow, ...]


def samples_file_shown(preview: SamplesPreview) -> SamplesFileShown:
    """A preview in words."""
    file = preview.file
    workbook = file.sheet is not None
    return SamplesFileShown(
        headline=_headline(preview),
        cautions=preview.cautions,
        can_be_kept=preview.can_be_kept,
        problems=preview.problems,
        samples=tuple(map(_row, preview.samples[:SAMPLES_SHOWN])),
        more=max(len(preview.samples) - SAMPLES_SHOWN, 0),
        how=tuple(_how(preview)),
        notes=file.notes,
        refused=tuple(_refused(cell, workbook) for cell in preview.refused[:CELLS_SHOWN]),
        repairs=tuple(_repair(cell, workbook) for cell in file.repairs[:CELLS_SHOWN]),
    )


def samples_kept_in_words(kept: SamplesKept) -> str:
    """What was kept, in a sentence or two."""
    pieces = count(len(kept.numbers), "sample")
    said = f"{pieces} of {kept.file} {'is' if len(kept.numbers) == 1 else 'are'} registered."
    return said + (f" {count(kept.left_out, 'cell')} left out." if kept.left_out else "")


def _headline(preview: SamplesPreview) -> str:
    start = f"{count(len(preview.samples), 'sample')} of {preview.file.name}"
    if preview.problems:
        return f"{start}: {count(len(preview.problems), 'thing')} to mend first."
    if preview.refused:
        return f"{start}; {count(len(preview.refused), 'cell')} cannot be read."
    return f"{start}, every cell read."


def _row(one: SampleInFile) -> SampleFileRow:
    parts = tuple(map(_part, one.parts))
    return SampleFileRow(
        number=one.number,
        name=one.name,
        parts=parts,
        place=one.place,
        holder=one.holder,
        also="; ".join(f"{about} {said}" for about, said in one.also),
    )


def _part(one: PartInFile) -> str:
    """left arm (HO-04): T2 of M2, state b, cavity 5, shot 41."""
    named = one.label if one.label == one.part else f"{one.label} ({one.part})"
    told = (
        " of ".join(filter(None, (one.trial, one.tool))),
        f"state {one.state}" if one.state else "",
        f"cavity {one.cavity}" if one.cavity else "",
        f"shot {one.shot}" if one.shot is not None else "",
        one.colour,
    )
    tag = ", ".join(filter(None, told))
    return f"{named}: {tag}" if tag else named


def _how(preview: SamplesPreview) -> Iterator[Fact]:
    file = preview.file
    yield Fact(about="Parts", says=f"{preview.parts:,}")
    if file.sheet is None:
        yield Fact(about="Separator", says=SEPARATORS.get(file.delimiter, file.delimiter))
        yield Fact(about="Encoding", says=file.encoding)
    else:
        yield Fact(about="Sheet", says=file.sheet)
    yield Fact(about="Decimal mark", says=DECIMAL_MARKS.get(file.decimal, file.decimal))


def _repair(cell: Repair, workbook: bool) -> CellRow:
    where = _place(cell.row, cell.column, workbook)
    return CellRow(place=where, found=cell.found, then=cell.read_as, note=cell.why)


def _refused(cell: RefusedCell, workbook: bool) -> CellRow:
    where = _place(cell.row, cell.column, workbook)
    return CellRow(place=where, found=cell.found, then=cell.why, note=cell.remedy)


def _place(row: int, column: int, workbook: bool) -> str:
    """E14 as a spreadsheet says it, or row and column of a text file."""
    return f"{column_letters(column)}{row}" if workbook else f"row {row}, column {column}"

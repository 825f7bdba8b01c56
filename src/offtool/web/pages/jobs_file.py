"""The page that shows a list of jobs from a file as it is understood, and keeps it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from offtool.core.values import Caution
from offtool.exchange.readings import RefusedCell, Repair
from offtool.steps.findings import Fact
from offtool.steps.jobs_from_file import JobInFile, JobsKept, JobsPreview, left_out_in_words
from offtool.steps.sentences import count
from offtool.web.pages.reading import CELLS_SHOWN, DECIMAL_MARKS, SEPARATORS, CellRow, column_letters

JOBS_SHOWN = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class JobFileRow:
    """One job as it would be kept."""

    press: str
    job: str
    says: str
    days: str
    stops: str
    standing: str


@dataclass(frozen=True, slots=True, kw_only=True)
class JobsFileShown:
    """What is understood of a file."""

    headline: str
    cautions: tuple[Caution, ...]
    can_be_kept: bool
    problems: tuple[str, ...]
    jobs: tuple[JobFileRow, ...]
    more: int
    how: tuple[Fact, ...]
    notes: tuple[str, ...]
    refused: tuple[CellRow, ...]
    repairs: tuple[CellRow, ...]


def jobs_file_shown(preview: JobsPreview) -> JobsFileShown:
    """A preview in words."""
    file = preview.file
    workbook = file.sheet is not None
    return JobsFileShown(
        headline=jobs_headline(preview),
        cautions=preview.cautions,
        can_be_kept=preview.can_be_kept,
        problems=preview.problems,
        jobs=tuple(map(_row, preview.jobs[:JOBS_SHOWN])),
        more=max(len(preview.jobs) - JOBS_SHOWN, 0),
        how=tuple(_how(preview)),
        notes=file.notes,
        refused=tuple(_refused(cell, workbook) for cell in preview.refused[:CELLS_SHOWN]),
        repairs=tuple(_repair(cell, workbook) for cell in file.repairs[:CELLS_SHOWN]),
    )


def jobs_kept_in_words(kept: JobsKept) -> str:
    """What was kept, in a sentence or two."""
    said = f"{count(kept.new, 'job')} of {kept.file} written down, {count(kept.changed, 'job')} changed."
    said += f" {count(kept.left_out, 'cell')} left out." if kept.left_out else ""
    return " ".join(filter(None, (said, left_out_in_words(kept.jobs_left_out))))


def jobs_headline(preview: JobsPreview) -> str:
    """How many jobs, and what stands in the way."""
    start = f"{count(len(preview.jobs), 'job')} of {preview.file.name}"
    if preview.problems:
        return f"{start}: {count(len(preview.problems), 'thing')} to mend first."
    if preview.refused:
        return f"{start}; {count(len(preview.refused), 'cell')} cannot be read."
    if not preview.can_be_kept:
        return f"{start}: all of them are known as they are."
    return f"{start}, every cell read."


def _row(one: JobInFile) -> JobFileRow:
    ends = f"to {one.ends}" if one.ends is not None else "no end said"
    return JobFileRow(
        press=one.press,
        job=one.job,
        says=one.says,
        days=f"{one.begins} {ends}",
        stops=stops_in_words(one),
        standing=one.standing,
    )


def stops_in_words(one: JobInFile) -> str:
    """Whether a job may be stopped, and what an hour costs."""
    word = {True: "may be stopped", False: "must not be stopped", None: "not said"}[one.may_stop]
    return word + (f", {one.margin_per_h:g} for each hour" if one.margin_per_h is not None else "")


def _how(preview: JobsPreview) -> Iterator[Fact]:
    file = preview.file
    if file.sheet is None:
        yield Fact(about="Separator", says=SEPARATORS.get(file.delimiter, file.delimiter))
        yield Fact(about="Encoding", says=file.encoding)
    else:
        yield Fact(about="Sheet", says=file.sheet)
    yield Fact(about="Decimal mark", says=DECIMAL_MARKS.get(file.decimal, file.decimal))


def _repair(cell: Repair, workbook: bool) -> CellRow:
    where = place_of_cell(cell.row, cell.column, workbook)
    return CellRow(place=where, found=cell.found, then=cell.read_as, note=cell.why)


def _refused(cell: RefusedCell, workbook: bool) -> CellRow:
    where = place_of_cell(cell.row, cell.column, workbook)
    return CellRow(place=where, found=cell.found, then=cell.why, note=cell.remedy)


def place_of_cell(row: int, column: int, workbook: bool) -> str:
    """E14 as a spreadsheet says it, or row and column of a text file."""
    return f"{column_letters(column)}{row}" if workbook else f"row {row}, column {column}"

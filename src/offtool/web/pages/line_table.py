"""The page that shows a table of tasks as it is understood, and what it would change."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from offtool.core.values import Caution
from offtool.steps.findings import Fact
from offtool.steps.line_words import UNITS
from offtool.steps.read_line import LineTasksKept, LineTasksPreview, TaskInFile
from offtool.steps.sentences import count
from offtool.web.pages.jobs_file import place_of_cell
from offtool.web.pages.reading import CELLS_SHOWN, DECIMAL_MARKS, SEPARATORS, CellRow


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskFileRow:
    """One task as it would be kept."""

    row: int
    task: str
    title: str
    time: str
    timed: str
    after: str
    needs: str
    station: str
    standing: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LineFileShown:
    """What is understood of a file."""

    headline: str
    cautions: tuple[Caution, ...]
    can_be_kept: bool
    problems: tuple[str, ...]
    tasks: tuple[TaskFileRow, ...]
    gone: tuple[str, ...]
    how: tuple[Fact, ...]
    notes: tuple[str, ...]
    refused: tuple[CellRow, ...]
    repairs: tuple[CellRow, ...]


def line_file_shown(preview: LineTasksPreview) -> LineFileShown:
    """A preview in words."""
    file = preview.file
    book = file.sheet is not None
    return LineFileShown(
        headline=line_file_headline(preview),
        cautions=preview.cautions,
        can_be_kept=preview.can_be_kept,
        problems=preview.problems,
        tasks=tuple(map(_row, preview.tasks)),
        gone=preview.gone,
        how=tuple(_how(preview)),
        notes=file.notes,
        refused=tuple(
            CellRow(place=place_of_cell(c.row, c.column, book), found=c.found, then=c.why, note=c.remedy)
            for c in file.refused[:CELLS_SHOWN]
        ),
        repairs=tuple(
            CellRow(place=place_of_cell(c.row, c.column, book), found=c.found, then=c.read_as, note=c.why)
            for c in file.repairs[:CELLS_SHOWN]
        ),
    )


def line_kept_in_words(kept: LineTasksKept) -> str:
    """What was kept, in a sentence or two."""
    said = f"{kept.line}: {count(kept.new, 'task')} of {kept.file} written down, {kept.changed} changed"
    gone = f", {kept.gone} taken out" if kept.gone else ""
    left = f" {count(kept.left_out, 'cell')} left out." if kept.left_out else ""
    return f"{said}{gone}.{left}"


def line_file_headline(preview: LineTasksPreview) -> str:
    """How many tasks, and what stands in the way."""
    start = f"{count(len(preview.tasks), 'task')} of {preview.file.name}"
    if preview.problems:
        return f"{start}: {count(len(preview.problems), 'thing')} to mend first."
    if preview.refused:
        return f"{start}; {count(len(preview.refused), 'cell')} cannot be read."
    if not preview.can_be_kept:
        return f"{start}: all of them are known as they are."
    return f"{start}, every cell read."


def _row(one: TaskInFile) -> TaskFileRow:
    task = one.known
    spread = f" ± {task.spread_s:.4g} s" if task.spread_s is not None else ""
    changes = f"{one.standing}: {', '.join(one.changes)}" if one.changes else one.standing
    at = [f"must be {task.fixed_station}"] if task.fixed_station is not None else []
    at += [str(task.placed_at)] if task.placed_at is not None else []
    return TaskFileRow(
        row=one.row,
        task=task.task,
        title=task.title,
        time=f"{task.time_s:.4g} s{spread}" if task.time_s else "none",
        timed=count(task.readings, "time") if task.readings else "estimate",
        after="; ".join(task.after),
        needs="; ".join(task.needs),
        station=", ".join(at),
        standing=changes,
    )


def _how(preview: LineTasksPreview) -> Iterator[Fact]:
    file = preview.file
    if file.sheet is None:
        yield Fact(about="Separator", says=SEPARATORS.get(file.delimiter, file.delimiter))
        yield Fact(about="Encoding", says=file.encoding)
    else:
        yield Fact(about="Sheet", says=file.sheet)
    yield Fact(about="Decimal mark", says=DECIMAL_MARKS.get(file.decimal, file.decimal))
    yield Fact(about="Times", says=UNITS.get(preview.unit, "not said: shown as seconds"))
    yield Fact(about="Line", says=f"{preview.line or 'no name yet'}{', new' if preview.is_new else ''}")

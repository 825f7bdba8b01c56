"""A table of tasks on the terminal: how it is understood, what it would change, what is kept."""

from __future__ import annotations

from collections.abc import Iterator

from offtool.cli.shared_lines import bullets, cautions, counted, heading, sentence, steps, table_or_bullets
from offtool.cli.show_pieces_file import left_out_cells
from offtool.cli.show_study import cells_lines
from offtool.steps.read_line import LineTasksKept, LineTasksPreview, TaskInFile

SHOWN = 30
"""Tasks that are listed; --json has all."""


def line_table_lines(found: LineTasksPreview, *, refused: bool = False) -> list[str]:
    """All lines of a table that is not kept yet, or that was refused."""
    things = list(_to_do(found, refused=refused))
    cannot = f"; {counted(len(found.refused), 'cell')} cannot be read" if found.refused else ""
    said = f"{found.file.name}: {counted(len(found.tasks), 'task')} understood{cannot}. Nothing is kept yet."
    return [
        *sentence(said),
        *([*heading("What to do"), *steps(things)] if things else []),
        *_of_file(found),
    ]


def kept_line_lines(kept: LineTasksKept, found: LineTasksPreview) -> list[str]:
    """All lines of a table whose tasks are now in the record."""
    gone = f", {counted(kept.gone, 'task')} taken out" if kept.gone else ""
    said = (
        f"Kept: {counted(kept.new, 'new task')} of {kept.file}, {counted(kept.changed, 'task')} changed{gone}"
        f"{left_out_cells(kept.left_out)}."
    )
    go_on = f"offtool line {kept.programme} {kept.line!r} says what the line makes."
    return [*sentence(said), *heading("What to do"), *steps([(go_on, "")]), *_of_file(found)]


def _to_do(found: LineTasksPreview, *, refused: bool) -> Iterator[tuple[str, str]]:
    yield from ((f"Mend: {problem}", "") for problem in found.problems)
    if not found.unit:
        yield "Or say it here: --unit s or --unit min.", ""
    if found.no_order:
        yield "Say what must be done before what, or see that any order does.", "See With care."
    if found.refused and not found.problems:
        yield "Correct the refused cells below, or leave them out: --keep --leave-out.", ""
    elif not found.problems and not refused:
        yield "Look through how it was read, then add --keep.", ""


def _of_file(found: LineTasksPreview) -> list[str]:
    rows = [_task(one) for one in found.tasks[:SHOWN]]
    more = len(found.tasks) - SHOWN
    gone = [*heading("What would be taken out"), *bullets(found.gone)] if found.gone else []
    return [
        *heading("The tasks"),
        *table_or_bullets(rows, [", ".join(filter(None, row)) for row in rows]),
        *(bullets([f"and {more:,} more; --json lists all"]) if more > 0 else []),
        *gone,
        *heading("How it was read"),
        *bullets(found.file.notes),
        *cells_lines("repaired", found.file.repairs),
        *cells_lines("refused", found.refused),
        *cautions(found.cautions),
    ]


def _task(one: TaskInFile) -> list[str]:
    task = one.known
    spread = f" ± {task.spread_s:.4g} s" if task.spread_s is not None else ""
    timed = counted(task.readings, "reading") if task.readings else "estimate"
    standing = f"{one.standing}: {', '.join(one.changes)}" if one.changes else one.standing
    after = f"after {'; '.join(task.after)}" if task.after else ""
    needs = f"needs {'; '.join(task.needs)}" if task.needs else ""
    return [task.task, f"{task.time_s:.4g} s{spread}", timed, after, needs, standing]

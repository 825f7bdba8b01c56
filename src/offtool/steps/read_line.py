"""Read the tasks of a line from a table: first shown with what would change, then kept as a whole."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass, replace

from django.db import transaction

from offtool.core.values import Caution
from offtool.exchange.headed_tables import FileTable
from offtool.exchange.line_tasks import LineTaskRead, LineTasksTable, read_line_tasks
from offtool.exchange.readings import RefusedCell
from offtool.handbook.terms import Side
from offtool.records.models import Line, Programme
from offtool.records.operations import define_line
from offtool.records.queries import find_programme
from offtool.steps.know_line import known_line
from offtool.steps.line_doubts import column_doubts, equipment_doubts, order_doubts
from offtool.steps.line_in_record import names_in_words, rate_needed
from offtool.steps.line_known import TaskKnown
from offtool.steps.line_table import Beside, TaskFault, faults_of, paired_once, put_tasks
from offtool.steps.line_words import seconds
from offtool.steps.read_readings import refuse_problems
from offtool.steps.sentences import count

NEW, CHANGED, SAME = "new", "changed", "as it is"
SAYS = {
    "title": "words",
    "time_s": "time",
    "spread_s": "spread",
    "readings": "readings",
    "side": "side",
    "after": "what comes before",
    "needs": "equipment",
    "together": "tied",
    "apart": "apart",
    "part": "part",
    "joint": "joint",
    "seam": "seam",
    "fixed_station": "fixed station",
    "placed_at": "station",
}
"""What a change is called."""
PLAIN = ("title", "after", "needs", "together", "apart", "part", "joint", "seam")
LONGER_THAN_LINE = 3.0
"""A task of so many cycles is rather given in another unit; common practice, no source."""
UNIT_NOT_SAID = "the times have no unit: say whether they are seconds or minutes"


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskInFile:
    """A task as the file would enter it."""

    row: int
    known: TaskKnown
    standing: str
    """New, changed, or as it is in the record."""
    changes: tuple[str, ...]
    """What would change."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LineTasksPreview:
    """How a table of tasks is read. `problems` must be mended first; refused cells may stay out."""

    sha256: str
    size: int
    file: FileTable
    line: str
    is_new: bool
    """There is no line of this name yet."""
    tasks: tuple[TaskInFile, ...]
    gone: tuple[str, ...]
    """Tasks of the line that the table does not have: they would be taken out."""
    refused: tuple[RefusedCell, ...]
    problems: tuple[str, ...]
    cautions: tuple[Caution, ...]
    unit: str
    no_order: bool
    """No task comes after another, though there are several: to be seen before it is kept."""

    @property
    def can_be_kept(self) -> bool:
        """Whether nothing stands in the way but cells to leave out, and something would change."""
        return not self.problems and (bool(self.gone) or any(one.standing != SAME for one in self.tasks))


@dataclass(frozen=True, slots=True, kw_only=True)
class LineTasksKept:
    """Tasks that are now in the record."""

    programme: str
    line: str
    file: str
    new: int
    changed: int
    gone: int
    left_out: int
    """Cells."""


def preview_line(
    content: bytes,
    name: str,
    *,
    programme: str,
    line: str,
    sheet: str | None = None,
    unit: str | None = None,
) -> LineTasksPreview:
    """How a table of tasks would be read into a line; nothing is kept.

    Raises FileRefused for a file that cannot be read, NotInRecord for an unknown programme.
    """
    return _Understood(content, name, find_programme(programme), line, sheet, unit).preview()


def keep_line_table(
    content: bytes,
    name: str,
    *,
    programme: str,
    line: str,
    sheet: str | None = None,
    unit: str | None = None,
    leave_out: bool = False,
    read_by: str,
) -> LineTasksKept:
    """Make the tasks of a line those of a table; a line that is not there yet is made.

    What the file has no column for stays. Raises what `preview_line` raises; CannotKeep for problems, and for
    refused cells unless `leave_out`; OfftoolError for a task that a pilot timed and the table leaves out.
    Nothing is kept then.
    """
    understood = _Understood(content, name, find_programme(programme), line, sheet, unit)
    seen = understood.preview()
    refuse_problems(seen.file.name, seen.problems, seen.refused, leave_out=leave_out)
    understood.write(read_by)
    return LineTasksKept(
        programme=programme,
        line=line,
        file=seen.file.name,
        new=sum(one.standing == NEW for one in seen.tasks),
        changed=sum(one.standing == CHANGED for one in seen.tasks),
        gone=len(seen.gone),
        left_out=len(seen.refused),
    )


class _Understood:
    """A file with what it is matched to in the record."""

    def __init__(
        self,
        content: bytes,
        name: str,
        programme: Programme,
        line: str,
        sheet: str | None,
        unit: str | None,
    ) -> None:
        self._content, self._programme, self._name = content, programme, line
        self._table: LineTasksTable = read_line_tasks(content, name, sheet=sheet, unit=unit)
        self._line: Line | None = programme.lines.filter(name=line).first()
        known = known_line(self._line).tasks if self._line is not None else ()
        self._kept = {one.task: one for one in known}
        self._beside = Beside.of(programme)
        tasks = paired_once([self._known(row) for row in self._table.rows])
        self._rows = tuple(zip(self._table.rows, tasks, strict=True))

    def preview(self) -> LineTasksPreview:
        """What was understood."""
        file, named = self._table.file, {row.task for row in self._table.rows}
        return LineTasksPreview(
            sha256=hashlib.sha256(self._content).hexdigest(),
            size=len(self._content),
            file=file,
            line=self._name,
            is_new=self._line is None,
            tasks=tuple(self._in_file(row, known) for row, known in self._rows),
            gone=tuple(name for name in self._kept if name not in named),
            refused=file.refused,
            problems=tuple(dict.fromkeys(self._problems())),
            cautions=(*file.cautions, *self._cautions()),
            unit=self._table.unit,
            no_order=any(self._no_order()),
        )

    def write(self, by: str) -> None:
        """Make the table of the record this one."""
        with transaction.atomic():
            line = self._line or define_line(self._programme, self._name, {}, made_by=by)
            put_tasks(line, [known for _, known in self._rows], self._beside, by=by)

    def _known(self, row: LineTaskRead) -> TaskKnown:
        """A task as it would stand; what the file has no column for stays as it is."""
        now = self._kept.get(row.task) or TaskKnown(task=row.task, time_s=0.0)
        fields = self._table.fields
        told: dict[str, object] = {one: getattr(row, one) for one in PLAIN if one in fields}
        if "side" in fields:
            told["side"] = row.side or Side.EITHER.value
        if "station" in fields:
            told["placed_at"] = row.station
        if "fixed_station" in fields:
            told["fixed_station"] = row.fixed_station
        if row.time_s is not None:
            told["time_s"] = row.time_s
            told |= self._timed(row, now)
        return replace(now, **told)  # type: ignore[arg-type]

    def _timed(self, row: LineTaskRead, now: TaskKnown) -> dict[str, object]:
        """Spread and readings; of a time that the file changes the old ones say nothing."""
        is_same = row.time_s is not None and abs(row.time_s - now.time_s) <= 1e-9 * max(now.time_s, 1)
        told: dict[str, object] = {} if is_same else {"spread_s": None, "readings": 0}
        if "spread_s" in self._table.fields:
            told["spread_s"] = row.spread_s
        if "readings" in self._table.fields:
            told["readings"] = row.readings or 0
        return told

    def _in_file(self, row: LineTaskRead, known: TaskKnown) -> TaskInFile:
        now = self._kept.get(row.task)
        if now is None:
            return TaskInFile(row=row.row, known=known, standing=NEW, changes=())
        changes = tuple(
            says
            for field, says in SAYS.items()
            if _plain(getattr(now, field)) != _plain(getattr(known, field))
        )
        return TaskInFile(row=row.row, known=known, standing=CHANGED if changes else SAME, changes=changes)

    def _problems(self) -> Iterator[str]:
        if not self._name.strip():
            yield "the line has no name: give it one"
        if not self._table.unit:
            yield UNIT_NOT_SAID
        for row in self._table.rows:
            if row.time_s is None and ("time_s" in self._table.fields or row.task not in self._kept):
                yield f"row {row.row}, task {row.task}: no time can be read; give one, or an estimate"
        rows = {row.task: row.row for row in self._table.rows}
        timed = [known for row, known in self._rows if row.time_s is not None or known.time_s]
        for fault in faults_of([known for _, known in self._rows], self._beside):
            if fault.field == "time_s" and fault.task not in {one.task for one in timed}:
                continue
            yield _in_row(fault, rows)

    def _no_order(self) -> Iterator[str]:
        tasks = [known for _, known in self._rows]
        return order_doubts(tasks, has_column="after" in self._table.fields)

    def _cautions(self) -> Iterator[Caution]:
        equipment = self._line.equipment.values_list("name", flat=True) if self._line is not None else ()
        yield from map(Caution, self._no_order())
        yield from map(Caution, column_doubts(self._table.ignored))
        yield from map(Caution, equipment_doubts([known for _, known in self._rows], tuple(equipment)))
        yield from self._against_plan()
        gone = [name for name in self._kept if name not in {row.task for row in self._table.rows}]
        if gone:
            what = count(len(gone), "task")
            yield Caution(f"{what} of the line would be taken out: {names_in_words(gone)}")
        unknown = [one.task for _, one in self._rows if not one.readings]
        if unknown:
            yield Caution(
                f"taken as estimates, since nothing says how often they were timed: {names_in_words(unknown)}"
            )

    def _against_plan(self) -> Iterator[Caution]:
        """Times of another unit show against the cycle of the plan."""
        needed = rate_needed(self._line) if self._line is not None else None
        if needed is None:
            return
        cycle = 3600 / needed
        long = [one for _, one in self._rows if one.time_s > LONGER_THAN_LINE * cycle]
        if long:
            yield Caution(
                f"{names_in_words([one.task for one in long])}: far longer than the cycle, {seconds(cycle)}: "
                "are the times in another unit, or must the work be divided?"
            )
        if all(one.time_s < cycle / SHORT for _, one in self._rows):
            yield Caution(f"no task takes a {SHORT}th of the cycle of {seconds(cycle)}: are these minutes?")


SHORT = 20
"""Where no task takes even so small a part of the cycle, the unit is doubted; common practice, no source."""


def _plain(value: object) -> object:
    """Lists are the same in whatever order; a float as it is written."""
    if isinstance(value, tuple):
        return frozenset(value)
    return float(f"{value:.10g}") if isinstance(value, float) else value


def _in_row(fault: TaskFault, rows: dict[str, int]) -> str:
    row = rows.get(fault.task)
    return f"row {row}, {fault}" if row is not None else str(fault)

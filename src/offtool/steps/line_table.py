"""The tasks of a line as one table: what cannot be in it, by task; how it is written down and handed out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from graphlib import CycleError, TopologicalSorter
from typing import Literal

from offtool.core.values import nearest
from offtool.exchange.line_tasks import TaskLine, write_line_tasks
from offtool.handbook.line_numbers import TASK_NUMBERS
from offtool.handbook.terms import Side
from offtool.records.models import Joint, Line, Part, Programme, Seam
from offtool.records.operations import NewLineTable, NewLineTask, put_line_table
from offtool.steps.line_known import LineKnown, TaskKnown

BETWEEN = ";"
"""Between names in one cell; no name holds one."""
LISTS = ("after", "together", "apart")
BESIDE = ("part", "joint", "seam")
MOST_STATIONS = 300
MOST_TASKS = 300


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskFault:
    """What cannot be of a task: the task, the field it lies in, what and the remedy."""

    task: str
    field: str
    what: str
    remedy: str

    def __str__(self) -> str:
        said = f"task {self.task}: {self.what}" if self.task else self.what
        return f"{said}; {self.remedy}" if self.remedy else said


@dataclass(frozen=True, slots=True)
class Beside:
    """The parts, joints and seams that a task may work on, by code."""

    part: Mapping[str, Part]
    joint: Mapping[str, Joint]
    seam: Mapping[str, Seam]

    @classmethod
    def of(cls, programme: Programme) -> Beside:
        """Those of a programme."""
        return cls(
            {one.code: one for one in programme.parts.all()},
            {one.code: one for one in programme.joints.all()},
            {one.code: one for one in programme.seams.all()},
        )


def faults_of(tasks: Sequence[TaskKnown], beside: Beside) -> Iterator[TaskFault]:
    """Everything that cannot be, in the order of the table; the ring of an order last, whole."""
    names = [one.task for one in tasks]
    if len(names) > MOST_TASKS:
        yield TaskFault(task="", field="task", what=f"{len(names)} tasks", remedy=f"at most {MOST_TASKS}")
    seen: set[str] = set()
    for one in tasks:
        if one.task in seen:
            yield TaskFault(task=one.task, field="task", what="stands twice", remedy="give each its own name")
        seen.add(one.task)
        yield from _of_one(one)
        yield from _names(one, names)
        for kind in BESIDE:
            said, known = getattr(one, kind), getattr(beside, kind)
            if said and said not in known:
                yield TaskFault(
                    task=one.task, field=kind, what=f"no {kind} {said!r}", remedy=nearest(said, known)
                )
    yield from _ring(tasks)


def _of_one(one: TaskKnown) -> Iterator[TaskFault]:
    if not one.task or BETWEEN in one.task:
        remedy = f"name it without {BETWEEN!r}, which parts names in a cell"
        yield TaskFault(task=one.task, field="task", what="is no name for a task", remedy=remedy)
    for field, number in TASK_NUMBERS.items():
        value, ends = getattr(one, field), number.ends
        if value is None:
            continue
        if not value >= ends.get("at_least", 0) or not value <= ends["at_most"] or value == ends.get("above"):
            must = "above" if "above" in ends else "at least"
            what = f"the {number.says.lower()} is {value:g} {number.unit}".rstrip() + f": must be {must} 0"
            yield TaskFault(task=one.task, field=field, what=what, remedy="time it again")
    for field in ("fixed_station", "placed_at"):
        at = getattr(one, field)
        if at is not None and not 1 <= at <= MOST_STATIONS:
            what = f"station {at} cannot be"
            yield TaskFault(task=one.task, field=field, what=what, remedy=f"give 1 to {MOST_STATIONS}")
    if one.fixed_station and one.placed_at and one.fixed_station != one.placed_at:
        what = f"it is fixed to station {one.fixed_station} and placed at station {one.placed_at}"
        yield TaskFault(task=one.task, field="placed_at", what=what, remedy="give one of the two")


def _names(one: TaskKnown, names: Sequence[str]) -> Iterator[TaskFault]:
    says = {"after": "comes after", "together": "is tied to", "apart": "is kept apart from"}
    for field in LISTS:
        for other in getattr(one, field):
            if other == one.task:
                what = f"it {says[field]} itself"
                yield TaskFault(task=one.task, field=field, what=what, remedy="take it out of its own list")
            elif other not in names:
                what = f"it {says[field]} {other!r}, which is no task of the line"
                yield TaskFault(task=one.task, field=field, what=what, remedy=nearest(other, names))
    both = set(one.together) & set(one.apart)
    for other in sorted(both):
        what = f"it is tied to {other} and kept apart from it"
        yield TaskFault(task=one.task, field="apart", what=what, remedy="say one of both")


def _ring(tasks: Iterable[TaskKnown]) -> Iterator[TaskFault]:
    """Tasks that wait for each other in a circle: the whole of it."""
    try:
        TopologicalSorter({one.task: [a for a in one.after if a != one.task] for one in tasks}).prepare()
    except CycleError as error:
        ring = " → ".join(error.args[1])
        what = f"the order goes in a circle: {ring}"
        yield TaskFault(
            task=error.args[1][-1], field="after", what=what, remedy="take one of these orders out"
        )


def paired_once(tasks: Sequence[TaskKnown]) -> list[TaskKnown]:
    """Each pair at the earlier of its two tasks alone, whichever of the two names the other."""
    place = {one.task: at for at, one in enumerate(tasks)}

    def moved(field: Literal["together", "apart"], one: TaskKnown) -> tuple[str, ...]:
        mine = [other for other in getattr(one, field) if place.get(other, -1) == -1 or _later(other, one)]
        theirs = [
            other.task for other in tasks if one.task in getattr(other, field) and _later(other.task, one)
        ]
        return tuple(dict.fromkeys([*mine, *theirs]))

    def _later(other: str, one: TaskKnown) -> bool:
        return place[other] >= place[one.task]

    return [replace(one, together=moved("together", one), apart=moved("apart", one)) for one in tasks]


def put_tasks(line: Line, tasks: Sequence[TaskKnown], beside: Beside, *, by: str) -> None:
    """Make the tasks of the line these, and no others. Stations and equipment that are there stay."""
    put_line_table(line, NewLineTable(tasks=tuple(new_task(one, beside) for one in tasks)), made_by=by)


def new_task(one: TaskKnown, beside: Beside) -> NewLineTask:
    """A task as the record takes it."""
    return NewLineTask(
        name=one.task,
        title=one.title,
        time_s=one.time_s,
        spread_s=one.spread_s,
        readings=one.readings,
        side=Side(one.side or Side.EITHER.value),
        part=beside.part[one.part] if one.part else None,
        joint=beside.joint[one.joint] if one.joint else None,
        seam=beside.seam[one.seam] if one.seam else None,
        fixed_station=one.fixed_station,
        placed_at=one.placed_at,
        after=one.after,
        needs=one.needs,
        together=one.together,
        apart=one.apart,
    )


def table_of(known: LineKnown) -> bytes:
    """The tasks of a line as CSV, in the layout in which they are read back."""
    return write_line_tasks(tuple(map(_line, known.tasks)))


def _line(one: TaskKnown) -> TaskLine:
    return TaskLine(
        task=one.task,
        title=one.title,
        time_s=one.time_s,
        spread_s=one.spread_s,
        readings=one.readings,
        after=one.after,
        needs=one.needs,
        side=one.side,
        together=one.together,
        apart=one.apart,
        fixed_station=one.fixed_station,
        station=one.placed_at,
        part=one.part,
        joint=one.joint,
        seam=one.seam,
    )


EXAMPLE = (
    "task,time [s],spread [s],readings,after,needs\n"
    "clip hull,12,1.5,12,,\n"
    "weld seam,18,1.0,12,clip hull,welder\n"
    "print eyes,9,0.8,12,,pad printer\n"
    "fit arms,16,2.0,12,weld seam,\n"
    "fit head,14,1.8,12,print eyes; weld seam,\n"
    "pack,11,1.2,12,fit arms; fit head,\n"
)
"""A small table, invented: what the empty page shows and the guide reads."""

"""The work of a line from a table: tasks, stations and equipment as a whole, in one transaction."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from graphlib import CycleError, TopologicalSorter
from typing import Any

from django.db import transaction
from django.db.models import Manager, ProtectedError

from offtool.core.values import OfftoolError, nearest
from offtool.handbook.terms import PairKind, Side
from offtool.records.acting import acting_as
from offtool.records.models import (
    Joint,
    Line,
    LineEquipment,
    LinePair,
    LineTask,
    LineTaskAfter,
    LineTaskNeeds,
    Part,
    Seam,
)
from offtool.records.operations.defining import written_row
from offtool.records.operations.line import (
    STATION_COLUMNS,
    equipment_made,
    only_of,
    put_equipment,
    station_made,
    station_numbered,
)
from offtool.records.plain import plain_name
from offtool.records.refusals import refusals_in_words


@dataclass(frozen=True, slots=True, kw_only=True)
class NewLineTask:
    """A task of a line. Other tasks and equipment are named, stations given by number."""

    name: str
    time_s: float
    title: str = ""
    spread_s: float | None = None
    readings: int = 0
    """How many times it was timed; 0 is an estimate."""
    side: Side = Side.EITHER
    part: Part | None = None
    joint: Joint | None = None
    seam: Seam | None = None
    fixed_station: int | None = None
    placed_at: int | None = None
    after: tuple[str, ...] = ()
    """Tasks that must be done before."""
    needs: tuple[str, ...] = ()
    """Equipment."""
    together: tuple[str, ...] = ()
    apart: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class NewLineStation:
    """A station of a line: its number, what is said of it (STATION_COLUMNS), and what it has."""

    number: int
    columns: Mapping[str, Any] = field(default_factory=dict)
    has: tuple[str, ...] = ()
    rework_to: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class NewLineTable:
    """The work of a line as a table has it. `equipment` is what is named, with how many there are."""

    tasks: tuple[NewLineTask, ...]
    stations: tuple[NewLineStation, ...] = ()
    equipment: Mapping[str, int | None] = field(default_factory=dict)


def put_line_table(line: Line, table: NewLineTable, *, made_by: str) -> None:
    """Make the tasks of a line what the table says, in one transaction; those it does not name are taken out.

    Stations and equipment that it names are written, others stay. Nothing is changed where one is refused.

    Raises
    ------
    OfftoolError
        A task that is there twice, that comes before itself, alone or in a circle, or names one that is not
        there; a number that cannot be; a task that is left out though a pilot timed it.
    """
    _refuse_unknown(table.tasks)
    with refusals_in_words(line.name), acting_as(made_by), transaction.atomic():
        Line.objects.select_for_update().get(pk=line.pk)
        known = {one.name: one for one in line.equipment.all()}
        for name, at_most in table.equipment.items():
            with refusals_in_words(name):
                written_row(equipment_made(line, name, known), {"at_most": at_most})
        _put_stations(line, table.stations)
        tasks = _put_tasks(line, table.tasks)
        for one in table.tasks:
            _put_beside(tasks, one, line, known)
        _put_pairs(line, table.tasks, tasks)


def _put_stations(line: Line, stations: Iterable[NewLineStation]) -> None:
    for one in stations:
        only_of(STATION_COLUMNS, one.columns)
        with refusals_in_words(f"station {one.number}"):
            station = written_row(station_made(line, one.number), one.columns)
            put_equipment(station, one.has)
    for one in stations:
        to = None if one.rework_to is None else station_numbered(line, one.rework_to)
        written_row(station_numbered(line, one.number), {"rework_to": to})


def _put_tasks(line: Line, asked: tuple[NewLineTask, ...]) -> dict[str, LineTask]:
    kept = {one.name: one for one in line.tasks.all()}
    for name in kept.keys() - {one.name for one in asked}:
        _take_out(kept.pop(name))
    for place, one in enumerate(asked):
        with refusals_in_words(f"task {one.name}"):
            task = kept.get(one.name) or LineTask(line=line, name=plain_name(one.name, "the name of a task"))
            kept[one.name] = written_row(task, _columns(line, one) | {"ordinal": place})
    return kept


def _columns(line: Line, one: NewLineTask) -> dict[str, Any]:
    plain = ("title", "time_s", "spread_s", "readings", "part", "joint", "seam")
    at = {"fixed_station": one.fixed_station, "placed_at": one.placed_at}
    stations = {
        name: None if number is None else station_made(line, number)  # a new station needs no more
        for name, number in at.items()
    }
    return {name: getattr(one, name) for name in plain} | {"side": one.side.value} | stations


def _take_out(task: LineTask) -> None:
    try:
        task.delete()
    except ProtectedError as error:
        raise OfftoolError(
            f"the table leaves out task {task.name}, which a pilot timed",
            remedy="what was timed stays: keep the task in the table",
        ) from error


def _put_beside(
    tasks: dict[str, LineTask], one: NewLineTask, line: Line, known: dict[str, LineEquipment]
) -> None:
    task = tasks[one.name]
    before = {tasks[name].pk: tasks[name] for name in one.after}
    _make_it(task.after, "before", before, lambda row: LineTaskAfter(task=task, before=row))
    needs = [equipment_made(line, name, known) for name in one.needs]
    _make_it(
        task.needs, "equipment", {e.pk: e for e in needs}, lambda row: LineTaskNeeds(task=task, equipment=row)
    )


def _make_it(kept: Manager[Any], key: str, asked: Mapping[int, Any], new: Any) -> None:
    """Let the rows name exactly what is asked."""
    now = {getattr(row, f"{key}_id"): row for row in kept.all()}
    for gone in now.keys() - asked.keys():
        now[gone].delete()
    for pk in asked:
        if pk not in now:
            new(asked[pk]).save()


def _put_pairs(line: Line, asked: tuple[NewLineTask, ...], tasks: dict[str, LineTask]) -> None:
    wanted = {(tasks[a].pk, tasks[b].pk): kind for (a, b), kind in pairs_in(asked).items()}
    now = {(row.one_id, row.other_id): row for row in LinePair.objects.filter(one__line=line)}
    for pair, row in now.items():
        if wanted.get(pair) != row.kind:
            row.delete()
    for pair, kind in wanted.items():
        if pair not in now or now[pair].kind != kind:
            LinePair.objects.create(one_id=pair[0], other_id=pair[1], kind=kind.value)


def pairs_in(tasks: Iterable[NewLineTask]) -> dict[tuple[str, str], PairKind]:
    """The pairs that the tasks name, once each, in the order of the table.

    Raises OfftoolError for two tasks that are to be together and apart.
    """
    place = {one.name: at for at, one in enumerate(tasks)}
    found: dict[tuple[str, str], PairKind] = {}
    for task in tasks:
        for kind, others in ((PairKind.TIED, task.together), (PairKind.APART, task.apart)):
            for other in others:
                first, second = sorted((task.name, other), key=place.__getitem__)
                if found.setdefault((first, second), kind) is not kind:
                    raise OfftoolError(
                        f"tasks {first} and {second} are to be at one station and not at one station",
                        remedy="say one of both",
                    )
    return found


def _refuse_unknown(tasks: tuple[NewLineTask, ...]) -> None:
    names = [one.name for one in tasks]
    for name in names:
        if names.count(name) > 1:
            raise OfftoolError(f"task {name!r} is there twice", remedy="give each task its own name")
    for one in tasks:
        for other in (*one.after, *one.together, *one.apart):
            if other == one.name:
                raise OfftoolError(f"task {one.name!r} names itself", remedy="name another task, or none")
            if other not in names:
                said = f"task {one.name} names a task {other!r}, which the table does not have"
                raise OfftoolError(said, remedy=nearest(other, names))
    try:
        TopologicalSorter({one.name: one.after for one in tasks}).prepare()
    except CycleError as error:
        raise OfftoolError(
            f"tasks wait for each other in a circle: {', '.join(error.args[1])}",
            remedy="take out one of these orders",
        ) from error

"""The line: what is planned of it, its stations, its presses and breaks, and where each task is done."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django.db import transaction
from django.db.models import ProtectedError

from offtool.core.values import OfftoolError, nearest
from offtool.records.acting import acting_as
from offtool.records.models import (
    Line,
    LineBreak,
    LineEquipment,
    LinePress,
    LineStation,
    LineStationHas,
    LineTask,
    Programme,
    Tool,
)
from offtool.records.operations.defining import written_row
from offtool.records.plain import plain_name, plain_text
from offtool.records.refusals import refusals_in_words

LINE_COLUMNS = (
    *("planned_per_h", "people", "hours_per_day", "quantity", "starts_on", "piece_cost", "minute_cost"),
    *("planned_first_yield", "planned_final_yield", "learning_low", "learning_high", "two_sided", "note"),
)
"""What is planned of a line."""
STATION_COLUMNS = (
    *("name", "people", "two_sided", "places", "cure_s", "fails", "rounds", "works_s", "stands_s"),
    *("fixtures", "learning", "made_before"),
)
"""What is said of a station, beside the equipment it has and where its rework goes."""
LINE_PRESS_COLUMNS = ("press", "cycle_s", "cycle_spread_s", "rejects", "works_s", "stands_s", "task")
"""What is said of a tool that feeds the line."""


def define_line(programme: Programme, name: str, columns: Mapping[str, Any], *, made_by: str) -> Line:
    """Write a line of a programme with what is planned of it: a new one, or the one of this name.

    `columns` are of LINE_COLUMNS; those not named stay. Raises OfftoolError for a number that cannot be.
    """
    only_of(LINE_COLUMNS, columns)
    plain = plain_name(name, "the name of the line")
    with refusals_in_words(plain), acting_as(made_by), transaction.atomic():
        line = programme.lines.filter(name=plain).first() or Line(programme=programme, name=plain)
        return written_row(line, columns)


def define_station(
    line: Line,
    number: int,
    columns: Mapping[str, Any],
    *,
    made_by: str,
    has: Sequence[str] | None = None,
    rework_to: int | None = -1,
) -> LineStation:
    """Write a station: a new one, or the one of this number as it is to be from now.

    `columns` are of STATION_COLUMNS; those not named stay. `has` is the equipment that stands there, by name;
    None: as it was. `rework_to` is the station where its rework goes, None for nowhere, -1: as it was.
    Raises OfftoolError for a number that cannot be, such as no people, and for a station that is not there.
    """
    only_of(STATION_COLUMNS, columns)
    with refusals_in_words(f"station {number}"), acting_as(made_by), transaction.atomic():
        station = line.stations.filter(number=number).first() or LineStation(line=line, number=number)
        written_row(station, columns)
        if has is not None:
            put_equipment(station, has)
        if rework_to != -1:
            to = None if rework_to is None else station_numbered(line, rework_to)
            written_row(station, {"rework_to": to})
    return station


def drop_station(station: LineStation, *, made_by: str) -> None:
    """Take a station out of the line; its history keeps it.

    Raises OfftoolError where tasks are fixed to it, something was counted at it, or rework goes there.
    """
    with refusals_in_words(f"station {station.number}"), acting_as(made_by), transaction.atomic():
        try:
            station.delete()
        except ProtectedError as error:
            raise OfftoolError(
                f"station {station.number} is used: something was counted there, rework goes there, "
                "a task is fixed to it, or a limit sample lies there",
                remedy="what was counted stays: change the station instead",
            ) from error


def define_line_press(line: Line, tool: Tool, columns: Mapping[str, Any], *, made_by: str) -> LinePress:
    """Write how a tool feeds the line: its cycle, and of its press what stops it.

    `columns` are of LINE_PRESS_COLUMNS; those not named stay. Raises OfftoolError for a number that
    cannot be, and for a tool, a press or a task from elsewhere.
    """
    only_of(LINE_PRESS_COLUMNS, columns)
    with refusals_in_words(tool.code), acting_as(made_by), transaction.atomic():
        feeds = line.presses.filter(tool=tool).first() or LinePress(line=line, tool=tool)
        return written_row(feeds, columns)


def define_break(
    line: Line,
    begins_h: float,
    ends_h: float,
    *,
    made_by: str,
    station: LineStation | None = None,
    people: int | None = None,
) -> LineBreak:
    """Say that the line, or a station of it, stands in these hours of work, or runs with other people.

    Raises OfftoolError for hours out of order and for a break that begins when another does.
    """
    with refusals_in_words(line.name), acting_as(made_by), transaction.atomic():
        return LineBreak.objects.create(
            line=line, begins_h=begins_h, ends_h=ends_h, station=station, people=people
        )


def drop_from_line(row: LineBreak | LinePress, *, made_by: str) -> None:
    """Take a break, or a tool that feeds the line, out again; the history keeps it."""
    with acting_as(made_by), transaction.atomic():
        row.delete()


def adopt_places(line: Line, places: Mapping[str, int], *, made_by: str) -> None:
    """Adopt where tasks are done, by the number of the station; one that is not there yet is made.

    Tasks not named stay where they are. Raises OfftoolError for a task that the line does not have, and for
    one that is fixed to another station.
    """
    with refusals_in_words(line.name), acting_as(made_by), transaction.atomic():
        tasks = {
            one.name: one
            for one in line.tasks.select_for_update(of=("self",)).select_related("fixed_station")
        }
        for name, number in places.items():
            task = tasks.get(name)
            if task is None:
                raise OfftoolError(f"the line has no task {name!r}", remedy=nearest(name, tasks))
            _refuse_unfixed(task, number)
            written_row(task, {"placed_at": station_made(line, number)})


def _refuse_unfixed(task: LineTask, number: int) -> None:
    fixed = task.fixed_station
    if fixed is not None and fixed.number != number:
        raise OfftoolError(
            f"task {task.name} must be done at station {fixed.number}",
            remedy=f"leave it there, or fix it to station {number}",
        )


def put_equipment(station: LineStation, names: Sequence[str]) -> None:
    """Let the station have this equipment of the line and no other."""
    known = {one.name: one for one in station.line.equipment.all()}
    asked = {plain_name(name, "equipment") for name in names}
    kept = {one.equipment.name: one for one in station.has.select_related("equipment")}
    for name in kept.keys() - asked:
        kept[name].delete()
    for name in sorted(asked - kept.keys()):
        LineStationHas.objects.create(station=station, equipment=equipment_made(station.line, name, known))


def equipment_made(line: Line, name: str, known: dict[str, LineEquipment]) -> LineEquipment:
    """The equipment of this name, made where the line does not have it yet."""
    if name not in known:
        known[name] = LineEquipment.objects.create(line=line, name=plain_name(name, "equipment"))
    return known[name]


def station_made(line: Line, number: int) -> LineStation:
    """The station of this number, made where the line does not have it yet."""
    return line.stations.filter(number=number).first() or written_row(
        LineStation(line=line, number=number), {}
    )


def station_numbered(line: Line, number: int) -> LineStation:
    """The station of this number. Raises OfftoolError where the line has none."""
    station = line.stations.filter(number=number).first()
    if station is None:
        known = ", ".join(str(one.number) for one in line.stations.all())
        raise OfftoolError(f"the line has no station {number}", remedy=f"it has {known or 'none yet'}")
    return station


def only_of(known: Sequence[str], columns: Mapping[str, Any]) -> None:
    """Raise KeyError for columns that are none: the caller's mistake."""
    unknown = set(columns) - set(known)
    if unknown:
        raise KeyError(", ".join(sorted(unknown)))


def a_reason(because: str, remedy: str) -> str:
    """The reason as the record keeps it. Raises OfftoolError for an empty one."""
    reason = plain_text(because).strip()
    if not reason:
        raise OfftoolError("no reason is given", remedy=remedy)
    return reason

"""What must hold between a line, its stations, tasks, equipment, breaks and presses."""

from __future__ import annotations

from collections.abc import Mapping, Set
from graphlib import CycleError, TopologicalSorter

from offtool.exchange.programme.folder import ProgrammeFolder
from offtool.exchange.programme.line_rows import LinePressRow, LineRow, LineStationRow, LineTaskRow
from offtool.exchange.programme.refused import refuse_unknown
from offtool.exchange.programme.rows import Row

Names = tuple[str, ...]
All = Mapping[str, Set[Names]]


def check_lines(told: ProgrammeFolder, names: All) -> None:
    """Raise FolderRefused for the first thing that does not hold; `names` are those of every table."""
    for line in told.lines:
        _orders(line)
    for equipment in told.line_equipment:
        _of_line(equipment, equipment.in_line, names)
        refuse_list_sign(equipment, equipment.name)
    for station in told.line_stations:
        _station(station, names)
    _refuse_one_name(told.line_stations)
    for task in told.line_tasks:
        _task(task, names)
    _refuse_contradiction(told.line_tasks)
    _refuse_circle(told.line_tasks)
    for away in told.line_breaks:
        _of_line(away, away.in_line, names)
        refuse_no_station(away, away.in_line, away.station, names, "station")
        if away.ends_h <= away.begins_h:
            what = f"{away.ends_h:g} is not after begins_h {away.begins_h:g}"
            raise away.place("ends_h").refuse(what, "look at the two hours")
    for feeds in told.line_presses:
        _press(feeds, names)


def refuse_no_station(row: Row, line: str, number: int | None, names: All, column: str) -> None:
    """Raise FolderRefused for a station that the line does not have; None is none."""
    if number is not None:
        refuse_unknown(row.place(column), (line, str(number)), names["line_stations"])


def refuse_list_sign(row: Row, name: str) -> None:
    """Raise FolderRefused for a name that cannot stand in a list."""
    if ";" in name:
        raise row.place("name").refuse(f"{name!r} has a semicolon", "lists are written with it: leave it out")
    if name != name.strip():
        raise row.place("name").refuse(f"{name!r} begins or ends with a space", "take it away")


def _of_line(row: Row, line: str, names: All) -> None:
    refuse_unknown(row.place("in_line"), (line,), names["lines"])


def _orders(line: LineRow) -> None:
    for low, high in (("learning_low", "learning_high"), ("planned_first_yield", "planned_final_yield")):
        first, second = getattr(line, low), getattr(line, high)
        if first is not None and second is not None and second < first:
            raise line.place(high).refuse(f"{second:g} is below {low} {first:g}", "look at the two")


def _station(station: LineStationRow, names: All) -> None:
    _of_line(station, station.in_line, names)
    refuse_no_station(station, station.in_line, station.rework_to, names, "rework_to")
    for name in listed(station.has):
        refuse_unknown(station.place("has"), (station.in_line, name), names["line_equipment"])
    _stoppage_whole(station)


def _refuse_one_name(stations: tuple[LineStationRow, ...]) -> None:
    seen: dict[Names, LineStationRow] = {}
    for one in stations:
        if one.name and seen.setdefault((one.in_line, one.name), one) is not one:
            what = f"{one.name!r} stands on line {seen[one.in_line, one.name].line} already"
            raise one.place("name").refuse(what, "give each station of a line its own name, or none")


def _stoppage_whole(row: LineStationRow | LinePressRow) -> None:
    if (row.works_s is None) != (row.stands_s is None):
        raise row.place("stands_s").refuse(
            "works_s without stands_s, or the other way round", "give both or neither"
        )


def listed(text: str) -> tuple[str, ...]:
    """The names of a list."""
    return tuple(name for name in text.split("; ") if name)


def _task(task: LineTaskRow, names: All) -> None:
    _of_line(task, task.in_line, names)
    refuse_list_sign(task, task.name)
    for column in ("after", "together", "apart"):
        for name in listed(getattr(task, column)):
            refuse_unknown(task.place(column), (task.in_line, name), names["line_tasks"])
            if name == task.name:
                raise task.place(column).refuse(f"task {name!r} names itself", "name another task, or none")
    for name in listed(task.needs):
        refuse_unknown(task.place("needs"), (task.in_line, name), names["line_equipment"])
    for column, table in (("part", "parts"), ("joint", "joints"), ("seam", "seams")):
        name = getattr(task, column)
        if name:
            refuse_unknown(task.place(column), (name,), names[table])
    refuse_no_station(task, task.in_line, task.fixed_station, names, "fixed_station")
    refuse_no_station(task, task.in_line, task.placed_at, names, "placed_at")


def _refuse_contradiction(tasks: tuple[LineTaskRow, ...]) -> None:
    tied = {(one.in_line, frozenset((one.name, other))) for one in tasks for other in listed(one.together)}
    for one in tasks:
        for other in listed(one.apart):
            if (one.in_line, frozenset((one.name, other))) in tied:
                what = f"{one.name} and {other} are to be at one station and not at one station"
                raise one.place("apart").refuse(what, "say one of both")


def _refuse_circle(tasks: tuple[LineTaskRow, ...]) -> None:
    rows = {one.names: one for one in tasks}
    before = {one.names: [(one.in_line, name) for name in listed(one.after)] for one in tasks}
    try:
        TopologicalSorter(before).prepare()
    except CycleError as error:
        circle = error.args[1]
        what = f"tasks wait for each other in a circle: {', '.join(name for _, name in circle)}"
        raise rows[circle[0]].place("after").refuse(what, "take out one of these orders") from error


def _press(feeds: LinePressRow, names: All) -> None:
    _of_line(feeds, feeds.in_line, names)
    refuse_unknown(feeds.place("tool"), (feeds.tool,), names["tools"])
    if feeds.press:
        refuse_unknown(feeds.place("press"), (feeds.press,), names["presses"])
    if feeds.task:
        refuse_unknown(feeds.place("task"), (feeds.in_line, feeds.task), names["line_tasks"])
    _stoppage_whole(feeds)

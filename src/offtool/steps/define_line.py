"""Say what is known of a line: its plan, its stations, its tasks, the presses that feed it, its breaks."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from django.db import transaction

from offtool.core.values import ImpossibleInput, OfftoolError, Range, nearest
from offtool.handbook.line_numbers import FEED_NUMBERS, LINE_NUMBERS, STATION_NUMBERS, LineNumber
from offtool.handbook.terms import Ends
from offtool.records.models import Line
from offtool.records.operations import (
    adopt_places,
    define_break,
    define_line,
    define_line_press,
    define_station,
    drop_from_line,
    drop_station,
)
from offtool.records.queries import find_line, find_press, find_programme, find_tool
from offtool.records.queries.finding import NotInRecord
from offtool.steps.line_in_record import as_placed, left_over, line_given, stations_named
from offtool.steps.line_refusals import in_shop_words
from offtool.steps.sentences import count
from offtool.steps.sizes_given import DefinitionRefused

LEAVE = "leave"
"""What is not said of rework stays as it is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StationSaid:
    """What is said of a station; columns that are not named stay. Rework may go to a station, or to none."""

    number: int
    columns: Mapping[str, Any] = field(default_factory=dict)
    has: tuple[str, ...] | None = None
    """Equipment; None: as it was."""
    rework_to: int | str | None = LEAVE


@dataclass(frozen=True, slots=True, kw_only=True)
class FeedSaid:
    """A tool that feeds the line, in which press, and the task that takes its parts."""

    tool: str
    columns: Mapping[str, Any] = field(default_factory=dict)
    press: str = ""
    task: str = ""
    """Blank: the first task of the part."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BreakSaid:
    """Hours of the day's work in which the line, or a station, stands or runs with other people."""

    begins_h: float
    ends_h: float
    station: int | None = None
    people: int | None = None


def keep_line(programme: str, line: str, columns: Mapping[str, Any], *, by: str, is_new: bool = False) -> str:
    """Write what is planned of a line; a new one where there is none of this name. Returns its name.

    Raises DefinitionRefused, naming the field, for a number that cannot be, yields and learning rates out of
    order, and for a new line whose name is taken.
    """
    found = find_programme(programme)
    now = found.lines.filter(name=line.strip()).first()
    if not line.strip():
        raise DefinitionRefused("name", "the line has no name", "give it one, such as main line")
    if is_new and now is not None:
        raise DefinitionRefused("name", f"there is a line {line!r} already", "give this one another name")
    refuse_numbers(columns, LINE_NUMBERS)
    _refuse_fractions(columns)
    _refuse_order(now, columns, "planned_first_yield", "planned_final_yield", "fewer are good after rework")
    _refuse_order(now, columns, "learning_low", "learning_high", "the highest is below the least")
    return define_line(found, line, columns, made_by=by).name


def keep_station(programme: str, line: str | None, said: StationSaid, *, by: str) -> str:
    """Write what is said of a station. Returns a sentence. Raises DefinitionRefused, naming the field."""
    found = find_line(find_programme(programme), line)
    refuse_numbers({k: v for k, v in said.columns.items() if k not in ("name", "two_sided")}, STATION_NUMBERS)
    _refuse_number(said.number)
    now = found.stations.filter(number=said.number).first()
    both = {name: said.columns.get(name, getattr(now, name, None)) for name in ("works_s", "stands_s")}
    if (both["works_s"] is None) != (both["stands_s"] is None):
        missing = next(name for name, value in both.items() if value is None)
        raise DefinitionRefused(
            missing, "only one of the two times of a stoppage is given", "give both or none"
        )
    known = set(found.equipment.values_list("name", flat=True))
    for one in said.has or ():
        if one not in known:
            raise DefinitionRefused("has", f"no task needs {one!r}", nearest(one, known))
    define_station(
        found,
        said.number,
        said.columns,
        made_by=by,
        has=said.has,
        rework_to=-1 if said.rework_to == LEAVE else _rework(said.rework_to),
    )
    return f"Station {said.number} of {found.name} is kept."


def _rework(to: int | str | None) -> int | None:
    return None if to is None else int(to)


def _refuse_number(number: int) -> None:
    if not 1 <= number <= MOST_STATIONS:
        limit = f"give 1 to {MOST_STATIONS}"
        raise DefinitionRefused("number", f"{number} is no number of a station", limit)


MOST_STATIONS = 300


def remove_station(programme: str, line: str | None, number: int, *, by: str) -> str:
    """Take a station out. Returns a sentence. Raises NotInRecord; OfftoolError where it is used."""
    found = find_line(find_programme(programme), line)
    station = found.stations.filter(number=number).first()
    if station is None:
        known = [str(one) for one in found.stations.values_list("number", flat=True)]
        raise NotInRecord(f"nothing is said of station {number}", remedy=nearest(str(number), known))
    drop_station(station, made_by=by)
    return f"What was said of station {number} is taken out."


def keep_equipment(programme: str, line: str | None, name: str, at_most: int | None, *, by: str) -> str:
    """Say how many of an equipment there are. Returns a sentence. Raises DefinitionRefused."""
    from offtool.records.acting import acting_as
    from offtool.records.operations.defining import written_row
    from offtool.records.refusals import refusals_in_words

    found = find_line(find_programme(programme), line)
    kept = found.equipment.filter(name=name).first()
    if kept is None:
        known = found.equipment.values_list("name", flat=True)
        raise DefinitionRefused("equipment", f"no task needs {name!r}", nearest(name, known))
    with refusals_in_words(name), acting_as(by):
        written_row(kept, {"at_most": at_most})
    said = count(at_most, name) if at_most is not None else f"as many {name} as are needed"
    return f"{found.name} has {said}."


def keep_feed(programme: str, line: str | None, said: FeedSaid, *, by: str) -> str:
    """Write how a tool feeds the line. Returns a sentence. Raises DefinitionRefused, naming the field."""
    own = find_programme(programme)
    found = find_line(own, line)
    refuse_numbers(said.columns, FEED_NUMBERS)
    now = found.presses.filter(tool__code=said.tool).first()
    if now is None and said.columns.get("cycle_s") is None:
        raise DefinitionRefused("cycle_s", "the time of a shot is not given", "time a few shots at the press")
    both = {name: said.columns.get(name, getattr(now, name, None)) for name in ("works_s", "stands_s")}
    if (both["works_s"] is None) != (both["stands_s"] is None):
        raise DefinitionRefused(
            "works_s", "only one of the two times of a stoppage is given", "give both or none"
        )
    columns = {
        **said.columns,
        "press": find_press(own, said.press) if said.press else None,
        "task": _task(found, said.task) if said.task else None,
    }
    define_line_press(found, find_tool(own, said.tool), columns, made_by=by)
    return f"Tool {said.tool} feeds {found.name}."


def _task(line: Line, name: str) -> Any:
    task = line.tasks.filter(name=name).first()
    if task is None:
        raise DefinitionRefused(
            "task", f"no task {name!r}", nearest(name, line.tasks.values_list("name", flat=True))
        )
    return task


def keep_break(programme: str, line: str | None, said: BreakSaid, *, by: str) -> str:
    """Write a break. Returns a sentence. Raises DefinitionRefused, naming the field."""
    found = find_line(find_programme(programme), line)
    if said.ends_h <= said.begins_h:
        raise DefinitionRefused(
            "ends_h", f"{said.ends_h:g} h is not after {said.begins_h:g} h", "swap the two"
        )
    station = None
    if said.station is not None:
        station = found.stations.filter(number=said.station).first()
        if station is None:
            raise DefinitionRefused(
                "station", f"nothing is said of station {said.station}", "say its name first"
            )
    define_break(found, said.begins_h, said.ends_h, made_by=by, station=station, people=said.people)
    return f"The break from {said.begins_h:g} h to {said.ends_h:g} h is kept."


def take_break_out(programme: str, line: str | None, begins_h: float, station: int | None, *, by: str) -> str:
    """Take a break out again. Returns a sentence. Raises NotInRecord."""
    found = find_line(find_programme(programme), line)
    rows = found.breaks.filter(begins_h=begins_h)
    row = rows.filter(station__number=station).first() if station else rows.filter(station=None).first()
    if row is None:
        raise NotInRecord(f"no break begins at {begins_h:g} h", remedy="look at the breaks of the line")
    drop_from_line(row, made_by=by)
    return f"The break at {begins_h:g} h is taken out."


def take_feed_out(programme: str, line: str | None, tool: str, *, by: str) -> str:
    """Say that a tool does not feed the line. Returns a sentence. Raises NotInRecord."""
    found = find_line(find_programme(programme), line)
    row = found.presses.filter(tool__code=tool).first()
    if row is None:
        known = found.presses.values_list("tool__code", flat=True)
        raise NotInRecord(f"tool {tool!r} does not feed {found.name}", remedy=nearest(tool, known))
    drop_from_line(row, made_by=by)
    return f"Tool {tool} no longer feeds {found.name}."


def adopt(
    programme: str,
    line: str | None,
    places: Mapping[str, int],
    *,
    by: str,
    people: Mapping[int, int] | None = None,
) -> str:
    """Adopt where every task is done, and by how many people where `people` says so. Returns a sentence.

    Raises OfftoolError for a task that has no place or is not there, and by the task where a place breaks a
    rule of the line.
    """
    found = find_line(find_programme(programme), line)
    given = line_given(found)
    without = [one.task for one in given.tasks if one.task not in places]
    if without:
        raise OfftoolError(f"{', '.join(without[:5])} have no place", remedy="give every task a station")
    names = [one.task for one in given.tasks]
    for name in places:
        if name not in names:
            raise OfftoolError(f"the line has no task {name!r}", remedy=nearest(name, names))
    with transaction.atomic():
        for number, there in (people or {}).items():
            define_station(found, number, {"people": there}, made_by=by)
        try:
            load = as_placed(line_given(found), dict(places), None)
        except ImpossibleInput as error:
            raise OfftoolError(in_shop_words(error)) from error
        adopt_places(found, places, made_by=by)
    used = sum(bool(one.tasks) for one in load.stations)
    by_whom = f" with {count(load.people, 'person', 'people')}" if people else ""
    done = f"{count(len(places), 'task')} of {found.name} are adopted at {count(used, 'station')}{by_whom}."
    empty = [one.number for one in left_over(found)]
    return f"{done} Nothing is done at {stations_named(empty)} any more." if empty else done


def refuse_numbers(numbers: Mapping[str, Any], known: Mapping[str, LineNumber]) -> None:
    """Raise DefinitionRefused, naming the number as it is typed, for one that cannot be."""
    for name, value in numbers.items():
        number = known.get(name)
        if number is None or value is None:
            continue
        ends = _typed_ends(number)
        reach = Range(meaning=number.says, unit=number.unit, **ends)
        typed = number.typed(value) or 0.0
        try:
            reach.refuse_impossible(name, typed)
        except ImpossibleInput as error:
            shown = f"{typed:g} {number.unit}".rstrip()
            remedy = f"{number.says.lower()}: {number.help}" if number.help else ""
            raise DefinitionRefused(name, f"{shown} {error.limit}", remedy) from error


def _typed_ends(number: LineNumber) -> Ends:
    """The ends as they are typed: those of a share in per cent."""
    ends: Ends = {**number.ends}
    for end in ("above", "at_least", "below", "at_most"):
        if end in ends:
            ends[end] *= number.fold
    return ends


LEAST_PLANNED = 0.5
"""No line is planned to lose every other piece: a lower yield is a share typed for per cent; our own rule."""


def _refuse_fractions(columns: Mapping[str, Any]) -> None:
    """Refuse a planned yield that was typed as 0.98 where 98 % is meant."""
    for name in ("planned_first_yield", "planned_final_yield"):
        value, number = columns.get(name), LINE_NUMBERS[name]
        typed = number.typed(value)
        if value is None or typed is None or value >= LEAST_PLANNED:
            continue
        meant = f"{100 * typed:g} % is typed {100 * typed:g}" if typed <= 1 else "98 % is typed 98"
        raise DefinitionRefused(
            name, f"{typed:g} % would lose more than every other piece", f"type it in per cent: {meant}"
        )


def _refuse_order(line: Line | None, columns: Mapping[str, Any], low: str, high: str, what: str) -> None:
    first, last = (columns.get(name, getattr(line, name, None)) for name in (low, high))
    if first is not None and last is not None and last < first:
        raise DefinitionRefused(high, what, "look at the two numbers")


def names_of(values: Iterable[str]) -> tuple[str, ...]:
    """Names once each, without blanks."""
    return tuple(dict.fromkeys(one.strip() for one in values if one.strip()))

"""How lines with their stations and tasks answer each other in a programme folder and in the record.

What a row names beside its own columns in a list, and other rows of its own table, is brought in after all
rows are there: `after`, `needs`, `together` and `apart` of tasks; `has` and `rework_to` of stations.
"""

from __future__ import annotations

from typing import Any

from django.db.models import Prefetch

from offtool.exchange.programme.line_rows import (
    LineBreakRow,
    LineEquipmentRow,
    LinePressRow,
    LineRow,
    LineStationRow,
    LineTaskRow,
)
from offtool.handbook.terms import PairKind
from offtool.records.models import (
    Line,
    LineBreak,
    LineEquipment,
    LinePair,
    LinePress,
    LineStation,
    LineTask,
)
from offtool.steps.answering import Known, Table


def _number(station: LineStation | None) -> int | None:
    return None if station is None else station.number


def station_of(row: Any, column: str, known: Known) -> LineStation | None:
    """The station that a row names by its number; None where it names none."""
    number = getattr(row, column)
    return None if number is None else known.line_stations[row.in_line, str(number)]


def _list(names: Any) -> str:
    return "; ".join(sorted(names))


def _paired(task: LineTask, kind: PairKind) -> str:
    return _list(pair.other.name for pair in task.pairs.all() if pair.kind == kind)


def _task_names(task: LineTask) -> dict[str, Any]:
    return {
        "in_line": task.line.name,
        "after": _list(one.before.name for one in task.after.all()),
        "needs": _list(one.equipment.name for one in task.needs.all()),
        "together": _paired(task, PairKind.TIED),
        "apart": _paired(task, PairKind.APART),
        "part": task.part.code if task.part else "",
        "joint": task.joint.code if task.joint else "",
        "seam": task.seam.code if task.seam else "",
        "fixed_station": _number(task.fixed_station),
        "placed_at": _number(task.placed_at),
    }


def _task_links(row: LineTaskRow, known: Known) -> dict[str, Any]:
    return {
        "line": known.lines[(row.in_line,)],
        "part": known.parts[(row.part,)] if row.part else None,
        "joint": known.joints[(row.joint,)] if row.joint else None,
        "seam": known.seams[(row.seam,)] if row.seam else None,
        "fixed_station": station_of(row, "fixed_station", known),
        "placed_at": station_of(row, "placed_at", known),
    }


LINES = Table(
    name="lines",
    row=LineRow,
    model=Line,
    kept=lambda programme: Line.objects.filter(programme=programme),
    names=lambda line: {},
    links=lambda row, known: {"programme": known.programme},
)
LINE_EQUIPMENT = Table(
    name="line_equipment",
    row=LineEquipmentRow,
    model=LineEquipment,
    kept=lambda programme: LineEquipment.objects.filter(line__programme=programme).select_related("line"),
    names=lambda one: {"in_line": one.line.name},
    links=lambda row, known: {"line": known.lines[(row.in_line,)]},
)
LINE_STATIONS = Table(
    name="line_stations",
    row=LineStationRow,
    model=LineStation,
    kept=lambda programme: (
        LineStation.objects.filter(line__programme=programme)
        .select_related("line", "rework_to")
        .prefetch_related("has__equipment")
    ),
    names=lambda station: {
        "in_line": station.line.name,
        "rework_to": _number(station.rework_to),
        "has": _list(one.equipment.name for one in station.has.all()),
    },
    links=lambda row, known: {"line": known.lines[(row.in_line,)]},
)
LINE_TASKS = Table(
    name="line_tasks",
    row=LineTaskRow,
    model=LineTask,
    kept=lambda programme: (
        LineTask.objects.filter(line__programme=programme)
        .select_related("line", "part", "joint", "seam", "fixed_station", "placed_at")
        .prefetch_related(
            "after__before",
            "needs__equipment",
            Prefetch("pairs", queryset=LinePair.objects.select_related("other")),
        )
        .order_by("line__name", "ordinal", "pk")
    ),
    as_given=True,
    names=_task_names,
    links=_task_links,
)
LINE_BREAKS = Table(
    name="line_breaks",
    row=LineBreakRow,
    model=LineBreak,
    kept=lambda programme: LineBreak.objects.filter(line__programme=programme).select_related(
        "line", "station"
    ),
    names=lambda one: {"in_line": one.line.name, "station": _number(one.station)},
    links=lambda row, known: {
        "line": known.lines[(row.in_line,)],
        "station": station_of(row, "station", known),
    },
)
LINE_PRESSES = Table(
    name="line_presses",
    row=LinePressRow,
    model=LinePress,
    kept=lambda programme: LinePress.objects.filter(line__programme=programme).select_related(
        "line", "tool", "press", "task"
    ),
    names=lambda one: {
        "in_line": one.line.name,
        "tool": one.tool.code,
        "press": one.press.code if one.press else "",
        "task": one.task.name if one.task else "",
    },
    links=lambda row, known: {
        "line": known.lines[(row.in_line,)],
        "tool": known.tools[(row.tool,)],
        "press": known.presses[(row.press,)] if row.press else None,
        "task": known.line_tasks[row.in_line, row.task] if row.task else None,
    },
)

LINED = (LINES, LINE_EQUIPMENT, LINE_STATIONS, LINE_TASKS, LINE_BREAKS, LINE_PRESSES)
"""All tables of lines, each after what it points at; parts, tools, presses, joints and seams stand before."""

"""Bringing lines and pilots of a folder into the record.

Of a sheet of a pilot only `set_aside` may change.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from django.db.models import Model

from offtool.exchange.programme import ProgrammeFolder
from offtool.exchange.programme.line_checks import listed
from offtool.exchange.programme.line_rows import LineStationRow, LineTaskRow
from offtool.handbook.terms import PairKind
from offtool.records.models import LinePair, LineStationHas, LineTaskAfter, LineTaskNeeds
from offtool.records.refusals import refusals_in_words
from offtool.steps.answering import Known
from offtool.steps.bringing_in import REASON, TableLoaded, bring_in
from offtool.steps.bringing_in_measured import bring_in_measured
from offtool.steps.line_tables import (
    LINE_BREAKS,
    LINE_EQUIPMENT,
    LINE_PRESSES,
    LINE_STATIONS,
    LINE_TASKS,
    LINES,
    station_of,
)
from offtool.steps.pilot_tables import ON_SHEETS, PILOT_FILES, PILOT_TRIALS, PILOTS


def bring_in_lines(told: ProgrammeFolder, known: Known) -> tuple[TableLoaded, ...]:
    """Lines with equipment, stations, tasks, breaks and presses; then pilots with their sheets."""
    tasks = pairs_once(told.line_tasks)
    lines = (
        bring_in(LINES, told.lines, known),
        bring_in(LINE_EQUIPMENT, told.line_equipment, known),
        bring_in(LINE_STATIONS, told.line_stations, known),
        bring_in(LINE_TASKS, tasks, known),
    )
    for station in told.line_stations:
        _put_beside_station(station, known)
    for task in tasks:
        _put_beside_task(task, known)
    return (
        *lines,
        bring_in(LINE_BREAKS, told.line_breaks, known),
        bring_in(LINE_PRESSES, told.line_presses, known),
        bring_in(PILOTS, told.pilots, known),
        bring_in(PILOT_TRIALS, told.pilot_trials, known),
        *bring_in_measured(told, PILOT_FILES, *ON_SHEETS, known=known),
    )


def pairs_once(tasks: Sequence[LineTaskRow]) -> list[LineTaskRow]:
    """The tasks with each pair named once: at the one that comes first in the list."""
    place = {one.names: (one.in_line, one.ordinal, at) for at, one in enumerate(tasks)}
    named: dict[str, dict[tuple[str, ...], set[str]]] = {"together": {}, "apart": {}}
    for task in tasks:
        for column, found in named.items():
            for other in listed(getattr(task, column)):
                first, second = sorted((task.names, (task.in_line, other)), key=place.__getitem__)
                found.setdefault(first, set()).add(second[1])
    together, apart = named["together"], named["apart"]
    return [
        replace(task, together=_list(together.get(task.names)), apart=_list(apart.get(task.names)))
        for task in tasks
    ]


def _list(names: Iterable[str] | None) -> str:
    return "; ".join(sorted(names or ()))


def _put_beside_station(row: LineStationRow, known: Known) -> None:
    station = known.line_stations[row.names]
    to = station_of(row, "rework_to", known)
    if station.rework_to != to:
        station.rework_to = to
        station._change_reason = REASON  # type: ignore[attr-defined]
        with refusals_in_words(str(row.place("rework_to"))):
            station.save()
    has = [known.line_equipment[row.in_line, name] for name in listed(row.has)]
    put_exactly(LineStationHas, {"station": station}, [{"equipment": one} for one in has])


def _put_beside_task(row: LineTaskRow, known: Known) -> None:
    task = known.line_tasks[row.names]
    before = [known.line_tasks[row.in_line, name] for name in listed(row.after)]
    put_exactly(LineTaskAfter, {"task": task}, [{"before": one} for one in before])
    needs = [known.line_equipment[row.in_line, name] for name in listed(row.needs)]
    put_exactly(LineTaskNeeds, {"task": task}, [{"equipment": one} for one in needs])
    pairs = [
        {"other": known.line_tasks[row.in_line, name], "kind": kind.value}
        for kind, names in ((PairKind.TIED, row.together), (PairKind.APART, row.apart))
        for name in listed(names)
    ]
    put_exactly(LinePair, {"one": task}, pairs)


def put_exactly(model: type[Model], owner: Mapping[str, Any], asked: Iterable[Mapping[str, Any]]) -> None:
    """Let the owner have exactly these rows; nothing is written where it has them."""
    wanted = list(asked)
    for kept in model._default_manager.filter(**owner):
        same = next((one for one in wanted if all(getattr(kept, c) == v for c, v in one.items())), None)
        if same is None:
            kept.delete()
        else:
            wanted.remove(same)
    for columns in wanted:
        made = model(**owner, **columns)
        made._change_reason = REASON  # type: ignore[attr-defined]
        made.save()

"""What the record knows of a line, for its forms, its table and its sheet."""

from __future__ import annotations

from offtool.core.values import nearest
from offtool.handbook.terms import PairKind
from offtool.records.models import Line, LinePress, LineStation, LineTask, Programme
from offtool.records.queries import (
    find_line,
    find_programme,
    lines_of,
    presses_of_line,
    stations_of,
    tasks_of,
)
from offtool.records.queries.finding import NotInRecord
from offtool.steps.line_known import (
    BreakKnown,
    EquipmentKnown,
    LineKnown,
    LinePressKnown,
    StationKnown,
    TaskKnown,
)
from offtool.steps.overview import is_invented


def know_line(programme: str, line: str | None = None) -> LineKnown:
    """A line with all that is written of it; without a name the only one there is.

    Where the programme has no line yet, an empty one. Raises NotInRecord for an unknown name, and where a
    name is needed.
    """
    found = find_programme(programme)
    names = [one.name for one in lines_of(found)]
    if line is None and not names:
        return no_line(found)
    return known_line(find_line(found, line))


def know_programme(programme: str) -> LineKnown:
    """A programme whose next line is about to be written down. Raises NotInRecord."""
    return no_line(find_programme(programme))


def first_line(programme: str) -> str | None:
    """The name of a programme's first line, None where it has none. Raises NotInRecord."""
    return next((one.name for one in lines_of(find_programme(programme))), None)


def no_line(programme: Programme) -> LineKnown:
    """A programme that has no line yet."""
    return LineKnown(
        programme=programme.slug,
        programme_title=programme.title,
        invented=is_invented(programme),
        currency=programme.currency,
        line="",
        lines=tuple(one.name for one in lines_of(programme)),
        tools=tuple(programme.tools.order_by("code").values_list("code", flat=True)),
        programme_presses=tuple(programme.presses.order_by("code").values_list("code", flat=True)),
    )


NUMBERS = (
    *("planned_per_h", "people", "hours_per_day", "quantity", "starts_on", "piece_cost", "minute_cost"),
    *("planned_first_yield", "planned_final_yield", "learning_low", "learning_high", "two_sided", "note"),
)
"""Of a line."""
STATION_NUMBERS = (
    *("people", "two_sided", "places", "cure_s", "fails", "rounds", "works_s", "stands_s"),
    *("fixtures", "learning", "made_before"),
)
"""Of a station; its name, its equipment and where rework goes are said beside."""


def known_line(line: Line) -> LineKnown:
    """A line of the record with all that is written of it."""
    programme = line.programme
    whole = no_line(programme)
    return LineKnown(
        programme=whole.programme,
        programme_title=whole.programme_title,
        invented=whole.invented,
        currency=whole.currency,
        line=line.name,
        lines=whole.lines,
        **{name: getattr(line, name) for name in NUMBERS},
        tasks=tuple(map(_task, tasks_of(line))),
        stations=tuple(map(_station, stations_of(line))),
        equipment=tuple(
            EquipmentKnown(
                name=one.name,
                at_most=one.at_most,
                stations=tuple(sorted(has.station.number for has in one.at_stations.all())),
            )
            for one in line.equipment.prefetch_related("at_stations__station").order_by("pk")
        ),
        breaks=tuple(
            BreakKnown(
                begins_h=one.begins_h,
                ends_h=one.ends_h,
                station=one.station.number if one.station is not None else None,
                people=one.people,
            )
            for one in line.breaks.select_related("station")
        ),
        presses=tuple(map(_press, presses_of_line(line))),
        parts=tuple(programme.parts.order_by("code").values_list("code", flat=True)),
        joints=tuple(programme.joints.order_by("code").values_list("code", flat=True)),
        seams=tuple(programme.seams.order_by("code").values_list("code", flat=True)),
        tools=whole.tools,
        programme_presses=whole.programme_presses,
    )


def _task(one: LineTask) -> TaskKnown:
    pairs = [(pair.other.name, pair.kind) for pair in one.pairs.all()]
    return TaskKnown(
        task=one.name,
        title=one.title,
        time_s=one.time_s,
        spread_s=one.spread_s,
        readings=one.readings,
        side=one.side,
        after=tuple(row.before.name for row in one.after.all()),
        needs=tuple(row.equipment.name for row in one.needs.all()),
        together=tuple(name for name, kind in pairs if kind == PairKind.TIED),
        apart=tuple(name for name, kind in pairs if kind == PairKind.APART),
        part=one.part.code if one.part is not None else "",
        joint=one.joint.code if one.joint is not None else "",
        seam=one.seam.code if one.seam is not None else "",
        fixed_station=one.fixed_station.number if one.fixed_station is not None else None,
        placed_at=one.placed_at.number if one.placed_at is not None else None,
    )


def _station(one: LineStation) -> StationKnown:
    return StationKnown(
        number=one.number,
        name=one.name,
        **{name: getattr(one, name) for name in STATION_NUMBERS},
        has=tuple(row.equipment.name for row in one.has.all()),
        rework_to=one.rework_to.number if one.rework_to is not None else None,
    )


def _press(one: LinePress) -> LinePressKnown:
    return LinePressKnown(
        tool=one.tool.code,
        press=one.press.code if one.press is not None else "",
        cycle_s=one.cycle_s,
        cycle_spread_s=one.cycle_spread_s,
        rejects=one.rejects,
        works_s=one.works_s,
        stands_s=one.stands_s,
        task=one.task.name if one.task is not None else "",
    )


def need_task(known: LineKnown, name: str) -> TaskKnown:
    """A task of a line. Raises NotInRecord."""
    found = known.task_named(name)
    if found is None:
        raise NotInRecord(
            f"line {known.line} has no task {name!r}", remedy=nearest(name, [one.task for one in known.tasks])
        )
    return found

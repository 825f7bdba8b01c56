"""Lines with their tasks, stations, equipment, breaks and presses."""

from __future__ import annotations

from offtool.core.values import nearest
from offtool.records.models import (
    Line,
    LineBreak,
    LineEquipment,
    LinePair,
    LinePress,
    LineStation,
    LineTask,
    Programme,
)
from offtool.records.queries.finding import NotInRecord


def lines_of(programme: Programme) -> tuple[Line, ...]:
    """All lines of a programme by name."""
    return tuple(programme.lines.select_related("programme").order_by("name"))


_NO_LINE = "read its tasks from a table first: offtool line PROGRAMME 'main line' --read FILE --keep"


def find_line(programme: Programme, name: str | None = None) -> Line:
    """The line of this name; without a name the only one.

    Raises NotInRecord where there is none, and without a name where there are several.
    """
    lines = lines_of(programme)
    known = [one.name for one in lines]
    if name is None and len(lines) == 1:
        return lines[0]
    if not lines:
        raise NotInRecord(f"{programme.slug} has no line", remedy=_NO_LINE)
    if name is None:
        raise NotInRecord(f"{programme.slug} has lines {', '.join(known)}", remedy="name one of them")
    found = next((one for one in lines if one.name == name), None)
    if found is None:
        raise NotInRecord(f"no line {name!r} in {programme.slug}", remedy=nearest(name, known))
    return found


def tasks_of(line: Line) -> tuple[LineTask, ...]:
    """The tasks in the order of the list, with what comes before them, what they need, and their pairs."""
    beside = line.tasks.select_related("part", "joint", "seam", "fixed_station", "placed_at")
    return tuple(beside.prefetch_related("after__before", "needs__equipment", "pairs__other"))


def pairs_of(line: Line) -> tuple[LinePair, ...]:
    """The pairs of tasks that must be together or apart, each once, both tasks beside them."""
    pairs = LinePair.objects.filter(one__line=line).select_related("one", "other")
    return tuple(pairs.order_by("one__ordinal", "other__ordinal"))


def stations_of(line: Line) -> tuple[LineStation, ...]:
    """The stations along the line, with the equipment they have and where their rework goes."""
    return tuple(line.stations.select_related("rework_to").prefetch_related("has__equipment"))


def equipment_of(line: Line) -> tuple[LineEquipment, ...]:
    """The equipment of the line by name."""
    return tuple(line.equipment.order_by("name"))


def breaks_of(line: Line) -> tuple[LineBreak, ...]:
    """The breaks in order of time, their stations beside them."""
    return tuple(line.breaks.select_related("station"))


def presses_of_line(line: Line) -> tuple[LinePress, ...]:
    """The tools that feed the line, by code, with their cavities and the parts of these."""
    feeds = line.presses.select_related("press", "tool", "task").order_by("tool__code")
    return tuple(feeds.prefetch_related("tool__cavities__part"))

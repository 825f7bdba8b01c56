"""The rows of a line's page: stations with their tasks, equipment, tools that feed it, breaks."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from offtool.core.pilot.balance import LineBalance, PlacedTask, StationLoad
from offtool.handbook.terms import Side
from offtool.steps.line_found import LineFound
from offtool.steps.line_known import BreakKnown, EquipmentKnown, LineKnown, LinePressKnown, StationKnown
from offtool.steps.line_sentences import ENOUGH_READINGS
from offtool.steps.line_words import people_in_words, share_over_in_words
from offtool.steps.sentences import count, per_cent
from offtool.web.pages.line_place import LinePlace


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskRow:
    """One task at its station."""

    task: str
    href: str
    time: str
    says: str
    """Its spread, how often it was timed, what it needs, its side."""
    title: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StationRow:
    """One station."""

    name: str
    href: str
    people: str
    says: str
    """What is said of it beside: places, curing, stoppages, rework."""
    tasks: tuple[TaskRow, ...]
    busy: str
    over_word: str
    """Over the cycle, or the slowest."""
    mark: str
    idle: str
    over: str


@dataclass(frozen=True, slots=True, kw_only=True)
class EquipmentRow:
    """Equipment of the line."""

    name: str
    href: str
    at_most: str
    stands: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FeedRow:
    """A tool that feeds the line."""

    tool: str
    href: str
    press: str
    cycle: str
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BreakRow:
    """A break."""

    when: str
    where: str
    begins_h: str
    station: str


def station_rows(found: LineFound, place: LinePlace) -> Iterator[StationRow]:
    """The stations of the line that is shown; without a balance the tasks as they are listed, in one row."""
    shown = found.shown
    if shown is None:
        if found.known.tasks:
            yield _unplaced(found.known, place)
        return
    cycle = 3600 / found.needed_per_h if found.is_adopted and found.needed_per_h else shown.cycle_s
    for one in shown.stations:
        yield _station(one, found, place, cycle, shown)


def _unplaced(known: LineKnown, place: LinePlace) -> StationRow:
    tasks = tuple(_task_row(one.task, one.time_s, Side.EITHER, known, place) for one in known.tasks)
    return StationRow(
        name="not placed", href="", people="", says="", tasks=tasks, busy="", over_word="", mark="", idle="",
        over="",
    )  # fmt: skip


def _station(
    one: StationLoad, found: LineFound, place: LinePlace, cycle: float, shown: LineBalance
) -> StationRow:
    known = found.known.station_numbered(one.station)
    named = known.name if known is not None and found.adopted is not None else ""
    facing = ", facing each other" if one.two_sided else ""
    over = one.busy_s - cycle
    is_over = over > cycle * 1e-9
    word = f"{over:.3g} s over the cycle" if is_over else "the slowest" if one is shown.slowest else ""
    return StationRow(
        name=f"{one.station} {named}".rstrip(),
        href=place.address("line_station", one.station),
        people=f"{people_in_words(one.people)}{facing}",
        says=station_in_words(known) if known is not None and found.adopted is not None else "",
        tasks=tuple(_placed(placed, found.known, place) for placed in one.tasks),
        busy=f"{one.busy_s:.4g} s" if one.tasks else "nothing to do",
        over_word=word,
        mark="no" if is_over else "",
        idle=f"{one.idle_s:.4g} s",
        over=share_over_in_words(one.over) if one.tasks else "",
    )


def _placed(placed: PlacedTask, known: LineKnown, place: LinePlace) -> TaskRow:
    return _task_row(placed.task, placed.time_s, placed.side, known, place)


def _task_row(name: str, time_s: float, side: Side, known: LineKnown, place: LinePlace) -> TaskRow:
    task = known.task_named(name)
    said: list[str] = []
    if task is not None:
        few = f"timed only {count(task.readings, 'time')}" if task.readings < ENOUGH_READINGS else ""
        timed = few if task.readings else "an estimate"
        spread = f"± {task.spread_s:g} s" if task.spread_s is not None else ""
        said = [spread, timed, *task.needs]
    said += [side.value] if side is not Side.EITHER else []
    return TaskRow(
        task=name,
        href=place.address("line_task", name),
        time=f"{time_s:.4g} s",
        says=", ".join(filter(None, said)),
        title=task.title if task is not None else "",
    )


def station_in_words(one: StationKnown) -> str:
    """What is said of a station beside its people."""
    said: list[str] = [*one.has]
    if one.places is not None:
        said.append(
            f"{count(one.places, 'piece')} may wait before it"
            if one.places
            else "no piece may wait before it"
        )
    if one.cure_s:
        said.append(f"a piece lies {one.cure_s / 60:g} min before it")
    if one.fails:
        back = f", back to station {one.rework_to}" if one.rework_to is not None else ", scrapped"
        said.append(f"{per_cent(one.fails, 1)} fail{back}")
    if one.works_s is not None and one.stands_s is not None:
        said.append(f"stops after {one.works_s / 60:g} min for {one.stands_s / 60:g} min, in the mean")
    if one.fixtures is not None:
        said.append(count(one.fixtures, "fixture"))
    return "; ".join(said)


def equipment_rows(known: LineKnown, place: LinePlace) -> Iterator[EquipmentRow]:
    """What tasks need."""
    for one in known.equipment:
        yield _equipment(one, place)


def _equipment(one: EquipmentKnown, place: LinePlace) -> EquipmentRow:
    stations = ", ".join(map(str, one.stations))
    return EquipmentRow(
        name=one.name,
        href=place.address("line_equipment", one.name),
        at_most=str(one.at_most) if one.at_most is not None else "as many as are needed",
        stands=f"station {stations}" if one.stations else "wherever it is needed",
    )


def feed_rows(known: LineKnown, place: LinePlace) -> Iterator[FeedRow]:
    """The tools that feed the line."""
    for one in known.presses:
        yield _feed(one, place)


def _feed(one: LinePressKnown, place: LinePlace) -> FeedRow:
    spread = f" ± {one.cycle_spread_s:g} s" if one.cycle_spread_s is not None else ""
    said = [f"{per_cent(one.rejects, 1)} sorted out"] if one.rejects else []
    if one.works_s is not None and one.stands_s is not None:
        said.append(f"stops after {one.works_s / 60:g} min for {one.stands_s / 60:g} min, in the mean")
    said.append(f"taken by {one.task}" if one.task else "taken by the first task of the part")
    return FeedRow(
        tool=one.tool,
        href=place.address("line_feed", one.tool),
        press=one.press or "not said",
        cycle=f"{one.cycle_s:g} s{spread}",
        says="; ".join(said),
    )


def break_rows(known: LineKnown) -> Iterator[BreakRow]:
    """The breaks of the line and of its stations."""
    for one in known.breaks:
        yield _break(one, known)


def _break(one: BreakKnown, known: LineKnown) -> BreakRow:
    where = "the whole line" if one.station is None else known.station_name(one.station)
    people = f", {people_in_words(one.people)} there" if one.people else ""
    return BreakRow(
        when=f"{one.begins_h:g} h to {one.ends_h:g} h after work begins",
        where=f"{where}{people}",
        begins_h=f"{one.begins_h:.12g}",
        station=str(one.station or ""),
    )

"""What is written down of a line, on the terminal."""

from __future__ import annotations

from collections.abc import Iterator

from offtool.cli.shared_lines import bullets, counted, heading, sentence, table_or_bullets
from offtool.handbook.line_numbers import FEED_NUMBERS, LINE_NUMBERS, STATION_NUMBERS, LineNumber
from offtool.steps.line_known import LineKnown, StationKnown, TaskKnown


def line_known_lines(known: LineKnown) -> list[str]:
    """Its plan, its tasks, its stations, what feeds it, its breaks."""
    tasks = counted(len(known.tasks), "task")
    lines = sentence(f"{known.line}: {tasks}, {sum(one.time_s for one in known.tasks):.4g} s of work.")
    plan = [[one.label, _number(one, getattr(known, name))] for name, one in LINE_NUMBERS.items()]
    lines += [*heading("The plan"), *table_or_bullets(plan, [": ".join(row) for row in plan])]
    rows = [_task(one) for one in known.tasks]
    if rows:
        lines += [*heading("Tasks"), *table_or_bullets(rows, [", ".join(filter(None, row)) for row in rows])]
    if known.stations:
        lines += [*heading("Stations"), *bullets([_station(one) for one in known.stations])]
    if known.equipment:
        said = [f"{one.name}: {one.at_most or 'as many as are needed'}" for one in known.equipment]
        lines += [*heading("Equipment"), *bullets(said)]
    if known.presses:
        lines += [*heading("Presses that feed it"), *bullets(list(_presses(known)))]
    if known.breaks:
        lines += [*heading("Breaks"), *bullets(list(_breaks(known)))]
    return lines


def _number(number: LineNumber, kept: float | None) -> str:
    typed = number.typed(kept)
    return "not said" if typed is None else f"{typed:g}"


def _said(numbers: dict[str, LineNumber], of: object) -> Iterator[str]:
    for name, number in numbers.items():
        if (kept := getattr(of, name)) is not None:
            yield f"{number.says.lower()} {_number(number, kept)} {number.unit}".rstrip()


def _task(one: TaskKnown) -> list[str]:
    spread = f" ± {one.spread_s:g} s" if one.spread_s is not None else ""
    timed = counted(one.readings, "reading") if one.readings else "estimate"
    at = f"station {one.placed_at}" if one.placed_at is not None else ""
    said = [f"after {'; '.join(one.after)}"] if one.after else []
    said += [f"needs {'; '.join(one.needs)}"] if one.needs else []
    return [one.task, f"{one.time_s:g} s{spread}", timed, at, ", ".join(said)]


def _station(one: StationKnown) -> str:
    said = [*one.has, *_said(dict(STATION_NUMBERS), one)]
    said += [f"rework to station {one.rework_to}"] if one.rework_to is not None else []
    said += ["two people face each other"] if one.two_sided else []
    return f"{one.number} {one.name}".rstrip() + (f": {', '.join(said)}" if said else "")


def _presses(known: LineKnown) -> Iterator[str]:
    for one in known.presses:
        press = f" in {one.press}" if one.press else ""
        yield f"{one.tool}{press}: {', '.join(_said(dict(FEED_NUMBERS), one))}"


def _breaks(known: LineKnown) -> Iterator[str]:
    for one in known.breaks:
        where = known.station_name(one.station) if one.station is not None else "the whole line"
        people = f", {one.people} go on" if one.people else ""
        yield f"{one.begins_h:g} h to {one.ends_h:g} h: {where}{people}"

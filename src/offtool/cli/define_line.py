"""offtool define-line, line-station, line-task, line-press, line-break: what is said of a line."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, TypeVar

import click

from offtool.cli.options import (
    DAY,
    FROM_ZERO,
    NUMBER,
    command,
    open_for_reading,
    options_typed,
    shared_options,
    who,
)
from offtool.cli.terminal import say, say_json
from offtool.handbook.line_numbers import (
    FEED_NUMBERS,
    LINE_NUMBERS,
    STATION_NUMBERS,
    TASK_NUMBERS,
    LineNumber,
)

F = TypeVar("F", bound=Callable[..., Any])
YES_NO = click.Choice(["yes", "no"])


def _numbers(numbers: Mapping[str, LineNumber]) -> Callable[[F], F]:
    """An option for each number of the list, in its order."""

    def with_options(function: F) -> F:
        for name, number in reversed(list(numbers.items())):
            says = f"{number.says}{': ' + number.help if number.help else ''}."
            kind = click.INT if number.whole else NUMBER
            typed = f"--{name.replace('_', '-')}"
            function = click.option(typed, type=kind, metavar=number.unit or "NUMBER", help=says)(function)
        return function

    return with_options


_forget = click.option(
    "--forget", multiple=True, metavar="NUMBER", help="Leave a number blank again, such as people."
)


def _told(
    numbers: Mapping[str, LineNumber], given: Mapping[str, Any], forget: tuple[str, ...] = ()
) -> dict[str, Any]:
    """What was typed, as the record keeps it. Raises UsageError for a number that is none."""
    told = {name: one.kept(given[name]) for name, one in numbers.items() if given[name] is not None}
    for typed in forget:
        name = typed.strip().lstrip("-").replace("-", "_")
        if name not in numbers:
            shown = ", ".join(one.replace("_", "-") for one in numbers)
            raise click.UsageError(f"--forget {typed}: no such number; there are {shown}")
        told[name] = None
    return told


def _show(programme: str, line: str | None, done: str, *, as_json: bool) -> None:
    from offtool.steps.know_line import know_line
    from offtool.steps.plain import as_plain

    known = know_line(programme, line)
    if as_json:
        say_json(as_plain(known))
        return
    from offtool.cli.shared_lines import done_lines
    from offtool.cli.show_line_known import line_known_lines

    say([*done_lines([done] if done else []), *line_known_lines(known)])


@command(example="offtool define-line harbour-otter 'otter line' --planned-per-h 150 --people 13")
@click.argument("programme")
@click.argument("line")
@_numbers(LINE_NUMBERS)
@click.option("--starts-on", type=DAY, metavar="YYYY-MM-DD", help="First day of production.")
@click.option("--two-sided", type=YES_NO, help="Two people face each other at its stations.")
@click.option("--equipment", multiple=True, metavar="NAME=NUMBER",
              help="How many there are, such as welder=1; welder= for as many as needed.")  # fmt: skip
@click.option("--note", help="Anything the next reader should know.")
@_forget
@click.option("--new", is_flag=True, help="The line is not there yet: write it down.")
@shared_options
def define_line(
    programme: str, line: str, starts_on: Any, two_sided: str | None, equipment: tuple[str, ...],
    note: str | None, forget: tuple[str, ...], new: bool, record: Path | None, as_json: bool, **said: Any,
) -> None:  # fmt: skip
    """Say what is planned of a line.

    Without a number it shows what is written down of the line.
    """
    open_for_reading(record)
    from offtool.steps.define_line import keep_equipment, keep_line
    from offtool.steps.know_line import know_line

    told = _told(LINE_NUMBERS, said, forget)
    told |= {"starts_on": starts_on.date()} if starts_on is not None else {}
    told |= {"two_sided": two_sided == "yes"} if two_sided is not None else {}
    told |= {"note": note} if note is not None else {}
    if not new:
        know_line(programme, line)  # a line that is not there is not made by a slip of the name
    done = ""
    if told or new:
        keep_line(programme, line, told, by=who(), is_new=new)
        done = f"What is planned of {line} is kept."
    for name, number in map(_how_many, equipment):
        done = f"{done} {keep_equipment(programme, line, name, number, by=who())}".strip()
    _show(programme, line, done, as_json=as_json)


def _how_many(typed: str) -> tuple[str, int | None]:
    """Name and number of "welder=2"."""
    name, sign, number = typed.rpartition("=")
    if not sign or not name.strip() or (number.strip() and not number.strip().isdigit()):
        raise click.UsageError(f"--equipment {typed}: write it as welder=2, or welder= for as many as needed")
    return name.strip(), int(number) if number.strip() else None


@command(example="offtool line-station harbour-otter 'otter line' 4 --people 2 --places 6 --cure-s 1200")
@click.argument("programme")
@click.argument("line")
@click.argument("number", type=click.IntRange(min=1))
@click.option("--name", help="As people call it, such as paint.")
@_numbers(STATION_NUMBERS)
@click.option("--two-sided", type=click.Choice(["yes", "no", "as the line"]),
              help="Two people face each other there.")  # fmt: skip
@click.option("--has", multiple=True, metavar="EQUIPMENT", help="What stands there; '' for nothing.")
@click.option("--rework-to", metavar="STATION", help="Where what fails goes back to; none: it is scrapped.")
@_forget
@click.option("--remove", is_flag=True, help="Take out what is said of the station.")
@shared_options
def line_station(
    programme: str, line: str, number: int, name: str | None, two_sided: str | None, has: tuple[str, ...],
    rework_to: str | None, forget: tuple[str, ...], remove: bool, record: Path | None, as_json: bool,
    **said: Any,
) -> None:  # fmt: skip
    """Say what is known of a station of a line."""
    open_for_reading(record)
    from offtool.steps import define_line as step

    if remove:
        _alone("--remove")
        done = step.remove_station(programme, line, number, by=who())
        _show(programme, line, done, as_json=as_json)
        return
    columns = _told(STATION_NUMBERS, said, forget)
    columns |= {"name": name} if name is not None else {}
    columns |= {"two_sided": {"yes": True, "no": False}.get(two_sided)} if two_sided is not None else {}
    station = step.StationSaid(
        number=number,
        columns=columns,
        has=step.names_of(has) if has else None,
        rework_to=step.LEAVE if rework_to is None else _station_named(rework_to),
    )
    _show(programme, line, step.keep_station(programme, line, station, by=who()), as_json=as_json)


def _station_named(typed: str) -> int | None:
    if typed.strip().lower() == "none":
        return None
    if not typed.strip().isdigit():
        raise click.UsageError(f"--rework-to {typed}: give the number of a station, or none")
    return int(typed)


def _alone(option: str) -> None:
    left = [one for one in options_typed() if one not in (option, "--record", "--json")]
    if left:
        raise click.UsageError(f"{option} takes it out; give it alone, without {left[0]}")


@command(
    example="offtool line-task harbour-otter 'otter line' 'weld torso' --time-s 16.5 --spread-s 1.2 "
    "--readings 10 --after 'look at halves' --needs welder"
)
@click.argument("programme")
@click.argument("line")
@click.argument("task")
@_numbers(TASK_NUMBERS)
@click.option("--title", help="What the person does, in words.")
@click.option("--after", multiple=True, metavar="TASK", help="Must be done before; '' for nothing.")
@click.option("--needs", multiple=True, metavar="EQUIPMENT", help="Such as welder; '' for nothing.")
@click.option("--together", multiple=True, metavar="TASK", help="At the same station as; '' for nothing.")
@click.option("--apart", multiple=True, metavar="TASK", help="Not at the station of; '' for nothing.")
@click.option("--side", type=click.Choice(["either", "left", "right"]), help="From which side it is done.")
@click.option("--fixed-station", type=int, help="It must be done there; 0: wherever it fits.")
@click.option("--station", "placed_at", type=int, help="The line as adopted does it there; 0: no place.")
@click.option("--part", help="The part that it works on.")
@click.option("--joint", help="The joint.")
@click.option("--seam", help="The seam.")
@click.option("--new", is_flag=True, help="The task is not there yet.")
@click.option("--remove", is_flag=True, help="Take the task out of the line.")
@shared_options
def line_task(
    programme: str, line: str, task: str, new: bool, remove: bool, record: Path | None, as_json: bool,
    **given: Any,
) -> None:  # fmt: skip
    """Say one task of a line: time, order, what it needs."""
    open_for_reading(record)
    from dataclasses import replace

    from offtool.steps.define_line import names_of
    from offtool.steps.define_task import keep_task, remove_task
    from offtool.steps.know_line import know_line, need_task
    from offtool.steps.line_known import TaskKnown

    if remove:
        _alone("--remove")
        _show(programme, line, remove_task(programme, line, task, by=who()), as_json=as_json)
        return
    if new and given["time_s"] is None:
        raise click.UsageError("--new: give --time-s, or an estimate")
    known = know_line(programme, line)
    now = TaskKnown(task=task, time_s=0.0) if new else need_task(known, task)
    told = _told(TASK_NUMBERS, given)
    for name in ("after", "needs", "together", "apart"):
        told |= {name: names_of(given[name])} if given[name] else {}
    for name in ("title", "side", "part", "joint", "seam"):
        told |= {name: given[name]} if given[name] is not None else {}
    for name in ("fixed_station", "placed_at"):
        told |= {name: given[name] or None} if given[name] is not None else {}
    done = keep_task(programme, line, replace(now, **told), by=who(), now="" if new else task) if told else ""
    _show(programme, line, done, as_json=as_json)


@command(example="offtool line-press harbour-otter 'otter line' M1 --press P4 --cycle-s 36 --rejects 1.5")
@click.argument("programme")
@click.argument("line")
@click.argument("tool")
@_numbers(FEED_NUMBERS)
@click.option("--press", help="The press it hangs in.")
@click.option("--task", help="The task that takes its parts; else the first of the part.")
@click.option("--remove", is_flag=True, help="The tool does not feed the line.")
@shared_options
def line_press(
    programme: str, line: str, tool: str, press: str | None, task: str | None, remove: bool,
    record: Path | None, as_json: bool, **given: Any,
) -> None:  # fmt: skip
    """Say how a tool in a press feeds a line while it runs."""
    open_for_reading(record)
    from offtool.steps import define_line as step
    from offtool.steps.know_line import know_line

    if remove:
        _alone("--remove")
        done = step.take_feed_out(programme, line, tool, by=who())
    else:
        now = next((one for one in know_line(programme, line).presses if one.tool == tool), None)
        said = step.FeedSaid(
            tool=tool,
            columns=_told(FEED_NUMBERS, given),
            press=press if press is not None else now.press if now is not None else "",
            task=task if task is not None else now.task if now is not None else "",
        )
        done = step.keep_feed(programme, line, said, by=who())
    _show(programme, line, done, as_json=as_json)


@command(example="offtool line-break harbour-otter 'otter line' 2 2.25")
@click.argument("programme")
@click.argument("line")
@click.argument("begins_h", type=FROM_ZERO)
@click.argument("ends_h", type=FROM_ZERO, required=False)
@click.option("--station", type=int, help="Only this station; else the whole line.")
@click.option("--people", type=int, help="So many go on working meanwhile; else none.")
@click.option("--remove", is_flag=True, help="Take the break that begins then out.")
@shared_options
def line_break(
    programme: str, line: str, begins_h: float, ends_h: float | None, station: int | None,
    people: int | None, remove: bool, record: Path | None, as_json: bool,
) -> None:  # fmt: skip
    """Say when a line stands, in hours after work begins."""
    if (ends_h is None) != remove:
        raise click.UsageError("give both hours, or the first with --remove")
    open_for_reading(record)
    from offtool.steps import define_line as step

    if remove:
        done = step.take_break_out(programme, line, begins_h, station, by=who())
    else:
        said = step.BreakSaid(begins_h=begins_h, ends_h=ends_h or 0.0, station=station, people=people)
        done = step.keep_break(programme, line, said, by=who())
    _show(programme, line, done, as_json=as_json)

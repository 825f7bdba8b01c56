"""offtool press and offtool tool: the numbers that a plan asks of them, shown and kept."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, TypeVar

import click

from offtool.cli.options import NUMBER, command, open_for_reading, shared_options, who
from offtool.cli.terminal import say, say_json
from offtool.handbook.sheet_numbers import PRESS_SHEET, TOOL_SHEET, SheetNumber
from offtool.handbook.terms import Feed
from offtool.handbook.workdays import WORKDAYS

F = TypeVar("F", bound=Callable[..., Any])

_IN_ASCII = str.maketrans("²³", "23")
"""Help is written so that every terminal can show it."""
FEEDS = [one.value for one in Feed if one.value]


def _numbers(sheet: Mapping[str, SheetNumber]) -> Callable[[F], F]:
    """An option for each number of the list, in its order."""

    def with_options(function: F) -> F:
        for name, number in reversed(list(sheet.items())):
            unit = number.unit.translate(_IN_ASCII) or "NUMBER"
            typed, says = f"--{name.replace('_', '-')}", f"{number.says}: {number.read_at}."
            function = click.option(typed, type=NUMBER, metavar=unit, help=says)(function)
        return function

    return with_options


_forget = click.option(
    "--forget", multiple=True, metavar="NUMBER", help="Leave a number blank again, such as setup-h."
)


@command(
    example="offtool press harbour-otter P9 --new --clamp-kn 785 --barrel-g 113 --works-from-h 6 "
    "--works-to-h 22"
)
@click.argument("programme")
@click.argument("press")
@_numbers(PRESS_SHEET)
@click.option("--workdays", metavar="DAYS", help=f"The days it runs, such as '{' '.join(WORKDAYS[:5])}'.")
@_forget
@click.option("--new", is_flag=True, help="The press is not there yet: write it down.")
@shared_options
def press(
    programme: str, press: str, forget: tuple[str, ...], new: bool, record: Path | None, as_json: bool,
    **said: Any,
) -> None:  # fmt: skip
    """Say the numbers of a press, or show which are missing.

    Of a number that is missing it says where it is to be read.
    A press that is not there yet comes in with --new; offtool tell-apart PROGRAMME --press PRESS --holds TOOL
    says which tools it can hold.
    """
    if new and forget:
        raise click.UsageError("--new and --forget contradict each other: a new press has no numbers yet")
    open_for_reading(record)
    from offtool.steps.own_numbers import keep_press_numbers, press_numbers

    told = _told(said, forget, (*PRESS_SHEET, "workdays"))
    if new:
        from offtool.steps.define_ground import PressSaid, keep_press

        keep_press(programme, PressSaid(code=press, numbers=told), by=who())
        done = [f"Press {press} is written down."]
    else:
        _refuse_unknown(programme, press)
        done = [f"The numbers of press {press} are kept."] if told else []
        if told:
            keep_press_numbers(programme, press, told, by=who())
    _show(press_numbers(programme, press), as_json=as_json, done=done)


def _refuse_unknown(programme: str, press: str) -> None:
    """Raise OfftoolError, with the way to write it down, for a press that is not there."""
    from offtool.core.values import OfftoolError
    from offtool.steps.own_numbers import has_press

    if not has_press(programme, press):
        remedy = (
            f"offtool press {programme} {press!r} --new writes it down; offtool presses {programme} lists all"
        )
        raise OfftoolError(f"there is no press {press!r} in {programme}", remedy=remedy)


@command(
    example='offtool tool harbour-otter M3 --wide-mm 296 --high-mm 346 --thick-mm 241 --feed "cold runner"'
)
@click.argument("programme")
@click.argument("tool")
@_numbers(TOOL_SHEET)
@click.option("--feed", type=click.Choice(FEEDS), metavar="FEED", help=f"How it is fed: {', '.join(FEEDS)}.")
@_forget
@shared_options
def tool(
    programme: str, tool: str, forget: tuple[str, ...], record: Path | None, as_json: bool, **said: Any
) -> None:
    """Say the numbers of a tool, or show which are missing.

    They are those that a press and a plan ask for. Of one that is missing it says where it is to be read.
    """
    open_for_reading(record)
    from offtool.steps.own_numbers import keep_tool_numbers, tool_numbers

    told = _told(said, forget, (*TOOL_SHEET, "feed"))
    found = keep_tool_numbers(programme, tool, told, by=who()) if told else tool_numbers(programme, tool)
    done = [f"The numbers of tool {tool} are kept."] if told else []
    _show(found, as_json=as_json, done=done)


def _told(said: Mapping[str, Any], forget: tuple[str, ...], known: tuple[str, ...]) -> dict[str, Any]:
    """What was typed, by the names of the record. Raises UsageError for a number that is none."""
    told = {name: value for name, value in said.items() if value is not None}
    for typed in forget:
        name = typed.strip().lstrip("-").replace("-", "_")
        if name not in known:
            shown = ", ".join(one.replace("_", "-") for one in known)
            raise click.UsageError(f"--forget {typed}: no such number; there are {shown}")
        if name in told:
            raise click.UsageError(f"--{typed.strip().lstrip('-')} is both given and forgotten")
        told[name] = None
    return told


def _show(found: Any, *, as_json: bool, done: list[str]) -> None:
    from offtool.steps.plain import as_plain

    if as_json:
        say_json(as_plain(found))
        return
    from offtool.cli.shared_lines import done_lines
    from offtool.cli.show_own_numbers import own_number_lines

    say([*done_lines(done), *own_number_lines(found)])

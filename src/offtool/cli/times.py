"""offtool times: when engineers are there, and when a press stands."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from offtool.cli.options import TIME, WHEN, command, open_for_reading, refuse_left_over, shared_options
from offtool.cli.options import who as account
from offtool.cli.terminal import say, say_json

if TYPE_CHECKING:
    from offtool.steps.shop_times import ShopTimes, TimeSaid

FROM_TO = f"{WHEN} {WHEN}"


@command(example="offtool times harbour-otter --engineer 2026-03-24T08:00 2026-03-24T17:00")
@click.argument("programme")
@click.option("--engineer", nargs=2, type=TIME, metavar=FROM_TO, help="An engineer is there from and to.")
@click.option("--who", "engineer_name", default="", help="Who is there.")
@click.option("--press-off", nargs=3, type=(str, TIME, TIME), metavar=f"PRESS {FROM_TO}",
              help="A press stands from and to.")  # fmt: skip
@click.option("--why", default="", help="Why it stands, such as a new check ring.")
@click.option(
    "--take-back", type=int, metavar="NUMBER", help="Take back the time of this number in the list."
)
@shared_options
def times(
    programme: str,
    engineer: tuple[datetime, datetime] | None,
    engineer_name: str,
    press_off: tuple[str, datetime, datetime] | None,
    why: str,
    take_back: int | None,
    record: Path | None,
    as_json: bool,
) -> None:
    """Say when engineers are there, and when a press stands.

    Without options, what was said is shown. Trials that need an engineer are planned inside these times;
    nothing is planned on a press that stands.
    """
    refuse_left_over((("--who",), ("--engineer",)), (("--why",), ("--press-off",)))
    open_for_reading(record)
    from offtool.steps.plain import as_plain
    from offtool.steps.shop_times import engineer_comes, press_stands, shop_times

    done = []
    if take_back is not None:
        done.append(_take_back(programme, take_back))
    if engineer is not None:
        begins, ends = (one.astimezone() for one in engineer)
        done.append(engineer_comes(programme, begins, ends, who=engineer_name, by=account()))
    if press_off is not None:
        press, *stands = press_off
        begins, ends = (one.astimezone() for one in stands)
        done.append(press_stands(programme, press, begins, ends, why=why, by=account()))
    found = shop_times(programme)
    if as_json:
        say_json(as_plain(found))
        return
    from offtool.cli.shared_lines import done_lines

    say([*done_lines(done), *_lines(found)])


def _take_back(programme: str, number: int) -> str:
    """Take back the time of a number in the list."""
    from offtool.core.values import ImpossibleInput
    from offtool.steps.shop_times import shop_times, take_back

    found = shop_times(programme)
    said = [*found.engineers, *found.off]
    if not 1 <= number <= len(said):
        raise ImpossibleInput("--take-back", number, "", "is not in the list", f"offtool times {programme}")
    is_engineer = number <= len(found.engineers)
    return take_back(programme, said[number - 1].key, is_engineer=is_engineer, by=account())


def _lines(found: ShopTimes) -> list[str]:
    from offtool.cli.shared_lines import heading, sentence, table_or_bullets

    lines = list(sentence(found.headline))
    if found.taken:
        lines += sentence(found.taken)
    rows = list(_rows(found))
    if rows:
        head = ["number", "what", "from", "to"]
        lines += heading("Times")
        lines += table_or_bullets([head, *rows], [", ".join(row) for row in rows])
    return lines


def _rows(found: ShopTimes) -> Iterator[list[str]]:
    for number, one in enumerate((*found.engineers, *found.off), start=1):
        yield [str(number), _what(one), f"{one.begins:%Y-%m-%d %H:%M}", f"{one.ends:%Y-%m-%d %H:%M}"]


def _what(one: TimeSaid) -> str:
    if one.press:
        return f"{one.press} stands" + (f": {one.who}" if one.who else "")
    return f"{one.who or 'an engineer'} is there"

"""offtool safety: what the law asks of the toy, what own tests show, and which parts are small parts."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from offtool.cli.options import (
    ABOVE_ZERO,
    DAY,
    FILE,
    FROM_ZERO,
    command,
    open_for_reading,
    refuse_left_over,
    shared_options,
    who,
)
from offtool.cli.terminal import say, say_json

if TYPE_CHECKING:
    from offtool.steps.keep_toy_test import ToyTestAbout

TESTS = ("drop", "impact", "bite", "flexure", "torque", "tension", "seam", "compression")
OF_A_FILE = (
    *("--test", "--law", "--name", "--done-on", "--drops", "--height-m", "--note", "--sheet"),
    *("--keep", "--leave-out"),
)


@command(example="offtool safety harbour-otter --read torque.csv --law US --done-on 2026-04-20 --keep")
@click.argument("programme")
@click.option("--market", help="Say where it is sold: US, EU, other; several with commas.")
@click.option("--from-months", type=FROM_ZERO, help="Say the youngest age that it is for.")
@click.option("--to-months", type=ABOVE_ZERO, help="Say the oldest age that it is for.")
@click.option("--mass-kg", type=ABOVE_ZERO, help="Say what the whole toy weighs.")
@click.option("--release-due", type=DAY, metavar="YYYY-MM-DD", help="Say when it should be released.")
@click.option("--share", type=ABOVE_ZERO, help="Per cent of pieces that must be shown to stand; else 90.")
@click.option("--read", "file", type=FILE, help="Read the file of a toy test, CSV or XLSX.")
@click.option("--test", type=click.Choice(TESTS), help="Which test it is; else the one of the file.")
@click.option("--law", help="By whose law it was tried: US, EU, other; else that of the programme.")
@click.option("--name", default="", help="A name for the test; else that of the file.")
@click.option("--done-on", type=DAY, metavar="YYYY-MM-DD", help="The day it was tried.")
@click.option("--drops", type=click.IntRange(min=1), help="Falls of each piece, where the file has none.")
@click.option("--height-m", type=ABOVE_ZERO, help="Height of each fall in m, where the file has none.")
@click.option("--note", default="", help="Anything the next reader should know.")
@click.option("--sheet", help="The sheet of a workbook; else the first with a test.")
@click.option("--keep", is_flag=True, help="Keep it; without, only how it is understood is shown.")
@click.option("--leave-out", is_flag=True, help="Keep the rest where cells cannot be read.")
@click.option("--set-aside", metavar="TEST", help="Let a test count no longer; it stays visible.")
@click.option("--because", default="", help="Why it is set aside; kept with your name.")
@shared_options
def safety(
    programme: str,
    market: str | None,
    from_months: float | None,
    to_months: float | None,
    mass_kg: float | None,
    release_due: datetime | None,
    share: float | None,
    file: Path | None,
    test: str | None,
    law: str | None,
    name: str,
    done_on: datetime | None,
    drops: int | None,
    height_m: float | None,
    note: str,
    sheet: str | None,
    keep: bool,
    leave_out: bool,
    set_aside: str | None,
    because: str,
    record: Path | None,
    as_json: bool,
) -> None:
    """Say how the toy stands against the law, by own tests.

    Tests and values of the public law for its markets and ages, what own pieces show of them, and which parts
    fit into the small-parts cylinder. An accredited laboratory and the law of the place decide.
    """
    refuse_left_over((OF_A_FILE, ("--read",)), (("--because",), ("--set-aside",)))
    said = {
        "markets": None if market is None else market.replace(",", " "),
        "from_months": from_months,
        "to_months": to_months,
        "mass_kg": mass_kg,
        "release_due": release_due.date() if release_due else None,
    }
    said = {column: value for column, value in said.items() if value is not None}
    if file and (said or set_aside):
        raise click.UsageError("read a test, set one aside, or say for whom it is: one at a time")
    open_for_reading(record)
    if file is not None:
        from offtool.steps.keep_toy_test import ToyTestAbout

        about = ToyTestAbout(
            market=law or "",
            test=test or "",
            drops=drops,
            height_m=height_m,
            done_on=done_on.date() if done_on else None,
            note=note,
        )
        named = (name or file.stem) if keep else ""
        _read(file, programme, about, name=named, sheet=sheet, leave_out=leave_out, as_json=as_json)
        return
    done = _say(programme, said) + _aside(programme, set_aside, because)
    _show(programme, share, done, as_json=as_json)


def _say(programme: str, said: dict[str, Any]) -> list[str]:
    if not said:
        return []
    from offtool.steps.toy_market import say_market

    say_market(programme, said, made_by=who())
    return ["For whom it is, is kept."]


def _aside(programme: str, test: str | None, because: str) -> list[str]:
    if test is None:
        return []
    from offtool.steps.keep_toy_test import toy_test_aside

    toy_test_aside(programme, test, reason=because, made_by=who())
    return [f"Test {test} counts no more."]


def _show(programme: str, share: float | None, done: list[str], *, as_json: bool) -> None:
    from offtool.steps.plain import as_plain
    from offtool.steps.sampling_asked import share_of
    from offtool.steps.toy_judged import SHARE
    from offtool.steps.toy_safety import know_safety

    today = datetime.now().astimezone().date()
    found = know_safety(programme, today, share=share_of("share", share) or SHARE)
    if as_json:
        say_json(as_plain(found))
        return
    from offtool.cli.shared_lines import done_lines
    from offtool.cli.show_safety import safety_lines

    say([*done_lines(done), *safety_lines(found)])


def _read(
    file: Path,
    programme: str,
    about: ToyTestAbout,
    *,
    name: str,
    sheet: str | None,
    leave_out: bool,
    as_json: bool,
) -> None:
    """Show how a test is understood; keep it where it has a name. One that cannot be kept is shown too."""
    from offtool.cli.reading_options import content_of
    from offtool.cli.show_safety import kept_toy_test_lines, toy_test_lines
    from offtool.cli.two_steps import preview_then_keep
    from offtool.steps.keep_toy_test import keep_toy_test, preview_toy_test

    about_it: dict[str, Any] = {"programme": programme, "about": about, "sheet": sheet}
    content = content_of(file)
    when: dict[str, Any] = {"leave_out": leave_out, "read_at": datetime.now(UTC), "read_by": who()}
    preview_then_keep(
        lambda: preview_toy_test(content, file.name, **about_it),
        (lambda: keep_toy_test(content, file.name, **about_it, test_name=name, **when)) if name else None,
        lines=toy_test_lines,
        kept_lines=kept_toy_test_lines,
        as_json=as_json,
    )

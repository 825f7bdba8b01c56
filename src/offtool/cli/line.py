"""offtool line: what a line makes, with fewest stations for a rate or the best rate for people; its table."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from offtool.cli.options import (
    ABOVE_ZERO,
    FILE,
    NEW_FILE,
    command,
    open_for_reading,
    refuse_left_over,
    refuse_missing_folders,
    shared_options,
    who,
    write_file,
)
from offtool.cli.pdf_file import NEW_PDF
from offtool.cli.terminal import say, say_json

if TYPE_CHECKING:
    from offtool.steps.line_found import LineFound

USUAL_SECONDS = 3.0
"""As in the step, written here so that help stays quick; a test holds it."""
UNITS = ("s", "min")
"""As in the reader; a test holds it."""


@command(example="offtool line harbour-otter --rate 150")
@click.argument("programme")
@click.argument("line", required=False)
@click.option("--rate", "rate_per_h", type=ABOVE_ZERO, help="Pieces an hour: the fewest stations for them.")
@click.option("--people", type=click.IntRange(min=1), help="People: the best rate that they make.")
@click.option("--stations", type=click.IntRange(min=1),
              help="Stations: their best rate; with --people these are shared out.")  # fmt: skip
@click.option("--seconds", type=ABOVE_ZERO, default=USUAL_SECONDS, show_default=True,
              help="How long to search, 60 at most.")  # fmt: skip
@click.option("--adopt", is_flag=True, help="Adopt the places that are proposed.")
@click.option("--read", "file", type=FILE, help="Read the tasks from this table, CSV or XLSX.")
@click.option("--worksheet", help="With --read: the sheet of a workbook.")
@click.option("--unit", type=click.Choice(UNITS), help="With --read: in what times without a unit are.")
@click.option("--keep", is_flag=True, help="With --read: keep the tasks; else they are only shown.")
@click.option("--leave-out", is_flag=True, help="With --keep: keep the rest where cells cannot be read.")
@click.option("--table", type=NEW_FILE, help="Write the tasks into this CSV, as they are read back.")
@click.option("--sheet", type=NEW_PDF, help="Write the sheet that hangs at the line into this PDF.")
@shared_options
def line(
    programme: str, line: str | None, rate_per_h: float | None, people: int | None, stations: int | None,
    seconds: float, adopt: bool, file: Path | None, worksheet: str | None, unit: str | None, keep: bool,
    leave_out: bool, table: Path | None, sheet: Path | None, record: Path | None, as_json: bool,
) -> None:  # fmt: skip
    """Say what a line makes, and what it could make.

    Each task goes to a station; what no line can do is proved. Without a question it is the plan that is
    asked. --read makes the tasks of LINE those of a table; a line that is not there yet is made.
    """
    _refuse_wrong_usage(line, file, rate_per_h, people, stations)
    refuse_missing_folders(table, sheet)
    open_for_reading(record)
    if file is not None:
        _read(programme, line, file, worksheet, unit, keep=keep, leave_out=leave_out, as_json=as_json)
        return
    from offtool.steps.balance_line import balance_line

    found = balance_line(
        programme, line, rate_per_h=rate_per_h, stations=stations, people=people, seconds=seconds
    )
    done = [_adopt(programme, found)] if adopt else []
    if adopt:
        found = balance_line(programme, found.line, seconds=seconds)
    done += _written(found, table, sheet)
    _show(found, done, as_json=as_json)


def _refuse_wrong_usage(
    line: str | None, file: Path | None, rate: float | None, people: int | None, stations: int | None
) -> None:
    refuse_left_over(
        (("--worksheet", "--unit", "--keep"), ("--read",)),
        (("--leave-out",), ("--keep",)),
    )
    if rate is not None and (people or stations) is not None:
        raise click.UsageError("--rate finds the stations; --people and --stations find the rate")
    if file is not None and line is None:
        raise click.UsageError("--read: name the line, as in offtool line PROGRAMME 'main line' --read FILE")


def _adopt(programme: str, found: LineFound) -> str:
    """Adopt what is proposed. Raises OfftoolError where nothing is."""
    from offtool.core.values import OfftoolError
    from offtool.steps.define_line import adopt as adopt_places

    if found.proposal is None:
        why = found.why_no_proposal or "nothing says how many an hour, or how many people"
        raise OfftoolError(f"nothing is proposed: {why}", remedy="give --rate or --people")
    places = {placed.task: load.station for load in found.proposal.stations for placed in load.tasks}
    people = {one.station: one.now for one in found.manned}
    done = adopt_places(programme, found.line, places, by=who(), people=people)
    if found.asked.rate_per_h is None or found.asked.rate_per_h == found.needed_per_h:
        return done
    from offtool.steps.line_words import asked_an_hour

    asked = asked_an_hour(found.asked.rate_per_h)
    return f"{done} They were asked for {asked}; below they stand against the plan."


def _written(found: LineFound, table: Path | None, sheet: Path | None) -> list[str]:
    done = []
    if table is not None:
        from offtool.steps.line_table import table_of

        write_file(table, table_of(found.known))
        done.append(f"The tasks are in {table}.")
    if sheet is not None:
        from offtool.reports.line_sheet import line_sheet

        write_file(sheet, line_sheet(found, made_by=who()))
        done.append(f"The sheet of the line is in {sheet}.")
    return done


def _show(found: LineFound, done: list[str], *, as_json: bool) -> None:
    from offtool.steps.plain import as_plain

    if as_json:
        say_json(as_plain(found))
        return
    from offtool.cli.shared_lines import done_lines
    from offtool.cli.show_line import line_lines

    say([*done_lines(done), *line_lines(found)])


def _read(
    programme: str, line: str | None, file: Path, worksheet: str | None, unit: str | None,
    *, keep: bool, leave_out: bool, as_json: bool,
) -> None:  # fmt: skip
    from offtool.cli.reading_options import content_of
    from offtool.cli.show_line_table import kept_line_lines, line_table_lines
    from offtool.cli.two_steps import preview_then_keep
    from offtool.steps.read_line import keep_line_table, preview_line

    content = content_of(file)
    where: dict[str, Any] = {"programme": programme, "line": line, "sheet": worksheet, "unit": unit}

    def keep_it() -> object:
        return keep_line_table(content, file.name, **where, leave_out=leave_out, read_by=who())

    preview_then_keep(
        lambda: preview_line(content, file.name, **where),
        keep_it if keep else None,
        lines=line_table_lines,
        kept_lines=kept_line_lines,
        as_json=as_json,
    )

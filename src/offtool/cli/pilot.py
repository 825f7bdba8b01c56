"""offtool pilot: what a pilot of the line showed, and the sheets that say so."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from offtool.cli.options import (
    ABOVE_ZERO,
    DAY,
    FILE,
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
    from offtool.steps.keep_pilot_file import SheetAbout

KINDS = ("counts", "defects", "times", "audits")
"""The words of `handbook.terms.PilotFileKind`, written here so that help loads nothing; a test holds it."""
OF_A_SHEET = ("--called", "--begins", "--sheet", "--note", "--keep", "--leave-out")
OF_A_PILOT = ("--line", "--ran-on", "--pieces", "--hours", "--people", "--trial")


@command(example="offtool pilot harbour-otter P1 --read counts pilot_counts.csv --begins 7:00 --keep")
@click.argument("programme")
@click.argument("pilot", required=False)
@click.option("--define", is_flag=True, help="Write the pilot down, or change what is said of it.")
@click.option("--line", default="", help="The line it ran on; else the only one.")
@click.option("--ran-on", type=DAY, metavar="YYYY-MM-DD", help="The day it ran.")
@click.option("--pieces", type=click.IntRange(min=1), help="Pieces started into the line.")
@click.option("--hours", type=ABOVE_ZERO, help="Hours it ran, without breaks.")
@click.option("--people", type=click.IntRange(min=1), help="People on the line.")
@click.option("--trial", "trials", multiple=True, metavar="'TOOL TRIAL'",
              help="A run that its parts came from; give it for each tool.")  # fmt: skip
@click.option("--read", "sheet_file", type=(click.Choice(KINDS), FILE), metavar="KIND FILE",
              help="Read a sheet: counts, defects, times or audits; CSV or XLSX.")  # fmt: skip
@click.option("--called", default="", help="A name for the sheet; else its number.")
@click.option("--begins", default="", metavar="HH:MM", help="When hour 1 began, for hours on the clock.")
@click.option("--sheet", help="The sheet of a workbook; else the first with such a table.")
@click.option("--note", default="", help="Anything the next reader should know.")
@click.option("--keep", is_flag=True, help="Keep it; without, only how it is understood is shown.")
@click.option("--leave-out", is_flag=True, help="Keep the rest where rows cannot be taken.")
@click.option("--set-aside", type=(click.Choice(KINDS), str), metavar="KIND NAME",
              help="Let a sheet count no longer; it stays visible.")  # fmt: skip
@click.option("--because", default="", help="Why it is set aside; kept with your name.")
@click.option("--report", type=NEW_PDF, help="Write what the pilot showed into this PDF.")
@shared_options
def pilot(
    programme: str,
    pilot: str | None,
    define: bool,
    line: str,
    ran_on: datetime | None,
    pieces: int | None,
    hours: float | None,
    people: int | None,
    trials: tuple[str, ...],
    sheet_file: tuple[str, Path] | None,
    called: str,
    begins: str,
    sheet: str | None,
    note: str,
    keep: bool,
    leave_out: bool,
    set_aside: tuple[str, str] | None,
    because: str,
    report: Path | None,
    record: Path | None,
    as_json: bool,
) -> None:
    """Say what a pilot of the line showed, and what to do first.

    Without PILOT all pilots are listed. With --read a sheet is shown as it is understood; nothing is kept
    until --keep.
    """
    if pilot is None and (define or sheet_file or set_aside or report):
        raise click.UsageError("name the pilot, as in offtool pilot PROGRAMME P1")
    if sum(map(bool, (define, sheet_file, set_aside))) > 1:
        raise click.UsageError("define a pilot, read a sheet or set one aside: one at a time")
    refuse_left_over(
        (OF_A_PILOT, ("--define",)),
        (tuple(one for one in OF_A_SHEET if one != "--note"), ("--read",)),
        (("--note",), ("--read", "--define")),
        (("--because",), ("--set-aside",)),
    )
    refuse_missing_folders(report)
    open_for_reading(record)
    if pilot is None:
        _list(programme, as_json=as_json)
        return
    if sheet_file is not None:
        from offtool.steps.keep_pilot_file import SheetAbout

        about = SheetAbout(begins=begins, note=note)
        kept = {"called": called, "leave_out": leave_out} if keep else None
        _read(*sheet_file, programme, pilot, about, kept=kept, sheet=sheet, as_json=as_json)
        return
    done: list[str] = []
    if define:
        told = {"line": line, "ran_on": ran_on.date() if ran_on else None, "pieces": pieces, "hours": hours,
                "people": people, "trials": trials, "note": note}  # fmt: skip
        done.append(_define(programme, pilot, told))
    if set_aside is not None:
        from offtool.steps.keep_pilot_file import set_sheet_aside

        set_sheet_aside(programme, pilot, *set_aside, reason=because, made_by=who())
        done.append(f"Sheet {' '.join(set_aside)} counts no longer.")
    if report is not None:
        done.append(_write_report(programme, pilot, report))
    _show(programme, pilot, done, as_json=as_json)


def _define(programme: str, pilot: str, told: dict[str, Any]) -> str:
    """What is typed stands; of a pilot that is written down already, the rest stays as it was."""
    from dataclasses import replace

    from offtool.records.queries.finding import NotInRecord
    from offtool.steps.define_pilot import PilotDefined, define_pilot, place_of_pilot, trials_said

    try:
        now = place_of_pilot(programme, pilot).defined
    except NotInRecord:
        place_of_pilot(programme)  # the programme itself is there
        now = None
    typed = {name: value for name, value in told.items() if value not in (None, "", ())}
    if "trials" in typed:
        typed["trials"] = trials_said(typed["trials"])
    define_pilot(programme, replace(now or PilotDefined(name=pilot), **typed), made_by=who())
    return f"Pilot {pilot} is written down."


def _list(programme: str, *, as_json: bool) -> None:
    from offtool.steps.judge_pilot import pilots_of_programme
    from offtool.steps.plain import as_plain

    found = pilots_of_programme(programme)
    if as_json:
        say_json(as_plain(found))
        return
    from offtool.cli.show_pilot import pilots_lines

    say(pilots_lines(found))


def _show(programme: str, pilot: str, done: list[str], *, as_json: bool) -> None:
    from offtool.steps.judge_pilot import judge_pilot
    from offtool.steps.plain import as_plain

    found = judge_pilot(programme, pilot)
    if as_json:
        say_json(as_plain(found))
        return
    from offtool.cli.shared_lines import done_lines
    from offtool.cli.show_pilot import pilot_lines

    say([*done_lines(done), *pilot_lines(found)])


def _write_report(programme: str, pilot: str, path: Path) -> str:
    from offtool.reports.pilot_report import pilot_report
    from offtool.steps.judge_pilot import judge_pilot

    write_file(path, pilot_report(judge_pilot(programme, pilot), made_by=who()))
    return f"The report on pilot {pilot} is in {path}."


def _read(
    kind: str,
    file: Path,
    programme: str,
    pilot: str,
    about: SheetAbout,
    *,
    kept: dict[str, Any] | None,
    sheet: str | None,
    as_json: bool,
) -> None:
    """Show how a sheet is understood; keep it where `kept` is given. One that is refused is shown too."""
    from offtool.cli.reading_options import content_of
    from offtool.cli.show_pilot_file import kept_sheet_lines, sheet_lines
    from offtool.cli.two_steps import preview_then_keep
    from offtool.handbook.terms import PilotFileKind
    from offtool.steps.keep_pilot_file import keep_pilot_file, preview_pilot_file

    content = content_of(file)
    about_it: dict[str, Any] = {
        "programme": programme, "pilot": pilot, "kind": PilotFileKind(kind), "about": about, "sheet": sheet,
    }  # fmt: skip
    when: dict[str, Any] = {"read_at": datetime.now(UTC), "read_by": who()}
    preview_then_keep(
        lambda: preview_pilot_file(content, file.name, **about_it),
        None if kept is None else (lambda: keep_pilot_file(content, file.name, **about_it, **kept, **when)),
        lines=sheet_lines,
        kept_lines=kept_sheet_lines,
        as_json=as_json,
    )

"""offtool demo: the invented harbour otter, from a trial's file to the corrections."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from offtool.cli.options import (
    NEW_FOLDER,
    command,
    make_folder,
    open_for_writing,
    shared_options,
    who,
    write_file,
)
from offtool.cli.terminal import say, say_json

if TYPE_CHECKING:
    from offtool.steps.demo import DemoResult


@command(example="offtool demo")
@click.option(
    "--out",
    type=NEW_FOLDER,
    default="harbour_otter_demo",
    show_default=True,
    help="The folder for the sheet, the workbook, and the demo's own record.",
)
@shared_options
def demo(out: Path, record: Path | None, as_json: bool) -> None:
    """Show the whole job on the invented harbour otter.

    Loads the programme into a fresh record, reads the file of a third trial, says what holds, writes the
    corrections, the sheet for the toolmaker and the workbook of the findings. Without --record it has a
    record of its own and touches no other.
    """
    make_folder(out)
    record = record or out / "record.sqlite3"
    open_for_writing(record)
    from offtool.steps.demo import run_demo
    from offtool.steps.plain import as_plain

    result = run_demo(read_at=datetime.now(UTC), read_by=who())
    sheet, workbook = _write(result, out)
    if as_json:
        written = {"record": str(record), "sheet": str(sheet), "workbook": str(workbook)}
        say_json({**as_plain(result), "written": written})
    else:
        say(_lines(result, record, sheet, workbook))


def _write(result: DemoResult, out: Path) -> tuple[Path, Path]:
    """The sheet and the workbook."""
    from offtool.reports.findings_workbook import findings_workbook
    from offtool.reports.steel_change_sheet import steel_change_sheet

    name = f"{result.findings.tool}_after_{result.findings.trial}"
    sheet, workbook = out / f"{name}_steel.pdf", out / f"{name}_findings.xlsx"
    write_file(sheet, steel_change_sheet(result.correction))
    write_file(workbook, findings_workbook(result.findings))
    return sheet, workbook


def _lines(result: DemoResult, record: Path, sheet: Path, workbook: Path) -> list[str]:
    from offtool.cli.shared_lines import heading, steps
    from offtool.cli.show_correction import correction_lines
    from offtool.cli.show_findings import findings_lines
    from offtool.cli.terminal import width
    from offtool.cli.typeset import table

    place = f"--record {record}"
    decide = " ".join(["offtool correct", *_trial(result), "--keep all"])
    go_on = [(f"offtool serve {place}", "opens the pages."), (f"{decide} {place}", "decides on the cuts.")]
    written = {"sheet for the toolmaker": sheet, "workbook of the findings": workbook, "record": record}
    return [
        *_read(result), "", *findings_lines(result.findings, everything=False),
        "", *correction_lines(result.correction),
        *heading("What was written"),
        *table([[what, str(path)] for what, path in written.items()], width=width(), indent=2),
        *heading("Where to go on"),
        *steps(go_on),
    ]  # fmt: skip


def _read(result: DemoResult) -> list[str]:
    """What was read of the file."""
    from offtool.cli.shared_lines import counted, sentence

    understood = result.understood
    found = [
        counted(understood.readings, "reading"),
        f"{counted(len(understood.repairs), 'cell')} repaired",
        f"{counted(len(understood.refused), 'cell')} left out",
    ]
    done = "was read before" if result.read is None else "is read"
    return sentence(
        f"{result.programme_title}; all of it is invented. {understood.file} {done}: {', '.join(found)}."
    )


def _trial(result: DemoResult) -> tuple[str, str, str]:
    return result.programme, result.findings.tool, result.findings.trial

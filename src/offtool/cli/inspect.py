"""offtool inspect: what a trial showed."""

from __future__ import annotations

from pathlib import Path

import click

from offtool.cli.options import (
    NEW_FILE,
    command,
    open_for_reading,
    place_arguments,
    refuse_missing_folders,
    shared_options,
    write_file,
)
from offtool.cli.terminal import say, say_json


@command(example="offtool inspect harbour-otter M2 T2 --workbook T2.xlsx")
@place_arguments
@click.option(
    "--all", "everything", is_flag=True, help="Every cavity of the sizes that hold too, every prediction."
)
@click.option("--size", metavar="SIZE", help='Only this size, in depth: part and number, such as "BODY 4".')
@click.option("--workbook", type=NEW_FILE, help="Also write the findings into this XLSX file.")
@click.option("--report", type=NEW_FILE, help="Also write every size with its drawings into this PDF.")
@shared_options
def inspect(
    programme: str,
    tool: str,
    trial: str,
    everything: bool,
    size: str | None,
    workbook: Path | None,
    report: Path | None,
    record: Path | None,
    as_json: bool,
) -> None:
    """Say what holds on a trial, what does not, and what to do.

    A size holds when its parts show it, does not hold when they show the contrary, and is not shown when they
    are too few to say. Below the verdict every size that does not hold yet has a bar for each cavity between
    its limits.
    """
    open_for_reading(record)
    from offtool.steps.inspect_trial import inspect_trial
    from offtool.steps.plain import as_plain

    if size is not None:
        if workbook is not None or report is not None:
            raise click.UsageError("--workbook and --report are of the whole trial: leave --size away.")
        from offtool.steps.inspect_size import inspect_size

        in_depth = inspect_size(programme, tool, trial, size)
        if as_json:
            say_json(as_plain(in_depth))
            return
        from offtool.cli.show_size import size_lines

        say(size_lines(in_depth))
        return
    refuse_missing_folders(workbook, report)
    found = inspect_trial(programme, tool, trial)
    if report is not None:
        from offtool.reports.layout_report import layout_report
        from offtool.steps.inspect_size import inspect_sizes

        write_file(report, layout_report(*inspect_sizes(programme, tool, trial)))
    if workbook is not None:
        from offtool.reports.findings_workbook import findings_workbook

        write_file(workbook, findings_workbook(found))
    if as_json:
        say_json(as_plain(found))
        return
    from offtool.cli.shared_lines import sentence
    from offtool.cli.show_findings import findings_lines

    files = [str(file) for file in (workbook, report) if file is not None]
    written = ["", *sentence(f"The findings are in {' and '.join(files)}.")] if files else []
    say([*findings_lines(found, everything=everything), *written])

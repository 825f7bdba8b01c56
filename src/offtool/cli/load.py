"""offtool load: a programme folder into the record."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from offtool.cli.options import FOLDER, command, open_for_writing, shared_options, who
from offtool.cli.shared_lines import cautions, counted
from offtool.cli.terminal import say, say_json, width
from offtool.cli.typeset import table

if TYPE_CHECKING:
    from offtool.steps.load_programme import LoadReport


@command(example="offtool load examples/harbour_otter")
@click.argument("folder", type=FOLDER)
@shared_options
def load(folder: Path, record: Path | None, as_json: bool) -> None:
    """Load a programme from its folder into the record.

    FOLDER holds programme.toml and the CSV tables beside it. It goes in whole or not at all; the first thing
    that cannot be is named by file, line and column. Loading again adds what is new, changes definitions that
    differ, and never changes or removes what was measured or decided.
    """
    open_for_writing(record)
    from offtool.steps.load_programme import load_programme
    from offtool.steps.plain import as_plain

    report = load_programme(folder, loaded_by=who())
    if as_json:
        say_json(as_plain(report))
    else:
        say(_lines(report))


def _lines(report: LoadReport) -> list[str]:
    if report.is_unchanged:
        return [f"{report.title} ({report.slug}) is in the record as the folder says; nothing was changed."]
    done = "is loaded" if report.is_new else "is brought up to date"
    rows = [
        [one.table.replace("_", " "), counted(one.added, "new", "new") if one.added else "",
         f"{one.changed:,} changed" if one.changed else ""]
        for one in report.tables if one.added or one.changed
    ]  # fmt: skip
    return [
        f"{report.title} ({report.slug}) {done}.",
        *table(rows, width=width(), sides="<>>", indent=2),
        *cautions(report.cautions),
    ]

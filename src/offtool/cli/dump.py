"""offtool dump: a programme of the record as a folder of plain text."""

from __future__ import annotations

from pathlib import Path

import click

from offtool.cli.options import NEW_FOLDER, command, open_for_reading, shared_options
from offtool.cli.shared_lines import counted
from offtool.cli.terminal import say, say_json


@command(example="offtool dump harbour-otter harbour-otter-2026-03")
@click.argument("programme")
@click.argument("folder", type=NEW_FOLDER)
@shared_options
def dump(programme: str, folder: Path, record: Path | None, as_json: bool) -> None:
    """Write a programme into a folder of plain text.

    The folder holds all there is of the programme: programme.toml, CSV tables, and the files of readings as
    they came, for version control and for people without this program. offtool load brings it back without
    loss. FOLDER is new, empty, or one that was dumped before and not changed since.
    """
    open_for_reading(record)
    from offtool.steps.dump_programme import dump_programme
    from offtool.steps.plain import as_plain

    report = dump_programme(programme, folder)
    if as_json:
        say_json(as_plain(report))
    else:
        say([f"{counted(len(report.files), 'file')} of {report.slug} written into {report.folder}."])

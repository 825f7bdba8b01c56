"""offtool demo: the invented harbour otter, from a trial's file to the corrections."""

from __future__ import annotations

from pathlib import Path

import click

from offtool.cli.options import NEW_FOLDER, command, record_option
from offtool.cli.terminal import say, say_json


@command(example="offtool demo")
@click.option(
    "--out", type=NEW_FOLDER, default="harbour_otter_demo", show_default=True, help="Folder for what is written."
)
@record_option
def demo(out: Path, record: Path | None, as_json: bool) -> None:
    """Load the invented harbour otter, read a third trial, say what holds, and write the corrections."""
    from offtool.steps.demo import run_demo
    from offtool.steps.plain import as_plain

    result = run_demo(record, out)
    if as_json:
        say_json(as_plain(result))
        return
    say([str(result)])

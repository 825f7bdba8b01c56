"""offtool start: a programme, or a further part of one, from a first-article report alone."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from offtool.cli.options import (
    command,
    open_for_reading,
    open_for_writing,
    options_typed,
    shared_options,
    who,
)
from offtool.cli.reading_options import answer, layout_named, reading_options, sent_files

if TYPE_CHECKING:
    from offtool.steps.reading_preview import ReadingPreview, ReadingsKept


@command(example='offtool start "Harbour otter" first-article.xlsx --resin ABS --keep')
@click.argument("title")
@reading_options
@click.option("--add", is_flag=True, help="TITLE is there already: add this part and its tool to it.")
@click.option("--tool", default="M1", show_default=True, help="What the tool is called.")
@click.option("--part", default="P1", show_default=True, help="What the part is called.")
@click.option("--trial", default="T1", show_default=True, help="What the trial is called.")
@click.option(
    "--resin", default="ABS", show_default=True, help="The resin: of the handbook or the programme."
)
@click.option("--required-index", type=float, help="The index (Ppk) every size must show; 1.00 if not given.")
@shared_options
def start(
    title: str, files: tuple[Path, ...], layout: str | None, sheet: str | None, keep: bool, leave_out: bool,
    add: bool, tool: str, part: str, trial: str, resin: str, required_index: float | None,
    record: Path | None, as_json: bool,
) -> None:  # fmt: skip
    """Begin a programme from a report alone.

    Programme, part, tool, cavities, sizes and the first trial are made from FILE, which must give the limits
    of its sizes; several files, a folder or a zip are read as one. Shows how the file is understood; nothing
    is kept until --keep. A further part with a tool of its own goes into the same programme with --add,
    --part and --tool; what is on record stays as it is.
    """
    if add and not {"--part", "--tool"} <= set(options_typed()):
        raise click.UsageError("--add needs --part and --tool: the names of the new part and the new tool")
    (open_for_reading if add else open_for_writing)(record)
    from offtool.steps.read_bundle import is_bundle
    from offtool.steps.start_from_report import (
        preview_start,
        preview_start_of_files,
        programme_to_add_to,
        start_from_files,
        start_from_report,
    )  # fmt: skip

    (sent, name), form = sent_files(files), layout_named(layout)

    def understand() -> ReadingPreview:
        if add:
            programme_to_add_to(title, tool=tool, part=part)
        if is_bundle(sent):
            return preview_start_of_files(sent, name, layout=form, sheet=sheet)
        return preview_start(sent[0].content, sent[0].name, layout=form, sheet=sheet)

    def keep_it() -> ReadingsKept:
        now, by = datetime.now(UTC), who()
        if is_bundle(sent):
            return start_from_files(
                sent, name, title=title, add=add, tool=tool, part=part, trial=trial,
                resin=resin, required_index=required_index, layout=form, sheet=sheet, leave_out=leave_out,
                read_at=now, read_by=by,
            )  # fmt: skip
        return start_from_report(
            sent[0].content, sent[0].name, title=title, add=add, tool=tool, part=part, trial=trial,
            resin=resin, required_index=required_index, layout=form, sheet=sheet, leave_out=leave_out,
            read_at=now, read_by=by,
        )  # fmt: skip

    answer(understand, keep_it if keep else None, as_json=as_json)

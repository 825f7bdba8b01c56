"""offtool read: a file of readings into a trial, shown before it is kept."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from offtool.cli.options import DAY, command, open_for_reading, place_arguments, shared_options, who
from offtool.cli.reading_options import answer, content_of, layout_named, reading_options

if TYPE_CHECKING:
    from offtool.steps.reading_preview import ReadingPreview, ReadingsKept


@command(example="offtool read harbour-otter M2 T3 M2_T3.csv --shot-on 2026-03-14 --age-h 24 --keep")
@place_arguments
@reading_options
@click.option("--shot-on", type=DAY, metavar="YYYY-MM-DD", help="The day of the trial.")
@click.option("--press", default="", help="The press it was run on.")
@click.option("--colour", default="", help="The colour it was run in.")
@click.option("--resin-lot", default="", help="The lot of the resin.")
@click.option("--age-h", type=float, help="Hours from moulding to measuring.")
@click.option("--settled-from", type=int, help="The first settled shot, where you know it; else it is found.")
@click.option("--state", default="", help="The tool state that was run; else the latest.")
@shared_options
def read(
    programme: str, tool: str, trial: str, file: Path, layout: str | None, sheet: str | None, keep: bool,
    leave_out: bool, shot_on: datetime | None, press: str, colour: str, resin_lot: str, age_h: float | None,
    settled_from: int | None, state: str, record: Path | None, as_json: bool,
) -> None:  # fmt: skip
    """Read a file of readings into a trial.

    Shows how the file is understood, every repair, and every cell that cannot be read; nothing is kept until
    --keep. FILE is CSV or XLSX, wide (a column a size), long (a row a reading) or a first-article report. A
    trial that is not there yet is made.
    """
    open_for_reading(record)
    from offtool.steps.read_readings import TrialAbout, keep_readings, preview_readings

    about = TrialAbout(
        shot_on=shot_on.date() if shot_on else None, press=press, colour=colour, resin_lot=resin_lot,
        age_h=age_h, settled_from=settled_from, state=state,
    )  # fmt: skip
    content, form = content_of(file), layout_named(layout)

    def understand() -> ReadingPreview:
        return preview_readings(
            content, file.name, programme=programme, tool=tool, trial=trial, layout=form, sheet=sheet
        )

    def keep_it() -> ReadingsKept:
        return keep_readings(
            content, file.name, programme=programme, tool=tool, trial=trial, layout=form, sheet=sheet,
            leave_out=leave_out, about=about, read_at=datetime.now(UTC), read_by=who(),
        )  # fmt: skip

    answer(understand, keep_it if keep else None, as_json=as_json)

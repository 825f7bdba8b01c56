"""offtool read: a file of readings into a trial, shown before it is kept."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from offtool.cli.options import (
    DAY,
    TIME,
    WHEN,
    command,
    moment,
    open_for_reading,
    place_arguments,
    shared_options,
    who,
)
from offtool.cli.reading_options import answer, layout_named, reading_options, sent_files

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
@click.option("--moulded-at", type=TIME, metavar=WHEN, help="When the last shot was moulded.")
@click.option("--measured-at", type=TIME, metavar=WHEN, help="When measuring began: age is then not asked.")
@click.option("--state", default="", help="The tool state that was run; else the latest.")
@shared_options
def read(
    programme: str, tool: str, trial: str, files: tuple[Path, ...], layout: str | None, sheet: str | None,
    keep: bool, leave_out: bool, shot_on: datetime | None, press: str, colour: str, resin_lot: str,
    age_h: float | None, moulded_at: datetime | None, measured_at: datetime | None, state: str,
    record: Path | None, as_json: bool,
) -> None:  # fmt: skip
    """Read a file of readings, or several as one, into a trial.

    Shows how the file is understood, every repair, and every cell that cannot be read; nothing is kept until
    --keep. FILE is CSV, XLSX or QIF: wide (a column a size), long (a row a reading), a first-article report,
    or results as ISO 23952 lays them out. Several files, a folder or a zip are read as one and kept all or
    none; a file of one part may say cavity, shot and part in its name. A trial that is not there yet is made.
    """
    open_for_reading(record)
    from offtool.steps.read_bundle import is_bundle, keep_bundle, preview_bundle
    from offtool.steps.read_readings import TrialAbout, keep_readings, preview_readings

    about = TrialAbout(
        shot_on=shot_on.date() if shot_on else None, press=press, colour=colour, resin_lot=resin_lot,
        age_h=age_h, moulded_at=moment(moulded_at), measured_at=moment(measured_at), state=state,
    )  # fmt: skip
    (sent, name), form = sent_files(files), layout_named(layout)
    where = {"programme": programme, "tool": tool}

    def understand() -> ReadingPreview:
        if is_bundle(sent):
            return preview_bundle(sent, name, **where, layout=form, sheet=sheet)
        return preview_readings(sent[0].content, sent[0].name, **where, layout=form, sheet=sheet)

    def keep_it() -> ReadingsKept:
        now, by = datetime.now(UTC), who()
        if is_bundle(sent):
            return keep_bundle(
                sent, name, **where, trial=trial, layout=form, sheet=sheet, leave_out=leave_out, about=about,
                read_at=now, read_by=by,
            )  # fmt: skip
        return keep_readings(
            sent[0].content, sent[0].name, **where, trial=trial, layout=form, sheet=sheet,
            leave_out=leave_out, about=about, read_at=now, read_by=by,
        )  # fmt: skip

    answer(understand, keep_it if keep else None, as_json=as_json)

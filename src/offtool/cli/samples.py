"""offtool samples and offtool labels: the register of kept pieces, and labels for their bags and drawers."""

from __future__ import annotations

from pathlib import Path

import click

from offtool.cli.options import (
    NEW_FILE,
    command,
    open_for_reading,
    refuse_missing_folders,
    shared_options,
    write_file,
)
from offtool.cli.pdf_file import NEW_PDF
from offtool.cli.terminal import say, say_json

WRITTEN = (".csv", ".xlsx")
PLACES_OF_A_SHEET = 24
"""`ON_A_SHEET` of the labels, written here so that help stays quick; a test holds it."""


@command(example='offtool samples harbour-otter --search "drawer C4"')
@click.argument("programme")
@click.option("--search", default="", metavar="WORDS", help="Only samples that have all these words.")
@click.option("--out", type=NEW_FILE, help="Write them into this file, .csv or .xlsx, a row a part.")
@shared_options
def samples(programme: str, search: str, out: Path | None, record: Path | None, as_json: bool) -> None:
    """List the pieces that were kept.

    The words of --search may stand anywhere: number, name, place, who has it, part, colour, tool, trial.
    """
    if out is not None and out.suffix.lower() not in WRITTEN:
        raise click.UsageError(f"{out} ends neither in .csv nor in .xlsx")
    refuse_missing_folders(out)
    open_for_reading(record)
    from offtool.steps.identify_sample import list_samples
    from offtool.steps.plain import as_plain

    found = list_samples(programme, words=search)
    if out is not None:
        _write(programme, found.programme_title, search, out)
    if as_json:
        say_json(as_plain(found))
        return
    from offtool.cli.shared_lines import done_lines
    from offtool.cli.show_sample import samples_lines

    done = [f"The samples are in {out}."] if out is not None else []
    say([*done_lines(done), *samples_lines(found)])


def _write(programme: str, title: str, search: str, out: Path) -> None:
    from offtool.steps.samples_as_rows import samples_as_rows

    rows = samples_as_rows(programme, words=search)
    if out.suffix.lower() == ".csv":
        from offtool.exchange.samples_file import samples_csv

        content = samples_csv(rows).encode()
    else:
        from offtool.reports.samples_workbook import samples_workbook

        content = samples_workbook(title, rows)
    write_file(out, content)


@command(example="offtool labels harbour-otter --number 0417 --out labels.pdf")
@click.argument("programme")
@click.option("--out", type=NEW_PDF, required=True, help="The PDF to write.")
@click.option("--number", "numbers", multiple=True, help="A sample, several times; else all.")
@click.option("--single", is_flag=True, help="One label a page, 70 x 37 mm, for a label printer.")
@click.option(
    "--skip",
    type=click.IntRange(0, PLACES_OF_A_SHEET - 1),
    default=0,
    help="So many stickers of the sheet are gone already.",
)
@shared_options
def labels(
    programme: str, out: Path, numbers: tuple[str, ...], single: bool, skip: int,
    record: Path | None, as_json: bool,
) -> None:  # fmt: skip
    """Write labels for bags and drawers as a PDF.

    A sheet is A4 with three columns of eight stickers. The square code says programme and number.
    """
    if single and skip:
        raise click.UsageError("--skip is for sheets: with --single every label has a page of its own")
    refuse_missing_folders(out)
    open_for_reading(record)
    from offtool.reports.sample_labels import sample_labels
    from offtool.steps.plain import as_plain
    from offtool.steps.sample_labels import labels_of

    found = labels_of(programme, numbers)
    write_file(out, sample_labels(found, single=single, skip=skip))
    if as_json:
        say_json(as_plain({"labels": found, "written": str(out)}))
        return
    from offtool.cli.shared_lines import counted, sentence

    are = "is" if len(found) == 1 else "are"
    say(sentence(f"{counted(len(found), 'label')} {are} in {out}."))

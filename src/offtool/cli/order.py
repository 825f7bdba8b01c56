"""offtool order: a lot of pieces from early to late, by the changes of the tool that they show."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from offtool.cli.options import command, open_for_reading, refuse_left_over, shared_options
from offtool.cli.terminal import say, say_json

if TYPE_CHECKING:
    from offtool.steps.order_samples import LotFound


@command(example="offtool order lot.csv")
@click.argument("lot", metavar="FILE | PROGRAMME")
@click.option("--part", help="PROGRAMME: order its samples of this part by the details of the part.")
@click.option("--number", "numbers", multiple=True, help="Only these samples, several times.")
@click.option("--sheet", help="FILE: the sheet of a workbook; else the first with a table.")
@shared_options
def order(
    lot: str, part: str | None, numbers: tuple[str, ...], sheet: str | None,
    record: Path | None, as_json: bool,
) -> None:  # fmt: skip
    """Order a lot of pieces by the changes of the tool they show.

    FILE is a table, CSV or XLSX: a row a sample, a column a detail; x or yes for there, - or no for not
    there, empty or ? where nobody looked. It needs no record. A heading may end in (goes), (comes and goes)
    or (graded). Misreadings, damage and repairs are allowed for; what cannot be told apart shares a place.
    """
    refuse_left_over((("--number", "--record"), ("--part",)))
    if part is not None and sheet is not None:
        raise click.UsageError("--sheet is of a FILE, --part of a PROGRAMME")
    from offtool.steps.plain import as_plain

    found = _of_file(Path(lot), sheet) if part is None else _of_programme(lot, part, numbers, record)
    if as_json:
        say_json(as_plain(found))
        return
    from offtool.cli.show_lot import lot_lines

    say(lot_lines(found))


def _of_file(file: Path, sheet: str | None) -> LotFound:
    if not file.is_file():
        raise click.UsageError(f"{file} is no file; of a programme say which part: --part HO-02")
    from offtool.cli.reading_options import content_of
    from offtool.setup import work_without_record

    work_without_record()
    from offtool.steps.order_samples import order_of_table

    return order_of_table(content_of(file), file.name, sheet=sheet)


def _of_programme(programme: str, part: str, numbers: tuple[str, ...], record: Path | None) -> LotFound:
    open_for_reading(record)
    from offtool.steps.order_samples import order_of_samples

    return order_of_samples(programme, part, numbers)

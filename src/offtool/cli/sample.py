"""offtool sample: what one piece is, how sure, why, and what would change the answer."""

from __future__ import annotations

from pathlib import Path

import click

from offtool.cli.options import (
    command,
    open_for_reading,
    refuse_missing_folders,
    shared_options,
    who,
    write_file,
)
from offtool.cli.pdf_file import NEW_PDF
from offtool.cli.terminal import say, say_json


@command(example="offtool sample harbour-otter 0417 --card 0417.pdf")
@click.argument("programme")
@click.argument("number")
@click.option("--why", "origin", metavar="ORIGIN", help="Say why for this origin; else for the likeliest.")
@click.option("--seen", is_flag=True, help="List all that was seen, with the numbers for --set-aside.")
@click.option("--card", type=NEW_PDF, help="Write the sample's card into this PDF.")
@shared_options
def sample(
    programme: str, number: str, origin: str | None, seen: bool, card: Path | None,
    record: Path | None, as_json: bool,
) -> None:  # fmt: skip
    """Say where a piece can come from, how sure that is, and why.

    An opinion from what was seen, with its reasons: no certificate, and no word on what the piece is worth.
    """
    refuse_missing_folders(card)
    open_for_reading(record)
    done: list[str] = []
    if card is not None:
        done.append(_write_card(programme, number, card))
    show_sample(programme, number, done, origin=origin, seen=seen, as_json=as_json)


def show_sample(
    programme: str,
    number: str,
    done: list[str] | None = None,
    *,
    origin: str | None = None,
    seen: bool = False,
    as_json: bool,
) -> None:
    """Write one sample, after what was done with it."""
    from offtool.cli.show_sample import sample_lines
    from offtool.steps.identify_sample import identify_sample
    from offtool.steps.plain import as_plain

    found = identify_sample(programme, number)
    lines = sample_lines(found, origin=origin, seen=seen)
    if as_json:
        say_json(as_plain(found))
        return
    from offtool.cli.shared_lines import done_lines

    say([*done_lines(done or []), *lines])


def _write_card(programme: str, number: str, path: Path) -> str:
    from offtool.reports.sample_card import PRINTED, sample_card
    from offtool.steps.identify_sample import identify_sample
    from offtool.steps.sample_photograph import first_photograph

    found = identify_sample(programme, number)
    photograph = first_photograph(found, longest=PRINTED)
    write_file(path, sample_card(found, photograph=photograph, made_by=who()))
    return f"The card of {number} is in {path}."

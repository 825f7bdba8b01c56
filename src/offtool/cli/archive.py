"""offtool archive: a register of pieces of which no record is left."""

from __future__ import annotations

from pathlib import Path

import click

from offtool.cli.options import command, open_for_writing, shared_options, who
from offtool.cli.terminal import say, say_json


@command(example='offtool archive "From the attic" --part torso --part arm')
@click.argument("title")
@click.option("--part", "parts", multiple=True, help="A part that the pieces have; several times.")
@click.option("--resin", default="ABS", show_default=True, help="What they are mostly moulded in.")
@shared_options
def archive(title: str, parts: tuple[str, ...], resin: str, record: Path | None, as_json: bool) -> None:
    """Begin a register of pieces of which no record is left.

    Makes a programme of TITLE with these parts and nothing else. Each piece is then told its stage by what is
    seen of it; runs, states and builds can be entered later, as they are found out.
    """
    open_for_writing(record)
    from offtool.steps.begin_archive import begin_archive

    slug = begin_archive(title, parts, resin=resin, by=who())
    if as_json:
        say_json({"programme": slug, "parts": list(parts)})
        return
    say(
        [
            f"{title} is begun as {slug}.",
            "",
            f'Enter the first piece:  offtool register {slug} --what "what it is"',
        ]
    )

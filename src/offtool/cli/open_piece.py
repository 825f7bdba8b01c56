"""offtool open-piece: whether a piece in the hand was ever welded."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, cast

import click

from offtool.cli.options import command, open_for_reading, shared_options
from offtool.cli.terminal import say, say_json

if TYPE_CHECKING:
    from offtool.core.welding.open_seam import CameApart, RidgeSeen, Seen

RIDGES = ("intact", "partly melted", "melted")
SEEN = ("seen", "absent")
CAME_APART = ("material torn", "peeled clean", "held")
"""The words of `offtool.core.welding.open_seam`, written here so that help stays quick; a test holds it."""
NOT_LOOKED = "not looked"


@command(example="offtool open-piece harbour-otter torso --height-mm 24.42 --flash absent")
@click.argument("programme")
@click.argument("seam")
@click.option("--height-mm", type=float, help="Height over both parts, mm.")
@click.option("--pull-n", type=float, help="Pull at which it came apart or was stopped, N.")
@click.option("--came-apart", type=click.Choice(CAME_APART), help="How; held: the pull was stopped.")
@click.option("--ridge", type=click.Choice(RIDGES), help="What is left of the ridge.")
@click.option("--flash", type=click.Choice(SEEN), help="A bead of melt along the seam.")
@click.option("--horn-mark", type=click.Choice(SEEN), help="A patch where the horn stood.")
@shared_options
def open_piece(
    programme: str, seam: str, height_mm: float | None, pull_n: float | None, came_apart: str | None,
    ridge: str | None, flash: str | None, horn_mark: str | None, record: Path | None, as_json: bool,
) -> None:  # fmt: skip
    """Say whether a piece was ever welded, and where to look next.

    Give what was looked at and nothing else: a thing that was not looked at says nothing, a thing that was
    looked for and is absent does. Nothing is kept.
    """
    open_for_reading(record)
    from offtool.steps.ask_if_open import PieceSeen, ask_if_open
    from offtool.steps.plain import as_plain

    piece = PieceSeen(
        height_mm=height_mm,
        pull_n=pull_n,
        came_apart=cast("CameApart", came_apart or NOT_LOOKED),
        ridge=cast("RidgeSeen", ridge or NOT_LOOKED),
        flash=cast("Seen", flash or NOT_LOOKED),
        horn_mark=cast("Seen", horn_mark or NOT_LOOKED),
    )
    found = ask_if_open(programme, seam, piece)
    if as_json:
        say_json(as_plain(found))
        return
    from offtool.cli.show_open_piece import open_piece_lines

    say(open_piece_lines(found))

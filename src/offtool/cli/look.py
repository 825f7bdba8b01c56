"""offtool look: what was seen on pieces at the press."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from offtool.cli.options import (
    FILE,
    command,
    open_for_reading,
    options_typed,
    place_arguments,
    shared_options,
    who,
)
from offtool.cli.terminal import say, say_json

if TYPE_CHECKING:
    from offtool.steps.look_at_pieces import FlawSeen, LooksKept, PhotographTaken

UNKNOWN = "unknown"
_OF_A_LOOK = ("--cavity", "--shot", "--pieces", "--flaw", "--photo", "--note")
NOT_WITH = {
    "--from": _OF_A_LOOK,
    "--list": (*_OF_A_LOOK, "--by", "--new"),
    "--set-aside": (*_OF_A_LOOK, "--new"),
}
"""What the command does instead of keeping one look, and what says nothing then."""


@command(example='offtool look harbour-otter M2 T3 --cavity 2 --shot 12 --flaw "short-shot=1@left ear"')
@place_arguments
@click.option("--cavity", "cavities", multiple=True, help='The cavity; "unknown" where nobody knows.')
@click.option("--shot", type=int, help="The shot; leave it out for pieces of several shots.")
@click.option("--pieces", type=int, default=1, show_default=True, help="How many were looked at.")
@click.option("--flaw", "flaws", multiple=True, metavar="DEFECT[=N][@PLACE]", help="A defect, on N of them.")
@click.option("--photo", "photos", type=FILE, multiple=True, help="A photograph: JPEG, PNG or WebP.")
@click.option("--note", default="", help="Anything the next reader should know.")
@click.option("--by", default="", metavar="NAME", help="Who looked; else the account's name.")
@click.option(
    "--new", is_flag=True, help="Make the trial, on the tool's latest steel, where it is not there."
)
@click.option("--from", "file", type=FILE, metavar="CSV", help="Looks from a file, a row a defect.")
@click.option("--list", "listed", is_flag=True, help="Keep nothing; say where every finding stands.")
@click.option("--set-aside", "aside", type=int, metavar="NUMBER", help="A look of --list counts no more.")
@click.option("--because", help="Why it counts no more, in a few words; it is kept with the name.")
@shared_options
def look(
    programme: str,
    tool: str,
    trial: str,
    cavities: tuple[str, ...],
    shot: int | None,
    pieces: int,
    flaws: tuple[str, ...],
    photos: tuple[Path, ...],
    note: str,
    by: str,
    new: bool,
    file: Path | None,
    listed: bool,
    aside: int | None,
    because: str | None,
    record: Path | None,
    as_json: bool,
) -> None:
    """Keep what was seen on pieces at the press.

    Without --flaw the pieces were looked at and nothing was wrong: that is evidence too. A finding stays open
    over the states of the tool until a trial shows it gone. Columns of a file: trial, cavity, shot, pieces,
    defect, count, place, note; a row without a defect is a look at which nothing was wrong.

    Mould and melt are hot and the platens move: only trained people work at the press, with its guards
    closed; local rules and licensed practice decide.
    """
    _refuse_two_things_at_once()
    if not (listed or cavities) and file is None and aside is None:
        raise click.UsageError("say which cavity: --cavity 2, or --cavity unknown; or give --from or --list")
    if (aside is None) != (because is None):
        raise click.UsageError("--set-aside and --because belong together: which look, and why")
    if len(cavities) > 1 and (flaws or photos):
        raise click.UsageError("flaws and photographs are of one cavity: give one --cavity")
    open_for_reading(record)
    kept: tuple[LooksKept, ...] = ()
    if file is not None:
        kept = _from_file(file, programme, tool, trial, by or who(), may_be_new=new)
    elif aside is not None:
        from offtool.steps.look_at_pieces import take_look_back

        take_look_back(programme, tool, trial, aside, reason=because or "", made_by=by or who())
    elif not listed:
        from offtool.steps.look_at_pieces import PiecesLookedAt, look_at_pieces

        looks = [
            PiecesLookedAt(
                cavity=None if one == UNKNOWN else one,
                shot=shot,
                pieces=pieces,
                flaws=tuple(map(_flaw, flaws)),
                photographs=tuple(map(_photograph, photos)),
                note=note,
            )
            for one in cavities
        ]
        kept = (
            look_at_pieces(
                programme,
                tool,
                trial,
                looks,
                looked_at=datetime.now(UTC),
                looked_by=by or who(),
                may_be_new=new,
            ),
        )
    _answer(programme, tool, trial, kept, listed=listed, as_json=as_json)


def _refuse_two_things_at_once() -> None:
    """Raise UsageError for options that would be passed over in silence."""
    given = options_typed()
    does = [one for one in given if one in NOT_WITH]
    if len(does) > 1:
        raise click.UsageError(f"{does[0]} and {does[1]} cannot both be meant")
    for one in given:
        if does and one in NOT_WITH[does[0]]:
            raise click.UsageError(f"{one} has no meaning with {does[0]}")


def _answer(
    programme: str, tool: str, trial: str, kept: tuple[LooksKept, ...], *, listed: bool, as_json: bool
) -> None:
    from offtool.cli.show_press import kept_lines, look_lines, press_lines
    from offtool.steps.findings_at_press import look_back
    from offtool.steps.plain import as_plain

    found = look_back(programme, tool, kept[0].trial if kept else trial)
    if as_json:
        say_json(as_plain({"kept": kept, "findings": found}))
        return
    looks = look_lines(found) if listed else []
    say([line for one in kept for line in kept_lines(one)] + press_lines(found) + looks)


def _from_file(
    file: Path, programme: str, tool: str, trial: str, by: str, *, may_be_new: bool
) -> tuple[LooksKept, ...]:
    from offtool.cli.reading_options import content_of
    from offtool.steps.looks_from_file import keep_looks_of_file

    return keep_looks_of_file(
        content_of(file),
        file.name,
        programme=programme,
        tool=tool,
        trial=trial,
        looked_at=datetime.now(UTC),
        looked_by=by,
        may_be_new=may_be_new,
    )


def _flaw(written: str) -> FlawSeen:
    """DEFECT[=N][@PLACE], such as short-shot=1@left ear."""
    from offtool.core.values import OfftoolError
    from offtool.steps.look_at_pieces import FlawSeen

    before, _, place = written.partition("@")
    defect, given, pieces = before.partition("=")
    if given and not (pieces.isascii() and pieces.isdecimal() and len(pieces) <= 7):
        raise OfftoolError(
            f"{pieces!r} is no number of pieces", where=f"--flaw {written}", remedy="such as short-shot=1"
        )
    return FlawSeen(defect=defect.strip(), pieces=int(pieces) if given else None, place=place)


def _photograph(file: Path) -> PhotographTaken:
    from offtool.exchange.pictures import refuse_large_picture
    from offtool.steps.look_at_pieces import PhotographTaken

    refuse_large_picture(file.stat().st_size, file.name)
    return PhotographTaken(name=file.name, content=file.read_bytes())

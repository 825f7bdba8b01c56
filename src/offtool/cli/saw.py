"""offtool saw and offtool photograph: what was found on a piece, and how it looks."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import click

from offtool.cli.options import (
    FILE,
    command,
    open_for_reading,
    options_typed,
    refuse_left_over,
    shared_options,
    who,
)
from offtool.cli.sample import show_sample
from offtool.cli.seen_typed import colours_typed, details_typed, signs_typed, sizes_seen_typed
from offtool.cli.terminal import say, say_json

LIGHTS, EYES = ("D65", "D50"), (2, 10)
"""The words of `offtool.handbook.measured_colour`, written here so that help stays quick; a test holds it."""
SEEN = ("--there", "--missing", "--sign", "--size", "--colour")
KINDS = ("detail", "sign", "size", "colour")


@command(example='offtool saw harbour-otter 0417 --missing "torso: date-mark" --sign "paint=none"')
@click.argument("programme")
@click.argument("number")
@click.option("--there", multiple=True, metavar="'PART: DETAIL'", help="A detail that is there.")
@click.option("--missing", multiple=True, metavar="'PART: DETAIL'", help="One looked for that is not there.")
@click.option("--sign", "signs", multiple=True, metavar="'SIGN=OUTCOME'",
              help="A sign of the handbook, of the piece or of 'PART: SIGN=OUTCOME'.")  # fmt: skip
@click.option("--size", "sizes", multiple=True, metavar="'PART: SIZE=VALUE'",
              help="A size or weight in the unit of the drawing; 3.974+-0.002 where one knows.")  # fmt: skip
@click.option("--colour", "colours", multiple=True, metavar="'PART: L A B'",
              help="A colour by an instrument, CIELAB; +-0.3 behind it: how sure, in delta E.")  # fmt: skip
@click.option("--place", default="", help="Where on the part its colour was measured.")
@click.option("--light", type=click.Choice(LIGHTS), default="D65", show_default=True,
              help="The light that the colours are stated for.")  # fmt: skip
@click.option("--eye", type=click.Choice([str(one) for one in EYES]), default="10", show_default=True,
              help="The standard observer, degrees.")  # fmt: skip
@click.option("--unsure", is_flag=True, help="Details and signs of this call were not seen for sure.")
@click.option("--note", default="", help="Anything the next reader should know.")
@click.option("--by", default="", metavar="NAME", help="Who looked; else the account's name.")
@click.option("--set-aside", "aside", metavar="'KIND NUMBER'",
              help="Let one thing count no more, as offtool sample --seen numbers it.")  # fmt: skip
@click.option("--because", default="", help="Why it counts no more; kept with your name.")
@shared_options
def saw(
    programme: str, number: str, there: tuple[str, ...], missing: tuple[str, ...], signs: tuple[str, ...],
    sizes: tuple[str, ...], colours: tuple[str, ...], place: str, light: str, eye: str, unsure: bool,
    note: str, by: str, aside: str | None, because: str, record: Path | None, as_json: bool,
) -> None:  # fmt: skip
    """Keep what was seen on a piece, and say what it is.

    Say what was looked at and nothing else: what was looked for and is missing is evidence, what nobody
    looked at is none. PART is the label of a part of the sample; leave it out where it has only one. All of
    one call is kept, or nothing.
    """
    _refuse_nothing_and_too_much(aside, because)
    open_for_reading(record)
    from offtool.steps.look_at_sample import MISSING, THERE, keep_what_was_found

    if aside is not None:
        done = _set_aside(programme, number, aside, because, by or who())
    else:
        found = [
            *details_typed(there, THERE, is_sure=not unsure),
            *details_typed(missing, MISSING, is_sure=not unsure),
            *signs_typed(signs, is_sure=not unsure),
            *sizes_seen_typed(sizes),
        ]
        measured = list(colours_typed(colours, place=place, illuminant=light, observer=int(eye)))
        told = {"note": note, "at": datetime.now(UTC), "by": by or who()}
        kept = keep_what_was_found(programme, number, found, measured, **told)  # type: ignore[arg-type]
        done = f"{kept} {'thing is' if kept == 1 else 'things are'} kept of {number}."
    show_sample(programme, number, [done], as_json=as_json)


def _refuse_nothing_and_too_much(aside: str | None, because: str) -> None:
    typed = set(options_typed())
    seen = typed & set(SEEN)
    if not seen and aside is None:
        raise click.UsageError(f"say what was seen: {', '.join(SEEN[:-1])} or {SEEN[-1]}")
    if aside is not None and (seen or "--note" in typed):
        raise click.UsageError("keep what was seen or set something aside, not both at once")
    if aside is not None and not because.strip():
        raise click.UsageError("--set-aside and --because belong together: which thing, and why")
    refuse_left_over(
        (("--because",), ("--set-aside",)),
        (("--place", "--light", "--eye"), ("--colour",)),
        (("--unsure",), ("--there", "--missing", "--sign")),
    )


def _set_aside(programme: str, number: str, typed: str, because: str, by: str) -> str:
    from offtool.steps.keep_sample import set_aside

    kind, _, key = typed.strip().rpartition(" ")
    if kind not in KINDS or not (key.isascii() and key.isdecimal() and len(key) < 10):
        raise click.UsageError(f"--set-aside {typed!r}: type it as offtool sample --seen does, as 'detail 3'")
    set_aside(programme, number, kind, int(key), because, by=by)
    return f"{kind.capitalize()} {key} counts no longer."


@command(example="offtool photograph harbour-otter 0417 front.jpg back.jpg")
@click.argument("programme")
@click.argument("number")
@click.argument("files", type=FILE, nargs=-1, required=True)
@click.option("--part", default="", help="The part that it shows; else the whole piece.")
@click.option("--note", default="", help="Anything the next reader should know.")
@click.option("--by", default="", metavar="NAME", help="Who took it; else the account's name.")
@shared_options
def photograph(
    programme: str, number: str, files: tuple[Path, ...], part: str, note: str, by: str,
    record: Path | None, as_json: bool,
) -> None:  # fmt: skip
    """Keep photographs of a piece: JPEG, PNG or WebP.

    Where and when a photograph was taken is taken out of it before it is kept. All of one call are kept, or
    none.
    """
    open_for_reading(record)
    from offtool.exchange.pictures import refuse_large_picture
    from offtool.steps.sample_photograph import keep_photographs

    for file in files:
        refuse_large_picture(file.stat().st_size, file.name)
    pictures = [(file.name, file.read_bytes()) for file in files]
    keys = keep_photographs(
        programme, number, pictures, part=part, note=note, at=datetime.now(UTC), by=by or who()
    )
    if as_json:
        say_json({"programme": programme, "number": number, "photographs": keys})
        return
    from offtool.cli.shared_lines import counted, sentence

    are = "is" if len(keys) == 1 else "are"
    say(sentence(f"{counted(len(keys), 'photograph')} of {number} {are} kept, without place and time."))

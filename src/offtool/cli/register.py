"""offtool register: a piece for the register, with what its tag says."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from offtool.cli.options import (
    DAY,
    FILE,
    command,
    open_for_reading,
    options_typed,
    refuse_left_over,
    shared_options,
    who,
)
from offtool.cli.sample import show_sample

if TYPE_CHECKING:
    from offtool.steps.keep_sample import PartSaid

OF_A_FILE = ("--sheet", "--keep", "--leave-out")
OF_BOTH = (*OF_A_FILE, "--record", "--json")
OF_A_TAG = ("tool", "trial", "state", "cavity", "shot", "colour")
"""What a tag says of a part, each with its word before it."""


@command(
    example="offtool register harbour-otter --what torso --part 'torso: HO-02, tool M1, trial T1, cavity 1'"
)
@click.argument("programme")
@click.argument("file", type=FILE, required=False)
@click.option("--number", default="", help="Its number; else the next one.")
@click.option("--what", default="", help="What it is, in a few words.")
@click.option("--part", "parts", multiple=True, metavar="'LABEL: PART, ...'",
              help="A part it has, several times, with what its tag says behind it.")  # fmt: skip
@click.option("--build", default="", help="The build that its tag names.")
@click.option("--found-on", type=DAY, metavar="YYYY-MM-DD", help="The day it was found.")
@click.option("--place", default="", help="Where it lies.")
@click.option("--holder", default="", help="Who has it.")
@click.option("--purpose", default="", help="What it is kept for.")
@click.option("--disposition", default="", help="What became of it.")
@click.option("--note", default="", help="Anything the next reader should know.")
@click.option("--sheet", help="FILE: the sheet of a workbook; else the first with samples.")
@click.option("--keep", is_flag=True, help="FILE: keep it; without, only how it is understood is shown.")
@click.option("--leave-out", is_flag=True, help="FILE: keep the rest where cells cannot be read.")
@shared_options
def register(
    programme: str, file: Path | None, number: str, what: str, parts: tuple[str, ...], build: str,
    found_on: datetime | None, place: str, holder: str, purpose: str, disposition: str, note: str,
    sheet: str | None, keep: bool, leave_out: bool, record: Path | None, as_json: bool,
) -> None:  # fmt: skip
    """Enter pieces into the register of samples.

    A piece may be tagged at the press, or found later with nothing known. FILE enters many at once: CSV or
    XLSX, a row a part, under headings such as sample, what, part, tool, trial, cavity, shot, place. It is
    shown as it is understood; nothing is kept until --keep.

    A part is typed as LABEL: PART, such as 'left arm: HO-04'; the label is what people call it on this piece.
    Behind the part stands what the tag says, separated by commas: tool M3, trial T2, state b, cavity 1, shot
    41, colour mint.
    """
    _refuse_two_ways(file)
    open_for_reading(record)
    if file is not None:
        _read(file, programme, sheet=sheet, keep=keep, leave_out=leave_out, as_json=as_json)
        return
    from offtool.steps.keep_sample import SampleSaid, register_sample

    said = SampleSaid(
        number=number,
        name=what,
        build=build,
        found_on=found_on.date() if found_on is not None else None,
        place=place,
        holder=holder,
        purpose=purpose,
        disposition=disposition,
        note=note,
        parts=tuple(map(part_typed, parts)),
    )
    given = register_sample(programme, said, at=datetime.now(UTC), by=who())
    show_sample(programme, given, [f"Registered as {given}."], as_json=as_json)


def _refuse_two_ways(file: Path | None) -> None:
    typed = options_typed()
    if file is None:
        left = [one for one in typed if one in OF_A_FILE]
        if left:
            raise click.UsageError(f"{left[0]} belongs to a FILE")
        return
    of_one_piece = [one for one in typed if one not in OF_BOTH]
    if of_one_piece:
        raise click.UsageError(f"{of_one_piece[0]} is of one piece, {file.name} says it of each")
    refuse_left_over((("--leave-out",), ("--keep",)))


def _read(
    file: Path, programme: str, *, sheet: str | None, keep: bool, leave_out: bool, as_json: bool
) -> None:
    """Show how a file is understood; keep it where that is asked for."""
    from offtool.cli.reading_options import content_of
    from offtool.cli.show_samples_file import kept_samples_lines, samples_file_lines
    from offtool.cli.two_steps import preview_then_keep
    from offtool.steps.samples_from_file import keep_samples, preview_samples

    content = content_of(file)
    of: dict[str, Any] = {"programme": programme, "sheet": sheet}
    when: dict[str, Any] = {"registered_at": datetime.now(UTC), "registered_by": who()}
    preview_then_keep(
        lambda: preview_samples(content, file.name, **of),
        (lambda: keep_samples(content, file.name, **of, **when, leave_out=leave_out)) if keep else None,
        lines=samples_file_lines,
        kept_lines=kept_samples_lines,
        as_json=as_json,
    )


def part_typed(typed: str) -> PartSaid:
    """LABEL: PART, tool M3, trial T2, shot 41. Raises UsageError for what is none of the words of a tag."""
    from offtool.steps.keep_sample import PartSaid

    label, colon, said = typed.partition(":")
    part, *tag = [one.strip() for one in (said if colon else typed).split(",")]
    if not part:
        raise click.UsageError(f"--part {typed!r} names no part: type it as 'torso: HO-02'")
    told: dict[str, Any] = {}
    for one in filter(None, tag):
        word, _, value = one.partition(" ")
        if word not in OF_A_TAG or not value.strip() or word in told:
            raise click.UsageError(
                f"--part {typed!r}: {one!r} is not one of {', '.join(OF_A_TAG)}, each once"
            )
        told[word] = value.strip()
    if "shot" in told:
        told["shot"] = _shot(told["shot"], typed)
    return PartSaid(part=part, label=label.strip() if colon else "", **told)


def _shot(written: str, typed: str) -> int:
    if not (written.isascii() and written.isdecimal() and len(written) <= 9):
        raise click.UsageError(f"--part {typed!r}: {written!r} is no number of a shot")
    return int(written)

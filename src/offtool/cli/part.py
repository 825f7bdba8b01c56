"""offtool part: what the shape of a part weighs, covers, and where it is thick; and reading a shape."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from offtool.cli.options import FILE, NUMBER, command, open_for_reading, refuse_left_over, shared_options, who
from offtool.cli.terminal import say, say_json

if TYPE_CHECKING:
    from offtool.steps.read_mesh import MeshAbout

UNITS = ("mm", "cm", "m", "in")
OF_A_MESH = ("--unit", "--direction", "--keep", "--confirm", "--resin", "--thin", "--note")


@command(example="offtool part harbour-otter HO-02 --mesh torso.stl --unit mm --direction z --keep")
@click.argument("programme", required=False)
@click.argument("part", required=False)
@click.option("--mesh", "file", type=FILE, help="Read a shape: STL, OBJ or 3MF.")
@click.option("--unit", type=click.Choice(UNITS), help="Unit of its numbers, where the file does not say it.")
@click.option("--direction", default="z", metavar="z | X,Y,Z", help="The way the tool opens; z unless said.")
@click.option(
    "--resin", default="", help="Without a programme: the resin, such as ABS, for weight and cooling."
)
@click.option(
    "--thin", type=NUMBER, metavar="MM", help="Ask for the share of the surface with a thinner wall."
)
@click.option("--note", default="", help="Anything the next reader should know.")
@click.option("--keep", is_flag=True, help="Keep it; without, only what it measures is shown.")
@click.option("--confirm", is_flag=True, help="Keep it though its size or weight is doubted: it is right.")
@shared_options
def part(
    programme: str | None, part: str | None, file: Path | None, unit: str | None, direction: str, resin: str,
    thin: float | None, note: str, keep: bool, confirm: bool, record: Path | None, as_json: bool,
) -> None:  # fmt: skip
    """Say what a part weighs and covers, and where it is thick.

    Without PART all parts are listed. Without PROGRAMME a file is measured and nothing is kept. The unit of a
    file that does not say it is asked for, never assumed.
    """
    refuse_left_over((OF_A_MESH, ("--mesh",)), (("--confirm",), ("--keep",)))
    if programme is None and file is None:
        raise click.UsageError("name a programme, or a file with --mesh")
    if file is not None and programme is not None and part is None:
        raise click.UsageError("name the part, as in offtool part PROGRAMME PART --mesh FILE")
    if resin and programme is not None:
        raise click.UsageError("--resin is for a file without a programme; a part has its own")
    if programme is None:
        if keep:
            raise click.UsageError("--keep needs a programme and a part to keep it for")
        from offtool.setup import work_without_record

        work_without_record()
    else:
        open_for_reading(record)
    if file is None:
        _show(str(programme), part, as_json=as_json)
        return
    about = _about(unit, direction, thin)
    if programme is not None and part is not None:
        kept_note = note if keep else None
        _read(file, programme, part, about, kept_note, confirmed=confirm, as_json=as_json)
    else:
        _measure(file, about, resin, as_json=as_json)


def _about(unit: str | None, direction: str, thin: float | None) -> MeshAbout:
    from offtool.core.values import ImpossibleInput
    from offtool.steps.read_mesh import AXES, MeshAbout

    if direction in AXES:
        return MeshAbout(unit=unit or "", direction=AXES[direction], thin_mm=thin)
    try:
        x, y, z = (float(one) for one in direction.split(","))
    except ValueError as error:
        remedy = "x, y, z or three numbers such as 0,0.5,1"
        raise ImpossibleInput("direction", direction, "", "is no direction", remedy) from error
    return MeshAbout(unit=unit or "", direction=(x, y, z), thin_mm=thin)


def _show(programme: str, part: str | None, *, as_json: bool) -> None:
    from offtool.cli.show_part import part_lines, parts_lines
    from offtool.steps.know_part import know_part, know_parts
    from offtool.steps.plain import as_plain

    if part is None:
        all_parts = know_parts(programme)
        say_json(as_plain(all_parts)) if as_json else say(parts_lines(all_parts))
        return
    found = know_part(programme, part)
    say_json(as_plain(found)) if as_json else say(part_lines(found))


def _measure(file: Path, about: MeshAbout, resin: str, *, as_json: bool) -> None:
    from offtool.cli.reading_options import content_of
    from offtool.cli.show_part import mesh_lines
    from offtool.steps.plain import as_plain
    from offtool.steps.read_mesh import measure_file

    found = measure_file(content_of(file), file.name, about=about, resin=resin)
    say_json(as_plain(found)) if as_json else say(mesh_lines(found))


def _read(
    file: Path, programme: str, part: str, about: MeshAbout, note: str | None, *, confirmed: bool,
    as_json: bool,
) -> None:  # fmt: skip
    """Show how a shape is understood; keep it where there is a note, be it an empty one."""
    from offtool.cli.reading_options import content_of
    from offtool.cli.show_part import kept_mesh_lines, mesh_lines
    from offtool.cli.two_steps import preview_then_keep
    from offtool.steps.read_mesh import keep_mesh_file, preview_mesh

    content = content_of(file)

    def keep() -> object:
        now = datetime.now(UTC)
        return keep_mesh_file(
            content, file.name, programme=programme, part=part, about=about, read_at=now, read_by=who(),
            note=note or "", confirmed=confirmed,
        )  # fmt: skip

    preview_then_keep(
        lambda: preview_mesh(content, file.name, programme=programme, part=part, about=about),
        keep if note is not None else None,
        lines=mesh_lines,
        kept_lines=kept_mesh_lines,
        as_json=as_json,
    )

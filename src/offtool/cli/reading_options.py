"""What `read` and `start` share: how files are to be understood, their bytes, the answer before and after."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from offtool.cli.terminal import say, say_json

if TYPE_CHECKING:
    from offtool.exchange.readings import Layout, SentFile
    from offtool.steps.reading_preview import ReadingPreview, ReadingsKept

F = TypeVar("F", bound=Callable[..., Any])

FILE_OR_FOLDER = click.Path(exists=True, path_type=Path)

LAYOUTS = ("wide", "long", "report", "QIF")
"""The layouts of `offtool.exchange.readings`, written here so that help needs no numpy; a test holds it."""


def reading_options(function: F) -> F:
    """FILE..., --layout, --sheet, --keep, --leave-out."""
    for option in reversed((
        click.argument("files", metavar="FILE...", nargs=-1, required=True, type=FILE_OR_FOLDER),
        click.option("--layout", type=click.Choice(LAYOUTS), help="Set the layout; else it is recognised."),
        click.option("--sheet", help="The sheet of a workbook; else the first with readings."),
        click.option("--keep", is_flag=True, help="Keep it; without, only how it is understood is shown."),
        click.option("--leave-out", is_flag=True, help="Keep the rest where cells or files cannot be read."),
    )):  # fmt: skip
        function = option(function)
    return function


def layout_named(name: str | None) -> Layout | None:
    """The layout of this name; None to have it recognised."""
    from offtool.exchange.readings import Layout

    return None if name is None else Layout(name)


def sent_files(paths: Sequence[Path]) -> tuple[list[SentFile], str]:
    """Files and all files of folders, with what they are called together.

    Raises OfftoolError where there are none, too many, or one too large, before it is read.
    """
    from offtool.core.values import OfftoolError
    from offtool.exchange.readings import SentFile
    from offtool.exchange.readings.limits import refuse_beyond

    found = [(file, path) for top in paths for file, path in _files_of(top, inside=len(paths) > 1)]
    name = paths[0].name or str(paths[0].resolve().name) if len(paths) == 1 else f"{len(found)} files"
    if not found:
        raise OfftoolError("there is no file in it", where=name, remedy="name the folder with the readings")
    refuse_beyond("files", len(found), where=name)
    return [SentFile(file.name, content_of(file), path) for file, path in found], name


def _files_of(top: Path, *, inside: bool) -> Iterator[tuple[Path, str]]:
    """A file, or the files of a folder, each with its place in it; links are not followed.

    Where a folder is one of several its own name counts too: "cav 1", "cav 2".
    """
    if top.is_file():
        yield top, top.name
        return
    for file in sorted(top.rglob("*")):
        if file.is_file() and not file.is_symlink():
            yield file, file.relative_to(top.parent if inside else top).as_posix()


def content_of(file: Path) -> bytes:
    """The bytes of a file. Raises OfftoolError where it is too large to be read, before it is read."""
    from offtool.exchange.readings.limits import refuse_beyond

    refuse_beyond("bytes", file.stat().st_size, where=file.name)
    return file.read_bytes()


def answer(
    understand: Callable[[], ReadingPreview], keep: Callable[[], ReadingsKept] | None, *, as_json: bool
) -> None:
    """Show how a file is understood; keep it where `keep` is given. A file that is refused is shown too."""
    from offtool.cli.show_preview import kept_lines, preview_lines
    from offtool.core.values import OfftoolError
    from offtool.steps.plain import as_plain

    if as_json:
        say_json(as_plain(keep() if keep is not None else understand()))
        return
    found = understand()
    try:
        lines = preview_lines(found) if keep is None else kept_lines(keep(), found)
    except OfftoolError:
        say(preview_lines(found))
        raise
    say(lines)

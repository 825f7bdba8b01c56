"""What `read` and `start` share: how a file is to be understood, its bytes, the answer before and after."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from offtool.cli.options import FILE
from offtool.cli.terminal import say, say_json

if TYPE_CHECKING:
    from offtool.exchange.readings import Layout
    from offtool.steps.reading_preview import ReadingPreview, ReadingsKept

F = TypeVar("F", bound=Callable[..., Any])

LAYOUTS = ("wide", "long", "report")
"""The layouts of `offtool.exchange.readings`, written here so that help needs no numpy; a test holds it."""


def reading_options(function: F) -> F:
    """FILE, --layout, --sheet, --keep, --leave-out."""
    for option in reversed((
        click.argument("file", type=FILE),
        click.option("--layout", type=click.Choice(LAYOUTS), help="Set the layout; else it is recognised."),
        click.option("--sheet", help="The sheet of a workbook; else the first with readings."),
        click.option("--keep", is_flag=True, help="Keep it; without, only how it is understood is shown."),
        click.option("--leave-out", is_flag=True, help="Keep the rest where cells cannot be read."),
    )):  # fmt: skip
        function = option(function)
    return function


def layout_named(name: str | None) -> Layout | None:
    """The layout of this name; None to have it recognised."""
    from offtool.exchange.readings import Layout

    return None if name is None else Layout(name)


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

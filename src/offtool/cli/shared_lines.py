"""What the answers of all commands share: counts, headings, things to do, cautions."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from offtool.cli.terminal import width
from offtool.cli.typeset import columns_of, paragraph, table

if TYPE_CHECKING:
    from offtool.core.values import Caution


def counted(number: int, thing: str, things: str = "") -> str:
    """1 cell, 2 cells, 12,000 readings."""
    return f"{number:,} {thing if number == 1 else things or thing + 's'}"


def heading(text: str) -> list[str]:
    """A heading, a blank line before it."""
    return ["", text]


def sentence(text: str) -> list[str]:
    """A paragraph at the margin."""
    return paragraph(text, width=width())


def done_lines(done: Sequence[str]) -> list[str]:
    """What was just done, a blank line after it; nothing where nothing was."""
    lines = [line for one in done for line in sentence(one)]
    return [*lines, ""] if lines else []


def steps(things: Sequence[tuple[str, str]]) -> list[str]:
    """Numbered things to do, each with its reason."""
    lines: list[str] = []
    for number, (do, because) in enumerate(things, 1):
        lines += paragraph(do, width=width(), indent="     ", first=f"{number:>3}. ")
        if because:
            lines += paragraph(because, width=width(), indent="     ")
    return lines


def bullets(texts: Sequence[str]) -> list[str]:
    """One line or more for each text, with a dash before it."""
    return [line for text in texts for line in paragraph(text, width=width(), indent="    ", first="  - ")]


def table_or_bullets(rows: Sequence[Sequence[str]], said: Sequence[str], *, sides: str = "") -> list[str]:
    """The rows as a table; where the terminal is too narrow for it, the same in words."""
    lines = table(rows, width=width(), sides=sides, indent=2)
    return lines if max(map(columns_of, lines), default=0) <= width() else bullets(said)


def cautions(found: Sequence[Caution]) -> list[str]:
    """The cautions under their own heading, each with its source; nothing where there are none."""
    if not found:
        return []
    return [
        *heading("With care"),
        *bullets([f"{one.text} ({one.source})" if one.source else one.text for one in found]),
    ]

"""The error of a programme folder, and the place in it that an error names."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches

from offtool.core.values import OfftoolError


class FolderRefused(OfftoolError):
    """Something in a programme folder cannot be taken; names file, line, column, value and remedy."""


@dataclass(frozen=True, slots=True)
class Place:
    """A file of the folder, a line in it, and a column or key there."""

    file: str
    line: int = 0
    column: str = ""

    def __str__(self) -> str:
        line = f" line {self.line}" if self.line else ""
        column = f", {self.column}" if self.column else ""
        return f"{self.file}{line}{column}"

    def refuse(self, what: str, remedy: str) -> FolderRefused:
        """The error for what is wrong here; for the caller to raise."""
        return FolderRefused(what, where=str(self), remedy=remedy)


def nearest(name: str, known: Iterable[str]) -> str:
    """The remedy for an unknown name: the nearest known one, else the known ones."""
    names = sorted(set(known))
    if not names:
        return "there are none yet; add it first"
    close = get_close_matches(name, names, n=1)
    if close:
        return f"did you mean {close[0]!r}?"
    return f"known are: {', '.join(names[:20])}" + (" …" if len(names) > 20 else "")

"""The error of a programme folder, and the place in it that an error names."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from offtool.core.values import OfftoolError, nearest


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


def refuse_unknown(place: Place, name: tuple[str, ...], known: Collection[tuple[str, ...]]) -> None:
    """Raise FolderRefused unless the name is known; the nearest is sought among those of the same owner."""
    if name not in known:
        owner = f" of {' '.join(name[:-1])}" if name[:-1] else ""
        beside = [other[-1] for other in known if other[:-1] == name[:-1]]
        raise place.refuse(f"there is no {name[-1]!r}{owner}", nearest(name[-1], beside))

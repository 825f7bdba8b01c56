"""How the file of a shape is refused: what is wrong with it, and what to do."""

from __future__ import annotations

from offtool.core.values import OfftoolError
from offtool.exchange.readings.table import FileRefused


def refused(name: str, what: str, remedy: str) -> FileRefused:
    """The refusal of a whole file."""
    return FileRefused(what, where=name, remedy=remedy)


def geometry_missing() -> OfftoolError:
    """What to install where such a file cannot be read."""
    return OfftoolError(
        "this kind of file cannot be read without trimesh",
        remedy="install the extra: pip install 'offtool[geometry]', or export the part as binary STL",
    )

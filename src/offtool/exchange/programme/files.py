"""Files of the folder: found without being led out of it, and read as UTF-8."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from offtool.exchange.programme.refused import FolderRefused, Place

_NEVER_IN_A_NAME = set('/\\:*?"<>|\0')


def find_file(folder: Path, *steps: str) -> Path | None:
    """A file of the folder, or None when it is not there. Raises FolderRefused when it lies outside."""
    path = folder.joinpath(*steps)
    shown = "/".join(steps)
    try:
        if not path.exists():
            if path.is_symlink():
                raise Place(shown).refuse("it is a link to nothing", "put the file itself there")
            return None
        if not path.resolve().is_relative_to(folder.resolve()):
            raise Place(shown).refuse("it is a link that leaves the folder", "put the file itself there")
        if not path.is_file():
            raise Place(shown).refuse("it is no file", "put a file of this name there")
    except (OSError, RuntimeError) as error:  # RuntimeError: links in a circle
        raise Place(shown).refuse(f"it cannot be reached ({error})", "look at the folder") from error
    return path


def refuse_path_trick(name: str, place: Place) -> None:
    """Raise FolderRefused unless the text is the plain name of a file: no folder, no drive, no way up."""
    if name in (".", "..") or _NEVER_IN_A_NAME & set(name):
        raise place.refuse(
            f"{name!r} is no plain file name", "give a name without folders: / \\ : .. are refused"
        )


def refuse_too_large(path: Path, shown: str, largest: int) -> None:
    """Raise FolderRefused for a file that is too large, before it is read."""
    size = path.stat().st_size
    if size > largest:
        raise Place(shown).refuse(f"{size / 1e6:.0f} MB", f"at most {largest / 1e6:.0f} MB are read")


def read_bytes(path: Path, shown: str, largest: int) -> bytes:
    """The bytes of a file that is not too large. Raises FolderRefused."""
    with unreadable_in_words(shown):
        refuse_too_large(path, shown, largest)
        return path.read_bytes()


def read_text(path: Path, shown: str, largest: int) -> str:
    """The text of a UTF-8 file, with or without a byte order mark. Raises FolderRefused naming the line."""
    content = read_bytes(path, shown, largest)
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise not_utf8(shown, content) from error


@contextmanager
def unreadable_in_words(shown: str) -> Iterator[None]:
    """An error of the file system inside the block becomes a FolderRefused."""
    try:
        yield
    except OSError as error:
        remedy = "look at its permissions and at the disk"
        raise Place(shown).refuse(f"it cannot be read: {error.strerror}", remedy) from error


def not_utf8(shown: str, content: bytes) -> FolderRefused:
    """The error for bytes that are not UTF-8, naming the line on which they stand."""
    try:
        content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        found = content[error.start : error.start + 4].hex(" ")
        return Place(shown, line).refuse(f"bytes {found} are not UTF-8", "save the file as UTF-8")
    return Place(shown).refuse("it is not UTF-8", "save the file as UTF-8")

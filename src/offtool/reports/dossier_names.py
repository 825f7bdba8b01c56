"""Names of files that every system takes, and that no two files share whatever the case of their letters."""

from __future__ import annotations

import re
import unicodedata

LONGEST = 100
"""Signs of a name: with the folders before it, it stays below what old systems and archives take."""
_NOT_IN_NAMES = re.compile(r'[\x00-\x1f\x7f<>:"/\\|?*]')
_RESERVED = {"con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(1, 10))}
"""Devices of one of the systems, whatever their ending."""


def safe_name(name: str) -> str:
    """The name in one spelling, without signs that some system refuses, and no device's."""
    whole = unicodedata.normalize("NFC", name)
    printable = "".join(sign if sign.isprintable() else "-" for sign in whole)
    plain = _NOT_IN_NAMES.sub("-", printable).strip(". ") or "file"
    stem, dot, ending = plain.rpartition(".")
    stem, ending = (stem, f"{dot}{ending}") if stem and len(ending) <= 10 else (plain, "")
    stem = stem[: LONGEST - len(ending)].rstrip(". ") or "file"
    if stem.partition(".")[0].casefold().rstrip() in _RESERVED:
        stem = f"{stem}-file"
    return stem + ending


class NamesTaken:
    """Gives each file of a folder a name of its own."""

    def __init__(self) -> None:
        self._taken: set[str] = set()

    def name(self, folder: str, name: str, mark: str) -> str:
        """The path in a folder; where another file has it already, with a mark before the ending."""
        path = f"{folder}/{safe_name(name)}"
        stem, dot, ending = path.rpartition(".")
        stem, ending = (stem, f"{dot}{ending}") if "/" in stem else (path, "")
        tries = [path, f"{stem}_{mark}{ending}", *(f"{stem}_{mark}_{n}{ending}" for n in range(2, 1000))]
        found = next(one for one in tries if one.casefold() not in self._taken)
        self._taken.add(found.casefold())
        return found

"""A list of lots that were looked at, as it is typed or kept in a text file: size and bad pieces, by line."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from offtool.core.values import OfftoolError
from offtool.exchange.readings.decode import find_encoding

MOST_LOTS = 10_000
_PARTED = re.compile(r"[;,\t ]+")
_WHOLE = re.compile(r"\d{1,9}")
_REMEDY = "write the size of the lot and the bad pieces found in its sample, such as 2000; 1"


@dataclass(frozen=True, slots=True, kw_only=True)
class LotsFound:
    """Size of each lot, and what was found in its sample, in order."""

    lots: tuple[int, ...]
    found: tuple[int, ...]


def lots_in_file(content: bytes, name: str, *, lot: int | None = None) -> LotsFound:
    """The lots of a file of text. Raises OfftoolError that names the line."""
    encoding = find_encoding(content, name)
    return lots_in_text(content.decode(encoding.codec, errors="replace"), lot=lot, where=name)


def lots_in_text(text: str, *, lot: int | None = None, where: str = "") -> LotsFound:
    """The lots of a list: a line a lot, its size and what was found; with `lot` its size may be left out.

    A first line without digits is a heading, a line that begins with # a remark. Raises OfftoolError that
    names the line.
    """
    pairs = list(_pairs(text, lot, where))
    if not pairs:
        raise OfftoolError("there is no lot in it", where=where, remedy=_REMEDY)
    if len(pairs) > MOST_LOTS:
        raise OfftoolError(f"more than {MOST_LOTS:,} lots", where=where, remedy="leave out the oldest")
    return LotsFound(lots=tuple(one for one, _ in pairs), found=tuple(one for _, one in pairs))


def _pairs(text: str, lot: int | None, where: str) -> Iterator[tuple[int, int]]:
    is_first = True
    for number, line in enumerate(text.splitlines(), start=1):
        bare = line.strip()
        if not bare or bare.startswith("#") or (is_first and not re.search(r"\d", bare)):
            is_first = is_first and not bare
            continue
        is_first = False
        yield _pair(bare, lot, f"{where}, line {number}" if where else f"line {number}")


def _pair(line: str, lot: int | None, where: str) -> tuple[int, int]:
    pieces = [one for one in _PARTED.split(line) if one]
    odd = next((one for one in pieces if not _WHOLE.fullmatch(one)), None)
    if odd is not None:
        raise OfftoolError(f"{odd!r} is no whole number", where=where, remedy=_REMEDY)
    numbers = [int(one) for one in pieces]
    if len(numbers) == 1 and lot is not None:
        return lot, numbers[0]
    if len(numbers) != 2:
        what = "says no size of the lot" if len(numbers) == 1 else f"has {len(numbers)} numbers"
        raise OfftoolError(f"{line!r} {what}", where=where, remedy=_REMEDY)
    return numbers[0], numbers[1]

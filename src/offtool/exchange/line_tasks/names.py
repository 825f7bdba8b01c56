"""The names in one cell: several tasks or machines, by name or by the number that the table gives them."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping

from offtool.exchange.readings.text import one_line, plain
from offtool.exchange.readings.words import MISSING
from offtool.exchange.spreadsheet import read_safe_cell

_BETWEEN = re.compile(r"[;；、|\n]")
_LOOSE = re.compile(r"[,，/+&]")
_STATION = re.compile(r"\D*0*(?P<number>[1-9][0-9]{0,3})(?:[.,]0+)?")


def names_in(
    cell: str, known: Collection[str] = (), numbered: Mapping[str, str] | None = None
) -> tuple[str, ...]:
    """The names in a cell, once each.

    Parted by semicolons; by commas where that gives what is known and the whole does not. A number stands for
    the task that `numbered` gives it.
    """
    text = read_safe_cell(plain(cell).strip())
    if text.casefold() in MISSING:
        return ()
    found: list[str] = []
    for piece in [text] if text in known else _BETWEEN.split(text):
        found += _parted(one_line(piece), known, numbered or {})
    return tuple(dict.fromkeys(one for one in found if one))


def _parted(piece: str, known: Collection[str], numbered: Mapping[str, str]) -> list[str]:
    if piece in known:
        return [piece]
    if _number_in(piece) in numbered:
        return [numbered[_number_in(piece)]]
    pieces = [one.strip() for one in _LOOSE.split(piece)]
    named = [one if one in known else numbered.get(_number_in(one), "") for one in pieces]
    if len(pieces) > 1 and all(named):
        return named
    return [piece]


def _number_in(text: str) -> str:
    """3.0, as a workbook gives a number, is 3."""
    return re.sub(r"[.,]0+$", "", text)


def station_in(cell: str) -> int | None:
    """The number of a station: 3, "S3", "station 03"; None where there is none."""
    found = _STATION.fullmatch(read_safe_cell(plain(cell).strip()))
    return int(found["number"]) if found else None

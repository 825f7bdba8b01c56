"""Whether a concession still counts: it has an end, and what it does not cover it does not allow."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from offtool.core.values import ImpossibleInput


@dataclass(frozen=True, slots=True, kw_only=True)
class ConcessionGiven:
    """What was allowed: for which item of a line (none: all of it), until when or for how many pieces."""

    item: str
    given_on: date
    until: date | None
    pieces: int | None
    closed_on: date | None = None


def why_it_does_not_count(one: ConcessionGiven, *, on: date, made: int | None) -> str:
    """Why a concession allows nothing on that day; empty while it counts.

    `made` is how many pieces were made under it. Where it is for a number of pieces and nobody counted them,
    it counts: the count is then the reader's to keep. Raises ImpossibleInput for one without an end.
    """
    if one.until is None and one.pieces is None:
        raise ImpossibleInput(
            "until", None, "", "a concession has a last day, a number of pieces, or both", "give one of them"
        )
    if one.closed_on is not None and one.closed_on <= on:
        return f"closed on {one.closed_on:%Y-%m-%d}"
    if one.given_on > on:
        return f"given from {one.given_on:%Y-%m-%d} on"
    if one.until is not None and on > one.until:
        return f"its last day was {one.until:%Y-%m-%d}"
    if one.pieces is not None and made is not None and made >= one.pieces:
        return f"its {one.pieces:,} pieces are made"
    return ""


def covers(named: str, item: str) -> bool:
    """Whether a concession that names an item is given for this one; one that names none is for the line.

    One for HO-04 2 is for HO-04 2, cavity 3 too; one for a cavity is for that cavity alone.
    """
    own, asked = _plain(named), _plain(item)
    return not own or own == asked or asked.startswith(f"{own},")


def _plain(words: str) -> str:
    return " ".join(words.casefold().split())

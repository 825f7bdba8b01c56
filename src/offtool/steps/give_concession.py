"""Give a concession on a line of the release review, and end it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from offtool.core.pilot.release import covers
from offtool.core.values import OfftoolError, nearest
from offtool.records.models import Concession, Programme
from offtool.records.operations import NewConcession
from offtool.records.operations import close_concession as close
from offtool.records.operations import give_concession as give
from offtool.records.queries import concessions_of, find_programme
from offtool.records.queries.finding import NotInRecord
from offtool.steps.review_ground import ReviewGround
from offtool.steps.review_lines import LinesOfReview
from offtool.steps.review_list import NOT_CONCEDED, AskedLine, review_list

MOST_ITEMS = 12
"""Items of a line that a refusal names; those that are not met come first."""
LACKS = {
    "amount": ("it is not said how far it may be off", "say it, such as: down to 3.97 mm in cavity 3"),
    "reason": ("no reason is given", "say why it is given"),
    "approved_by": ("nobody approves it", "the person who approves it types their name"),
}
"""What a concession cannot be without, with what is said and asked where it lacks."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ConcessionSaid:
    """A concession as the person who approves it gives it."""

    code: str
    amount: str
    reason: str
    approved_by: str
    given_on: date
    item: str = ""
    """What it is about in particular, as the review names it; empty for the whole line."""
    until: date | None = None
    pieces: int | None = None
    risk: str = ""


def give_concession(programme: str, said: ConcessionSaid, *, made_by: str) -> int:
    """Keep a concession; its number, by which it can be ended.

    Raises NotInRecord for an unknown programme; OfftoolError for a line that the list does not have, for one
    that the law asks, for an item that the line does not have, and without an amount, a reason, the name of a
    person, or an end.
    """
    found = find_programme(programme)
    asked = next((one for one in review_list(found).asked if one.code == said.code), None)
    if asked is not None:
        _refuse_not_conceded(asked)
    if said.until is None and said.pieces is None:
        raise OfftoolError(
            "it has no end", where="until", remedy="say until which day it is valid, or for how many pieces"
        )
    for name, (lacks, remedy) in LACKS.items():
        if not getattr(said, name).strip():
            raise OfftoolError(lacks, where=name, remedy=remedy)
    if asked is not None and said.item.strip():
        _refuse_no_such_item(programme, asked, said)
    new = NewConcession(
        code=said.code,
        item=said.item,
        amount=said.amount,
        until=said.until,
        pieces=said.pieces,
        reason=said.reason,
        risk=said.risk,
        approved_by=said.approved_by,
        given_on=said.given_on,
    )
    return give(found, new, made_by=made_by).pk


def _refuse_not_conceded(asked: AskedLine) -> None:
    why = NOT_CONCEDED.get(asked.fed_by, "")
    if why:
        raise OfftoolError(
            why, where="code", remedy=f"bring {asked.code} in order, and give the evidence of it"
        )


def _refuse_no_such_item(programme: str, asked: AskedLine, said: ConcessionSaid) -> None:
    """A concession for what no line names would be kept, and would cover nothing."""
    line = LinesOfReview(ReviewGround(programme, said.given_on)).line(asked)
    if any(covers(said.item, one.item) for one in line.facts):
        return
    named = list(dict.fromkeys(one.item for one in line.facts))
    more = len(named) - MOST_ITEMS
    items = "; ".join(named[:MOST_ITEMS]) + (f"; and {more} more" if more > 0 else "")
    whole = "leave it out for the whole line"
    raise OfftoolError(
        f"line {asked.code} names no {said.item.strip()!r}",
        where="item",
        remedy=f"it names: {items}; or {whole}" if named else whole,
    )


def close_concession(programme: str, key: int, *, on: date, because: str, made_by: str) -> str:
    """End a concession, such as when what was off is in order. Returns the code of its line.

    Raises NotInRecord where it is not there; OfftoolError without a reason or the second time.
    """
    one = _concession(find_programme(programme), key)
    close(one, on, because, made_by=made_by)
    return one.code


def _concession(programme: Programme, key: int) -> Concession:
    given = concessions_of(programme)
    found = next((one for one in given if one.pk == key), None)
    if found is None:
        raise NotInRecord(f"no concession {key}", remedy=nearest(str(key), [str(one.pk) for one in given]))
    return found

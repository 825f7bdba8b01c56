"""Give a concession on a line of the release review, and end it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from offtool.core.values import OfftoolError, nearest
from offtool.records.models import Concession, Programme
from offtool.records.operations import NewConcession
from offtool.records.operations import close_concession as close
from offtool.records.operations import give_concession as give
from offtool.records.queries import concessions_of, find_programme
from offtool.records.queries.finding import NotInRecord
from offtool.steps.review_list import NOT_CONCEDED, review_list


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
    that the law asks, and without an amount, a reason, the name of a person, or an end.
    """
    found = find_programme(programme)
    _refuse_not_conceded(found, said.code)
    if said.until is None and said.pieces is None:
        raise OfftoolError(
            "it has no end", where="until", remedy="say until which day it is valid, or for how many pieces"
        )
    for name, asked in (
        ("amount", "say how far it may be off"),
        ("reason", "say why it is given"),
        ("approved_by", "the person who approves it types their name"),
    ):
        if not getattr(said, name).strip():
            raise OfftoolError(f"no {name.replace('_', ' ')} is given", where=name, remedy=asked)
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


def _refuse_not_conceded(programme: Programme, code: str) -> None:
    asked = next((one for one in review_list(programme).asked if one.code == code), None)
    why = NOT_CONCEDED.get(asked.fed_by, "") if asked is not None else ""
    if why:
        raise OfftoolError(why, where="code", remedy=f"bring {code} in order, and give the evidence of it")


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

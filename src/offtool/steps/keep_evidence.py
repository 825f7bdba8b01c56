"""Give evidence for a line of the release review: a paper or a test, with its file where there is one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction

from offtool.core.values import OfftoolError, nearest
from offtool.handbook.terms import EvidenceSays
from offtool.records.models import Evidence, Programme, ToolState
from offtool.records.operations import NewEvidence
from offtool.records.operations import keep_evidence as keep
from offtool.records.operations import set_evidence_aside as put_aside
from offtool.records.queries import evidence_of, find_programme
from offtool.records.queries.finding import NotInRecord


@dataclass(frozen=True, slots=True, kw_only=True)
class EvidenceSaid:
    """A paper or a test as a person gives it."""

    code: str
    says: EvidenceSays
    tested_on: date
    lab: str = ""
    number: str = ""
    accredited: bool = False
    states: tuple[str, ...] = ()
    """The steel its pieces were of, such as M1 c; none: the newest on the day of the test."""
    note: str = ""
    instead_of: tuple[int, ...] = ()
    """Evidence that it takes the place of: that is set aside and stays to be seen."""


@dataclass(frozen=True, slots=True, kw_only=True)
class EvidenceKept:
    """What was kept, and what counts no longer for it."""

    programme: str
    code: str
    key: int
    file_name: str
    sha256: str
    instead_of: tuple[int, ...]


def keep_evidence(
    programme: str,
    said: EvidenceSaid,
    *,
    today: date,
    given_at: datetime,
    given_by: str,
    file_name: str = "",
    content: bytes = b"",
) -> EvidenceKept:
    """Keep a paper or a test that answers a line; it is never changed, only set aside with a reason.

    Raises NotInRecord for an unknown programme, state or evidence to replace; OfftoolError for a line that
    the list does not have, a day that is yet to come, and a file that is too large. Nothing is kept then.
    """
    found = find_programme(programme)
    if said.tested_on > today:
        raise OfftoolError(
            f"{said.tested_on} is yet to come", where="tested_on", remedy="give the day it was tested"
        )
    replaced = [find_evidence(found, key, code=said.code) for key in said.instead_of]
    new = NewEvidence(
        code=said.code,
        says=said.says,
        tested_on=said.tested_on,
        lab=said.lab,
        number=said.number,
        accredited=said.accredited,
        file_name=file_name,
        content=content,
        states=tuple(_state(found, words) for words in said.states),
        note=said.note,
    )
    with transaction.atomic():
        kept = keep(found, new, given_at=given_at, given_by=given_by)
        for one in replaced:
            named = said.number or file_name or f"the evidence of {said.tested_on}"
            put_aside(one, f"{named} takes its place", made_by=given_by)
    return EvidenceKept(
        programme=found.slug,
        code=kept.code,
        key=kept.pk,
        file_name=kept.file_name,
        sha256=kept.sha256,
        instead_of=said.instead_of,
    )


def set_evidence_aside(programme: str, key: int, *, reason: str, made_by: str) -> str:
    """Let a paper count no longer; it stays to be seen with the reason. Returns the code of its line.

    Raises NotInRecord where it is not there; OfftoolError without a reason or the second time.
    """
    one = find_evidence(find_programme(programme), key)
    put_aside(one, reason, made_by=made_by)
    return one.code


def find_evidence(programme: Programme, key: int, *, code: str = "") -> Evidence:
    """The evidence of this number, of that line where one is named. Raises NotInRecord."""
    here = [one for one in evidence_of(programme) if not code or one.code == code]
    found = next((one for one in here if one.pk == key), None)
    if found is None:
        raise NotInRecord(f"no evidence {key}", remedy=nearest(str(key), [str(one.pk) for one in here]))
    return found


def steel_states(programme: str) -> tuple[str, ...]:
    """The states of every tool as they are named, newest first: M1 c, M1 b … Raises NotInRecord."""
    return tuple(_named(one) for one in _states(find_programme(programme)))


def _state(programme: Programme, words: str) -> ToolState:
    known = {_named(one): one for one in _states(programme)}
    found = known.get(" ".join(words.split()))
    if found is None:
        raise NotInRecord(f"no state {words!r}", where="states", remedy=nearest(words, known))
    return found


def _states(programme: Programme) -> Sequence[ToolState]:
    rows = ToolState.objects.filter(tool__programme=programme).select_related("tool")
    return list(rows.order_by("tool__code", "-ordinal"))


def _named(state: ToolState) -> str:
    return f"{state.tool.code} {state.label}"

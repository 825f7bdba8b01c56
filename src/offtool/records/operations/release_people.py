"""What people say at a release: concessions, limit samples and signatures. The program signs nothing."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction

from offtool.core.values import OfftoolError
from offtool.handbook.terms import LimitKind, ReleaseWord, Role
from offtool.records.acting import acting_as
from offtool.records.models import Concession, LimitSample, LineStation, Programme, Sample, Signature
from offtool.records.operations.defining import written_row
from offtool.records.operations.line import a_reason
from offtool.records.operations.release import refuse_unknown_line, set_row_aside
from offtool.records.refusals import refusals_in_words


@dataclass(frozen=True, slots=True, kw_only=True)
class NewConcession:
    """Leave to ship with something off. `until` or `pieces` must be given, or both."""

    code: str
    item: str = ""
    """What it is about in particular; blank: the whole line."""
    amount: str
    """How far it may be off."""
    until: date | None = None
    pieces: int | None = None
    reason: str
    risk: str = ""
    approved_by: str
    given_on: date


def give_concession(programme: Programme, new: NewConcession, *, made_by: str) -> Concession:
    """Write a concession that a person gave. Returns it as kept.

    Raises OfftoolError for a line that the list does not have, and without an amount, a reason, a name, or an
    end: a day or a number of pieces.
    """
    refuse_unknown_line(programme, new.code)
    columns = {
        name: getattr(new, name)
        for name in ("code", "item", "amount", "until", "pieces", "reason", "risk", "approved_by", "given_on")
    }
    with refusals_in_words(new.code), acting_as(made_by), transaction.atomic():
        return written_row(Concession(programme=programme), columns)


def close_concession(concession: Concession, on: date, because: str, *, made_by: str) -> None:
    """End a concession on a day with a reason, such as that what was off is in order now.

    Raises OfftoolError without a reason, for a day before it was given, and for one that has ended.
    """
    reason = a_reason(because, "say why it ends")
    with refusals_in_words(concession.code), acting_as(made_by), transaction.atomic():
        current = Concession.objects.select_for_update().get(pk=concession.pk)
        if current.closed_on is not None:
            raise OfftoolError(
                f"the concession ended on {current.closed_on}", remedy="nothing more is to be done"
            )
        written_row(current, {"closed_on": on, "closed_because": reason})


@dataclass(frozen=True, slots=True, kw_only=True)
class NewLimitSample:
    """What a kept sample shows at a station, and who signed it."""

    sample: Sample
    kind: LimitKind
    station: LineStation | None = None
    area: str = ""
    accepts: str = ""
    signed_by: str
    signed_on: date
    valid_until: date | None = None


def define_limit_sample(programme: Programme, new: NewLimitSample, *, made_by: str) -> LimitSample:
    """Write that a kept sample shows what is accepted. Returns it as kept.

    Raises OfftoolError for a sample or a station of another programme, without a name, and for days out of
    order.
    """
    names = ("sample", "station", "area", "accepts", "signed_by", "signed_on", "valid_until")
    columns = {name: getattr(new, name) for name in names} | {"kind": new.kind.value}
    where = f"sample {new.sample.number}"
    with refusals_in_words(where), acting_as(made_by), transaction.atomic():
        return written_row(LimitSample(programme=programme), columns)


def withdraw_limit_sample(limit: LimitSample, because: str, *, made_by: str) -> None:
    """Let a limit sample count no longer; it stays in the record with the reason.

    Raises OfftoolError without a reason, and for one that is withdrawn already.
    """
    set_row_aside(limit, "withdrawn", because, f"limit sample {limit}", made_by=made_by)


def sign(
    programme: Programme,
    *,
    role: Role,
    person: str,
    states: ReleaseWord,
    fingerprint: str,
    signed_at: datetime,
    stood: str = "",
    note: str = "",
) -> Signature:
    """Keep what a person states of the review with this fingerprint. Returns it as kept.

    `stood` is the review as it stood, for what changed since. Role and person are what that person typed;
    nothing stands in for them. Raises OfftoolError without a person, and for the same person and role twice
    for one review while the first stands.
    """
    if not person.strip():
        raise OfftoolError("nobody signs", remedy="the person who signs types their own name")
    columns = {
        "role": role.value,
        "person": person,
        "states": states.value,
        "fingerprint": fingerprint,
        "signed_at": signed_at,
        "stood": stood,
        "note": note,
    }
    with refusals_in_words(role.value), acting_as(person), transaction.atomic():
        Programme.objects.select_for_update().get(pk=programme.pk)
        same = programme.signatures.filter(role=role.value, person=person.strip(), fingerprint=fingerprint)
        if same.filter(withdrawn="").exists():
            raise OfftoolError(
                f"{person.strip()} has signed this review for {role.value}",
                remedy="withdraw that signature first",
            )
        return written_row(Signature(programme=programme), columns)


def withdraw_signature(signature: Signature, because: str, *, withdrawn_at: datetime, made_by: str) -> None:
    """Withdraw a signature; it stays in the record with the reason and the time.

    Raises OfftoolError without a reason, and for one that is withdrawn already.
    """
    set_row_aside(
        *(signature, "withdrawn", because, f"the signature of {signature.person}"),
        made_by=made_by,
        withdrawn_at=withdrawn_at,
    )

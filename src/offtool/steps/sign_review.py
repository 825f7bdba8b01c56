"""Sign a release review: a person states what they decide of it, as it stands. The program never signs."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from offtool.core.values import OfftoolError, nearest
from offtool.handbook.terms import ReleaseWord, Role
from offtool.records.operations import sign
from offtool.records.operations import withdraw_signature as withdraw
from offtool.records.queries import find_programme, signatures_of
from offtool.records.queries.finding import NotInRecord
from offtool.steps.review_found import ReleaseReview
from offtool.steps.review_release import review_release
from offtool.steps.review_signatures import RELEASES

LEAST_READ = 12
"""Characters of a fingerprint that name it for certain."""
NAMED = 3
"""Lines that a refusal names."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SignatureSaid:
    """What a person types: their own name, for what they sign, and what they state."""

    role: Role
    person: str
    states: ReleaseWord
    read: str
    """The fingerprint of the review that they read; a review that has changed meanwhile is not signed."""
    note: str = ""


def sign_review(programme: str, said: SignatureSaid, *, on: date, signed_at: datetime) -> ReleaseReview:
    """Keep what a person states of the review as it stands; the review with the signature.

    Raises NotInRecord for an unknown programme; OfftoolError without a name, for a review that changed since
    it was read, and for a release while a line does not hold, is stale or missing and no concession covers
    it, or without its concessions where there are some. That it is not released can always be signed.
    """
    review = review_release(programme, on)
    _refuse_unsigned(said)
    _refuse_changed(review, said)
    if said.states in RELEASES:
        _refuse_release(review, said)
    sign(
        find_programme(programme),
        role=said.role,
        person=said.person.strip(),
        states=said.states,
        fingerprint=review.fingerprint,
        signed_at=signed_at,
        stood=review.stood,
        note=said.note,
    )
    return review_release(programme, on)


def withdraw_signature(
    programme: str, key: int, *, reason: str, withdrawn_at: datetime, made_by: str
) -> None:
    """Withdraw a signature; it stays to be seen with the reason.

    Raises NotInRecord where it is not there; OfftoolError without a reason or the second time.
    """
    kept = signatures_of(find_programme(programme))
    found = next((one for one in kept if one.pk == key), None)
    if found is None:
        raise NotInRecord(f"no signature {key}", remedy=nearest(str(key), [str(one.pk) for one in kept]))
    withdraw(found, reason, withdrawn_at=withdrawn_at, made_by=made_by)


def _refuse_unsigned(said: SignatureSaid) -> None:
    if not said.person.strip():
        raise OfftoolError("nobody signs", where="person", remedy="the person who signs types their own name")


def _refuse_changed(review: ReleaseReview, said: SignatureSaid) -> None:
    if said.read != review.fingerprint:
        raise OfftoolError(
            "the review is not the one that was read",
            where="read",
            remedy="read it as it stands now, and sign that",
        )


def _refuse_release(review: ReleaseReview, said: SignatureSaid) -> None:
    if not review.may_be_released:
        named = "; ".join(review.why_not_released[:NAMED])
        more = len(review.why_not_released) - NAMED
        raise OfftoolError(
            f"it cannot be released: {named}" + (f"; and {more} more" if more > 0 else ""),
            where="states",
            remedy="bring these in order or under a concession; that it is not released can be signed now",
        )
    conceded = [one for one in review.concessions if one.counts]
    if conceded and said.states is ReleaseWord.RELEASED:
        raise OfftoolError(
            f"{len(conceded)} of its lines are under a concession",
            where="states",
            remedy=f"state {ReleaseWord.CONCESSIONS.value!r}",
        )

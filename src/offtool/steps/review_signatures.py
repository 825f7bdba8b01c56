"""What people have signed of a review, and whether it is still as it was then."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence

from offtool.core.pilot.release import LineAsItStands, Standing, changed_since, digests
from offtool.core.values import Verdict
from offtool.handbook.release_list import Fed
from offtool.handbook.terms import ReleaseWord, Role
from offtool.records.models import Signature
from offtool.steps.review_found import (
    ConcessionSeen,
    EvidenceSeen,
    ReviewFact,
    ReviewLine,
    ReviewTarget,
    SignatureSeen,
)
from offtool.steps.sentences import listed, sentence

ROLES_ASKED = (Role.TOOLING, Role.PRODUCT, Role.QUALITY, Role.PRODUCTION)
"""Who must have signed; common practice, no source."""
RELEASES = (ReleaseWord.RELEASED, ReleaseWord.CONCESSIONS)
"""What a person may state that lets production start."""


def as_they_stand(lines: Sequence[ReviewLine]) -> dict[str, LineAsItStands]:
    """What a signature is given on: every line but the signatures, without our wording or today's day."""
    return {
        one.code: LineAsItStands(standing=one.standing.value, facts=list(_rests_on(one)))
        for one in lines
        if one.fed_by is not Fed.SIGNATURES
    }


def _rests_on(line: ReviewLine) -> Iterator[tuple[str, ...]]:
    """What a line rests on, by what it says and not by where this record keeps it: a record that was written
    to a folder and read again has the same fingerprint.
    """
    for fact in line.facts:
        files = sorted(each.sha256 for each in fact.sources)
        yield fact.item, fact.standing.value, str(fact.day or ""), *files
    yield from (("evidence", *_paper(one)) for one in line.evidence)
    yield from (("concession", *_leave(one)) for one in line.concessions)
    if line.is_own or line.is_edited:  # what people ask is signed with; the words of the handbook are not
        yield "asked", line.asks, line.fed_by.value, *sorted(line.stale_by), str(line.stale_after_days)


def _paper(one: EvidenceSeen) -> tuple[str, ...]:
    said = (
        one.says.value,
        str(one.tested_on),
        one.lab,
        one.number,
        str(one.accredited),
        one.sha256,
        one.note,
    )
    return (*said, *sorted(one.states), str(bool(one.set_aside)))


def _leave(one: ConcessionSeen) -> tuple[str, ...]:
    ends = (str(one.until or ""), str(one.pieces or ""), str(one.given_on))
    return (one.item, one.amount, *ends, one.reason, one.risk, one.approved_by, str(one.counts))


def stood_as_text(lines: Mapping[str, LineAsItStands]) -> str:
    """The digest of every line as one text, kept with a signature."""
    return json.dumps(digests(lines), separators=(",", ":"))


def signatures_seen(
    kept: Sequence[Signature], fingerprint: str, stood: str, titles: Mapping[str, str]
) -> tuple[SignatureSeen, ...]:
    """Every signature, newest first; one stands while the review is as it was when it was given."""
    latest: set[str] = set()
    found = []
    for one in kept:
        found.append(_seen(one, fingerprint, stood, titles, is_latest=one.role not in latest))
        if not one.withdrawn:
            latest.add(one.role)
    return tuple(found)


def _seen(
    one: Signature, fingerprint: str, stood: str, titles: Mapping[str, str], *, is_latest: bool
) -> SignatureSeen:
    is_same = one.fingerprint == fingerprint
    changed = () if is_same else _changed(one, stood, titles)
    return SignatureSeen(
        key=one.pk,
        role=Role(one.role),
        person=one.person,
        states=ReleaseWord(one.states),
        signed_at=one.signed_at,
        stands=is_same and is_latest and not one.withdrawn,
        why_not=_why_not(one, is_same=is_same, is_latest=is_latest),
        changed=changed,
        note=one.note,
        withdrawn=one.withdrawn,
        fingerprint=one.fingerprint,
    )


def _why_not(one: Signature, *, is_same: bool, is_latest: bool) -> str:
    if one.withdrawn:
        return f"withdrawn: {one.withdrawn}"
    if not is_latest:
        return "signed again since"
    return "" if is_same else "the review has changed since"


def _changed(one: Signature, stood: str, titles: Mapping[str, str]) -> tuple[str, ...]:
    """Titles of the lines that changed; none where it was not kept how they stood."""
    if not one.stood:
        return ()
    codes = changed_since(json.loads(one.stood), json.loads(stood))
    return tuple(titles.get(code, code) for code in codes)


def roles_missing(signatures: Sequence[SignatureSeen]) -> tuple[Role, ...]:
    """Roles of which nobody's signature stands."""
    there = {one.role for one in signatures if one.stands}
    return tuple(role for role in ROLES_ASKED if role not in there)


def unsigned(roles: Sequence[Role]) -> str:
    """Whose signature is not there, in a sentence; empty where none lacks."""
    names = [one.value for one in roles]
    has = "has" if len(names) == 1 else "have"
    return sentence(f"{listed(names)} {has} not signed it as it stands") if names else ""


def of_more_roles(signatures: Sequence[SignatureSeen]) -> tuple[str, ...]:
    """Who signed for more than one role while both stand, in a sentence each: the reader judges it."""
    roles: dict[str, list[str]] = {}
    names: dict[str, str] = {}
    for one in reversed(signatures):
        if one.stands:
            key = " ".join(one.person.casefold().split())
            names.setdefault(key, one.person)
            roles.setdefault(key, []).append(one.role.value)
    return tuple(
        f"One person signed for {len(each)} roles: {names[key]} for {listed(each)}."
        for key, each in roles.items()
        if len(each) > 1
    )


def signature_facts(signatures: Sequence[SignatureSeen]) -> Iterator[ReviewFact]:
    """Role by role: signed and standing, signed on a review that has changed, or not signed."""
    for role in ROLES_ASKED:
        of_role = [one for one in signatures if one.role is role and not one.withdrawn]
        yield _of_role(role, of_role[0] if of_role else None)


def _of_role(role: Role, one: SignatureSeen | None) -> ReviewFact:
    target = ReviewTarget(page="sign_review")
    if one is None:
        return ReviewFact(
            item=role.value,
            words=f"{role.value} has not signed",
            standing=Standing.MISSING,
            target=target,
            again=f"Let {role.value} read the review and sign it.",
        )
    words = f"{one.person} for {role.value}, {one.signed_at:%Y-%m-%d %H:%M} UTC: {one.states.value}"
    if not one.stands:
        since = f": {', '.join(one.changed)}" if one.changed else ""
        words = f"{words}; {one.why_not}{since}"
        standing = Standing.STALE
    else:
        standing = Standing.HOLDS if one.states in RELEASES else Standing.FAILS
    return ReviewFact(
        item=role.value,
        words=words,
        standing=standing,
        verdict=Verdict.HOLDS if one.states in RELEASES else Verdict.FAILS,
        day=one.signed_at.date(),
        target=target,
        again="" if standing.is_met else f"Let {role.value} read the review as it stands now and sign again.",
    )

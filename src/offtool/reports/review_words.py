"""How a release review words its lines, papers, concessions and signatures on paper."""

from __future__ import annotations

from collections.abc import Sequence

from offtool.core.pilot.release import StaleBecause
from offtool.handbook.toy_law import MARKETS
from offtool.reports.words import day
from offtool.steps.review_found import (
    ChangeSeen,
    ConcessionSeen,
    EvidenceSeen,
    LimitSampleSeen,
    ReleaseReview,
    SignatureSeen,
)

EVERY_AGE = "age not said"


def product_in_words(review: ReleaseReview) -> str:
    """For whom it is: markets, ages, mass."""
    named = {str(market): words for market, words in MARKETS.items()}
    markets = ", ".join(named.get(one, one) for one in review.markets) or "market not said"
    mass = f"{review.mass_kg:g} kg" if review.mass_kg is not None else ""
    return "; ".join(filter(None, (markets, _ages(review), mass)))


def _ages(review: ReleaseReview) -> str:
    low, high = review.from_months, review.to_months
    if low is None:
        return EVERY_AGE
    return f"from {low:g} months" if high is None else f"from {low:g} to {high:g} months"


def paper_in_words(one: EvidenceSeen) -> str:
    """A paper or test that a person gave: what it says, of which day, by whom."""
    lab = f"{one.lab}{', accredited' if one.accredited else ''}" if one.lab else ""
    of = f"of {', '.join(one.states)}" if one.states else ""
    given = f"given by {one.given_by}" if one.given_by else ""
    told = (f"{one.says}, {day(one.tested_on)}", lab, one.number, of, given, one.note)
    return "; ".join(filter(None, told))


def paper_stands(one: EvidenceSeen) -> str:
    """Whether a paper counts, in words."""
    if one.set_aside:
        return f"set aside: {one.set_aside}"
    return f"stale: {stale_in_words(one.stale_because)}" if one.is_stale else "counts"


def stale_in_words(reasons: Sequence[StaleBecause]) -> str:
    """Which changes made it stale, each with its day."""
    return "; ".join(f"{one.words} ({day(one.on)})" if one.on is not None else one.words for one in reasons)


def concession_in_words(one: ConcessionSeen) -> list[str]:
    """A concession as a row: what, how far, until when, why, by whom, whether it counts."""
    ends = [f"until {day(one.until)}" if one.until else "", f"{one.pieces:,} pieces" if one.pieces else ""]
    why = f"{one.reason}; risk: {one.risk}" if one.risk else one.reason
    by = f"{one.approved_by}, {day(one.given_on)}"
    return [
        f"{one.code} {one.item}".rstrip(),
        one.amount,
        ", ".join(filter(None, ends)),
        why,
        by,
        "counts" if one.counts else one.why_not,
    ]


def limit_sample_in_words(one: LimitSampleSeen) -> list[str]:
    """A limit sample as a row: which piece, for what, what is accepted, who signed, how it stands."""
    until = f", valid until {day(one.valid_until)}" if one.valid_until else ""
    piece = f"{one.sample} {one.sample_name}".rstrip()
    where = f"{one.kind}, {one.station}" if one.station else str(one.kind)
    stands = f"withdrawn: {one.withdrawn}" if one.withdrawn else str(one.standing)
    signed = f"{one.signed_by}, {day(one.signed_on)}{until}"
    return [piece, where, one.area, one.accepts, signed, stands]


def change_in_words(one: ChangeSeen) -> list[str]:
    """A change as a row: when, what, in words, of what, who told it."""
    told = one.told_by if one.is_told else "read from the record of the steel"
    when = day(one.on) if one.on is not None else "day not known"
    words = f"{one.words} (set aside: {one.set_aside})" if one.set_aside else one.words
    return [when, str(one.what), words, one.about, told]


def signature_in_words(one: SignatureSeen) -> list[str]:
    """A signature as a row: role, person, statement, time, and whether it still stands."""
    if one.withdrawn:
        stands = f"withdrawn: {one.withdrawn}"
    elif one.stands:
        stands = "stands"
    else:
        changed = f"; changed since: {', '.join(one.changed)}" if one.changed else ""
        stands = f"does not stand: {one.why_not}{changed}"
    when = f"{day(one.signed_at.date())}, {one.signed_at:%H:%M %Z}".rstrip()
    note = f" {one.note}" if one.note else ""
    return [str(one.role), one.person, f"{one.states}{note}", when, stands]

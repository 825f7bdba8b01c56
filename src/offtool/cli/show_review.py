"""A release review on the terminal: may it start, what to do, the list, who has signed."""

from __future__ import annotations

from collections.abc import Iterator

from offtool.cli.shared_lines import bullets, cautions, counted, heading, sentence, steps
from offtool.cli.terminal import width
from offtool.cli.typeset import paragraph, table
from offtool.core.pilot.release import Standing
from offtool.handbook.release_list import Fed
from offtool.reports.words import day
from offtool.steps.review_found import (
    ConcessionSeen,
    EvidenceSeen,
    ReleaseReview,
    ReviewFact,
    ReviewLine,
    SignatureSeen,
)
from offtool.steps.review_papers import in_words
from offtool.steps.review_sentences import reasons_in_words
from offtool.steps.sentences import listed

SAY_IT = "by offtool safety {} --market US,EU --from-months 36"
"""How market and age are said; the only thing to do that belongs to no line."""
MOST_ACTIONS = 8
"""Things to do that are listed; --json has all."""
MOST_HELD = 3
"""Facts of a line that hold, and are listed."""


def review_lines(found: ReleaseReview) -> list[str]:
    """All lines of a review."""
    lines = [*sentence(found.headline), *sentence(_when(found))]
    if found.actions:
        lines += heading("What to do, in this order")
        lines += steps(
            [
                (one.words, f"for {one.code}" if one.code else SAY_IT.format(found.programme))
                for one in found.actions[:MOST_ACTIONS]
            ]
        )
        more = len(found.actions) - MOST_ACTIONS
        lines += [f"     and {more} more after these"] if more > 0 else []
    lines += [
        *heading("The list"),
        *table([[one.code, _stands(one)] for one in found.lines], width=width(), indent=2),
    ]
    if found.not_asked:
        lines += [*heading("Not asked"), *bullets([f"{one.title}: {one.why}" for one in found.not_asked])]
    if found.signatures:
        signed = [*map(signature_in_words, found.signatures), *found.of_more_roles]
        lines += [*heading("Signatures"), *bullets(signed)]
    lines += [*heading("To sign"), *bullets([f"this review is {found.fingerprint[:16]}", *_why_not(found)])]
    return [*lines, *cautions(found.cautions)]


def _when(found: ReleaseReview) -> str:
    due = f"; release is asked for by {day(found.release_due)}" if found.release_due is not None else ""
    return f"{found.programme_title}, as the record stands on {day(found.on)}{due}."


def _stands(one: ReviewLine) -> str:
    """Standing and reason of a line."""
    if one.standing is Standing.HOLDS:
        return f"holds{f', since {day(one.since)}' if one.since is not None else ''}"
    return f"{one.standing.value}: {one.because}"


def _why_not(found: ReleaseReview) -> list[str]:
    if found.may_be_released:
        roles = listed([one.value for one in found.roles_missing])
        return [f"still to sign: {roles}"] if roles else ["all have signed"]
    against = counted(sum(not one.holds and one.fed_by is not Fed.SIGNATURES for one in found.lines), "line")
    unsaid = f", and it is not said {listed(found.unsaid)}" if found.unsaid else ""
    said = f"it cannot be signed as released: {against} against it{unsaid}"
    return [f"{said}; that it is not released can be signed"]


def signature_in_words(one: SignatureSeen) -> str:
    """Who stated what, when, and whether it stands."""
    stands = "stands" if one.stands else one.why_not
    changed = f": {listed(one.changed)}" if one.changed and not one.stands else ""
    when = f"{one.signed_at:%Y-%m-%d %H:%M} UTC"
    return f"{one.key}: {one.person} for {one.role.value}, {when}, {one.states.value}; {stands}{changed}"


def line_lines(found: ReleaseReview, line: ReviewLine) -> list[str]:
    """One line with every fact that stands against it."""
    lines = [
        *sentence(f"{line.words}."),
        *sentence(f"It asks: {line.asks}. Answered by: {line.fed_by.value}."),
    ]
    lines += sentence(_stale_by(line))
    todo = list(dict.fromkeys(one.again for one in line.facts if one.again))
    lines += [*heading("What to do"), *steps([(one, "") for one in todo])] if todo else []
    lines += [*heading("By what it stands so"), *_facts(line)]
    if line.evidence:
        lines += [*heading("Evidence"), *bullets([evidence_in_words(one) for one in line.evidence])]
    if line.concessions:
        lines += [*heading("Concessions"), *bullets([concession_in_words(one) for one in line.concessions])]
    return [*lines, *cautions(line.cautions)]


def _stale_by(line: ReviewLine) -> str:
    changes = listed([one.value for one in line.stale_by]) or "nothing"
    age = f" and after {line.stale_after_days} days" if line.stale_after_days is not None else ""
    edited = f" Edited here: {line.edited_because.removesuffix('.')}." if line.edited_because else ""
    return f"Stale after a change of {changes}{age}. Source: {line.source}.{edited}"


def _facts(line: ReviewLine) -> Iterator[str]:
    """The facts that stand against it, then the first of those that hold."""
    open_ = [one for one in line.facts if not one.is_met]
    held = [one for one in line.facts if one.is_met]
    shown = [*open_, *(held if len(held) <= MOST_HELD or not open_ else [])]
    for one in shown:
        yield from paragraph(_fact(one), width=width(), indent="    ", first="  - ")
    if len(shown) < len(line.facts):
        yield f"  - {counted(len(line.facts) - len(shown), 'other')} hold"
    if not line.facts:
        yield "  - nothing in the record speaks of it"


def _fact(one: ReviewFact) -> str:
    stale = f"; since then {reasons_in_words(one.stale_because)}" if one.stale_because else ""
    under = f"; {one.under}" if one.under else ""
    return f"{one.standing.value}: {one.words}{stale}{under}"


def evidence_in_words(one: EvidenceSeen) -> str:
    """A paper with its number, by which it is set aside."""
    reasons = reasons_in_words(one.stale_because)
    state = f"set aside: {one.set_aside}" if one.set_aside else f"stale: {reasons}" if reasons else "counts"
    file = f", file {one.file_name}" if one.file_name else ""
    return f"{one.key}: {in_words(one)}: {one.says.value}{file}; {state}"


def concession_in_words(one: ConcessionSeen) -> str:
    """A concession with its number, by which it is ended."""
    return f"{one.key}: {one.words}; {'counts' if one.counts else f'counts no more: {one.why_not}'}"

"""What people gave as evidence: papers and tests, and what they answer of a line."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from functools import cached_property

from offtool.core.pilot.release import StaleBecause, Standing
from offtool.core.values import Verdict
from offtool.handbook.release_list import RELEASE_LIST, Change, Fed
from offtool.handbook.terms import EvidenceSays
from offtool.records.models import Evidence
from offtool.records.queries import evidence_of
from offtool.steps.review_found import (
    EvidenceSeen,
    ReviewFact,
    ReviewSource,
    ReviewTarget,
    SourceKind,
)
from offtool.steps.review_ground import ReviewGround
from offtool.steps.review_list import AskedLine
from offtool.steps.sentences import listed

ACCREDITED = frozenset(one.code for one in RELEASE_LIST if one.accredited)
"""Lines that only the paper of an accredited laboratory answers."""
PAPERS = "papers"
NOT_ACCREDITED = "the laboratory is not said to be accredited, which this line asks"
STEEL_UNSAID = "steel of its pieces not said, taken by its day"
ONLY_PAPERS = {
    Fed.MATERIAL: "the papers of every resin, colourant, paint and ink",
    Fed.COLOUR: "the readings of every colour beside its limit of the signed sample",
    Fed.DECORATION: "place, cover, adhesion and rub of paint and print",
    Fed.PACKAGING: "the drops of the packed carton",
    Fed.CERTIFICATE: "the report of the laboratory and what the law asks beside it",
    Fed.PLAN: "the control plan and the work instructions as the pilot ran",
    Fed.TOOL_BOOK: "spares, and what was welded or inserted",
}
"""Lines that the record does not measure itself, and what the paper is to show."""


class EvidenceGiven:
    """All evidence of a programme beside the lines that it answers."""

    def __init__(self, ground: ReviewGround) -> None:
        self.ground = ground

    @cached_property
    def _by_code(self) -> Mapping[str, list[Evidence]]:
        found: dict[str, list[Evidence]] = {}
        for one in evidence_of(self.ground.programme):
            found.setdefault(one.code, []).append(one)
        return found

    def seen(self, asked: AskedLine) -> tuple[EvidenceSeen, ...]:
        """The evidence of a line, newest first, also what was set aside."""
        kept = sorted(
            self._by_code.get(asked.code, []), key=lambda one: (one.tested_on, one.pk), reverse=True
        )
        return tuple(self._seen(asked, one) for one in kept)

    def _seen(self, asked: AskedLine, one: Evidence) -> EvidenceSeen:
        stale = self._stale(asked, one)
        return EvidenceSeen(
            key=one.pk,
            says=EvidenceSays(one.says),
            tested_on=one.tested_on,
            lab=one.lab,
            number=one.number,
            accredited=one.accredited,
            states=tuple(f"{each.state.tool.code} {each.state.label}" for each in one.states.all()),
            file_name=one.file_name,
            sha256=one.sha256,
            note=one.note,
            given_by=one.given_by,
            given_at=one.given_at,
            is_stale=bool(stale),
            stale_because=stale,
            set_aside=one.set_aside,
        )

    def _stale(self, asked: AskedLine, one: Evidence) -> tuple[StaleBecause, ...]:
        states = {each.state.tool_id: each.state.ordinal for each in one.states.all()}
        return self.ground.made_stale(asked, one.tested_on, ordinals=states)


def paper_facts(asked: AskedLine, seen: Sequence[EvidenceSeen]) -> Iterator[ReviewFact]:
    """Each paper that counts; for a line that only papers answer, what is missing where there is none."""
    counting = [one for one in seen if not one.set_aside]
    yield from (_paper(asked, one) for one in counting)
    if asked.fed_by in ONLY_PAPERS and not counting:
        wanted = _own_words(asked) if asked.is_own else ONLY_PAPERS[asked.fed_by]
        yield ReviewFact(
            item=PAPERS,
            words=f"no evidence is given of {wanted}",
            standing=Standing.MISSING,
            again=f"Give evidence of {wanted}.",
        )


def _own_words(asked: AskedLine) -> str:
    """What a line of the programme's own asks, else what it is called."""
    return f"{asked.title}: {asked.asks.strip().removesuffix('.')}" if asked.asks.strip() else asked.title


def _by_its_day(asked: AskedLine, one: EvidenceSeen) -> str:
    """Of which steel the pieces were, where it counts and nobody said it."""
    if one.states or Change.STEEL not in asked.stale_by:
        return ""
    return f"; {STEEL_UNSAID}"


def _paper(asked: AskedLine, one: EvidenceSeen) -> ReviewFact:
    verdict = Verdict.HOLDS if one.says is EvidenceSays.HOLDS else Verdict.FAILS
    lacks = asked.code in ACCREDITED and not one.accredited and verdict is Verdict.HOLDS
    standing = Standing.FAILS if verdict is Verdict.FAILS else _standing(one, lacks=lacks)
    return ReviewFact(
        item=named(one),
        words=f"{in_words(one)}: {one.says.value}"
        + (f"; {NOT_ACCREDITED}" if lacks else "")
        + _by_its_day(asked, one),
        standing=standing,
        verdict=verdict,
        day=one.tested_on,
        target=ReviewTarget(page="review_evidence", names=(str(one.key),)) if one.file_name else None,
        stale_because=one.stale_because,
        again="" if standing.is_met else _again(asked, one, lacks=lacks),
        sources=_sources(one),
    )


def _standing(one: EvidenceSeen, *, lacks: bool) -> Standing:
    if lacks:
        return Standing.MISSING
    return Standing.STALE if one.is_stale else Standing.HOLDS


def _again(asked: AskedLine, one: EvidenceSeen, *, lacks: bool) -> str:
    if one.says is EvidenceSays.FAILS:
        return f"Put right what {named(one)} found, test again, and give the new evidence in its place."
    if lacks:
        return f"Have an accredited laboratory test for {asked.title}."
    return f"Test again for {asked.title[:1].lower()}{asked.title[1:]}, with pieces as they are made now."


def _sources(one: EvidenceSeen) -> tuple[ReviewSource, ...]:
    if not one.file_name:
        return ()
    return (ReviewSource(kind=SourceKind.EVIDENCE, key=one.key, file_name=one.file_name, sha256=one.sha256),)


def named(one: EvidenceSeen) -> str:
    """What a paper is called: its number, else its file, else its day."""
    return one.number or one.file_name or f"evidence of {one.tested_on:%Y-%m-%d}"


def in_words(one: EvidenceSeen) -> str:
    """Number, laboratory, day and pieces of a paper."""
    lab = f" of {one.lab}" if one.lab else ""
    sure = ", accredited" if one.accredited else ""
    states = f", on {listed(one.states)}" if one.states else ""
    note = f" ({one.note.strip().removesuffix('.')})" if one.note.strip() else ""
    when = f", {one.tested_on:%Y-%m-%d}" if one.number or one.file_name else ""
    return f"{named(one)}{lab}{sure}{when}{states}{note}"


def answered(
    facts: Sequence[ReviewFact], papers: Sequence[EvidenceSeen], asked: AskedLine
) -> tuple[ReviewFact, ...]:
    """Facts that nothing shows, answered by a paper that counts and is not stale.

    What was measured and does not hold stays so whatever a paper says: that takes a concession. What a line
    asks of people, signatures and findings, no paper answers. A paper that names its steel answers for the
    tools that it names, and for no other.
    """
    if asked.fed_by in (*ONLY_PAPERS, Fed.SIGNATURES, Fed.FINDINGS):
        return tuple(facts)
    good = [one for one in papers if not (one.set_aside or one.is_stale) and one.says is EvidenceSays.HOLDS]
    return tuple(_answered(one, good) for one in facts)


def _answered(fact: ReviewFact, papers: Sequence[EvidenceSeen]) -> ReviewFact:
    if fact.standing not in (Standing.MISSING, Standing.STALE):
        return fact
    paper = next((one for one in papers if _is_of(one, fact)), None)
    if paper is None:
        return fact
    return replace(
        fact,
        standing=Standing.HOLDS,
        words=f"{fact.words}; answered by {in_words(paper)}",
        again="",
        stale_because=(),
        sources=(*fact.sources, *_sources(paper)),
    )


def _is_of(paper: EvidenceSeen, fact: ReviewFact) -> bool:
    """Whether a paper is of every tool that the fact speaks of."""
    named = {one.rpartition(" ")[0] for one in paper.states}
    return not named or named.issuperset(fact.tools)

"""The lines of a review: what feeds each, what a concession covers, and how it stands."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import cached_property

from offtool.core.pilot.release import (
    ConcessionGiven,
    StaleBecause,
    Standing,
    covers,
    why_it_does_not_count,
    worst,
)
from offtool.handbook.release_list import Fed
from offtool.handbook.toy_law import LAW_DECIDES
from offtool.records.models import Concession
from offtool.records.queries import concessions_of, pilots_of
from offtool.steps.review_found import ConcessionSeen, EvidenceSeen, ReviewFact, ReviewLine, oldest
from offtool.steps.review_gauges import gauge_facts
from offtool.steps.review_ground import ReviewGround
from offtool.steps.review_joints import aged_facts, fresh_facts, seam_facts
from offtool.steps.review_limit_samples import limit_sample_facts
from offtool.steps.review_list import NOT_CONCEDED, OF_THE_LAW, AskedLine
from offtool.steps.review_papers import EvidenceGiven, answered, paper_facts
from offtool.steps.review_pilot import rate_facts, yield_facts
from offtool.steps.review_press import finding_facts, steel_facts
from offtool.steps.review_safety import small_part_facts, toy_test_facts
from offtool.steps.review_sentences import because, line_words
from offtool.steps.review_sizes import capability_facts, size_facts, weight_facts

Feed = Callable[[ReviewGround, AskedLine], Iterator[ReviewFact]]

FEEDS: Mapping[Fed, Feed] = {
    Fed.SIZES: size_facts,
    Fed.CAPABILITY: capability_facts,
    Fed.GAUGE: gauge_facts,
    Fed.WEIGHT: weight_facts,
    Fed.JOINT_FRESH: fresh_facts,
    Fed.JOINT_AGED: aged_facts,
    Fed.SEAM: seam_facts,
    Fed.TOY_TESTS: toy_test_facts,
    Fed.SMALL_PARTS: small_part_facts,
    Fed.RATE: rate_facts,
    Fed.YIELD: yield_facts,
    Fed.FINDINGS: finding_facts,
    Fed.LIMIT_SAMPLES: limit_sample_facts,
    Fed.TOOL_BOOK: steel_facts,
}
"""What of the record answers a line; the others are answered by papers, and the last by people."""


class LinesOfReview:
    """Every line that is asked, worked out once; signatures come afterwards."""

    def __init__(self, ground: ReviewGround) -> None:
        self.ground, self.papers = ground, EvidenceGiven(ground)

    def line(self, asked: AskedLine) -> ReviewLine:
        """One line by what feeds it, its papers and its concessions."""
        seen = self.papers.seen(asked)
        feed = FEEDS.get(asked.fed_by)
        measured = answered(tuple(feed(self.ground, asked)) if feed else (), seen, asked)
        return self.of_facts(asked, (*measured, *paper_facts(asked, seen)), seen)

    def of_facts(
        self, asked: AskedLine, facts: Iterable[ReviewFact], seen: Sequence[EvidenceSeen] = ()
    ) -> ReviewLine:
        """The line of these facts, under its concessions."""
        given = tuple(self._concession(one, asked) for one in self._given.get(asked.code, ()))
        covered = tuple(_covered(one, given) for one in facts)
        standing = worst(one.standing for one in covered)
        ordered = tuple(sorted(covered, key=lambda one: list(Standing).index(one.standing)))
        return ReviewLine(
            code=asked.code,
            title=asked.title,
            asks=asked.asks,
            fed_by=asked.fed_by,
            standing=standing,
            words=line_words(asked.title, standing, ordered),
            because=because(standing, ordered),
            since=oldest(one.day for one in covered),
            facts=ordered,
            stale_because=_reasons(covered),
            concessions=given,
            evidence=tuple(seen),
            to_do=next((one.again for one in ordered if one.again), ""),
            source=asked.source,
            stale_by=asked.stale_by,
            stale_after_days=asked.stale_after_days,
            is_own=asked.is_own,
            is_edited=asked.is_edited,
            edited_because=asked.edited_because,
            cautions=(LAW_DECIDES,) if asked.fed_by in OF_THE_LAW else (),
        )

    @cached_property
    def _given(self) -> Mapping[str, list[Concession]]:
        """Every concession by the line that it is for."""
        found: dict[str, list[Concession]] = {}
        for one in concessions_of(self.ground.programme):
            found.setdefault(one.code, []).append(one)
        return found

    def _concession(self, one: Concession, asked: AskedLine) -> ConcessionSeen:
        given = ConcessionGiven(
            item=one.item,
            given_on=one.given_on,
            until=one.until,
            pieces=one.pieces,
            closed_on=one.closed_on,
        )
        why = why_it_does_not_count(given, on=self.ground.on, made=self._made_since(one))
        why = NOT_CONCEDED.get(asked.fed_by, "") or why
        return ConcessionSeen(
            key=one.pk,
            code=one.code,
            item=one.item,
            amount=one.amount,
            until=one.until,
            pieces=one.pieces,
            reason=one.reason,
            risk=one.risk,
            approved_by=one.approved_by,
            given_on=one.given_on,
            counts=not why,
            why_not=why,
            words=_in_words(one),
            closed_because=one.closed_because,
        )

    def _made_since(self, one: Concession) -> int:
        """Pieces that pilots started from the day it was given on: the only ones that the record counts."""
        pilots = pilots_of(self.ground.programme)
        return sum(
            pilot.pieces or 0 for pilot in pilots if pilot.ran_on is not None and pilot.ran_on >= one.given_on
        )


def _covered(fact: ReviewFact, given: Sequence[ConcessionSeen]) -> ReviewFact:
    """A fact that is not met, under a concession that counts and is given for it."""
    if fact.is_met:
        return fact
    for one in given:
        if one.counts and covers(one.item, fact.item):
            return replace(fact, standing=Standing.CONCESSION, under=one.words, again="")
    return fact


def _in_words(one: Concession) -> str:
    until = f"until {one.until:%Y-%m-%d}" if one.until is not None else ""
    pieces = f"for {one.pieces:,} pieces" if one.pieces is not None else ""
    ends = " and ".join(filter(None, (until, pieces)))
    about = f"{one.item or 'the whole line'}: "
    return f"{about}{one.amount}, {ends}, given by {one.approved_by} on {one.given_on:%Y-%m-%d}: {one.reason}"


def _reasons(facts: Sequence[ReviewFact]) -> tuple[StaleBecause, ...]:
    """Every reason why facts of the line are stale, each once."""
    stale = (one for fact in facts if fact.standing is Standing.STALE for one in fact.stale_because)
    return tuple(dict.fromkeys(stale))

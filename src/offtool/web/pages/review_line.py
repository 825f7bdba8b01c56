"""The page of one line of a release review: every fact behind it, its papers and its concessions."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django.urls import reverse

from offtool.core.values import Caution
from offtool.reports.words import day
from offtool.steps.findings import Fact
from offtool.steps.review_found import ConcessionSeen, EvidenceSeen, ReleaseReview, ReviewLine
from offtool.steps.review_list import NOT_CONCEDED
from offtool.steps.review_papers import in_words, named
from offtool.steps.sentences import listed, sentence
from offtool.web.forms.judging import SetAsideForm
from offtool.web.pages.frame import AS_JSON, Frame
from offtool.web.pages.review import MARK, FactRow, fact_row, review_frame


@dataclass(frozen=True, slots=True, kw_only=True)
class EvidenceRow:
    """One paper, and the form that sets it aside."""

    key: int
    title: str
    words: str
    says: str
    mark: str
    state: str
    href: str
    file: str
    form: Any
    """None where it is set aside already."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ConcessionRow:
    """One concession, and the form that ends it."""

    key: int
    words: str
    risk: str
    mark: str
    state: str
    form: Any
    """None where it has ended."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReviewLinePage:
    """One line of the review."""

    frame: Frame
    when: str
    mark: str
    word: str
    headline: str
    because: str
    todo: tuple[str, ...]
    rests_on: tuple[Fact, ...]
    cautions: tuple[Caution, ...]
    facts: tuple[FactRow, ...]
    evidence: tuple[EvidenceRow, ...]
    concessions: tuple[ConcessionRow, ...]
    evidence_href: str
    concession_href: str
    no_concession: str
    """Why none can be given here; empty where one can."""
    change_href: str
    review_href: str
    method: str


def review_line_page(
    found: ReleaseReview,
    code: str,
    *,
    made_by: str = "",
    refused: Mapping[tuple[str, int], SetAsideForm] | None = None,
) -> ReviewLinePage:
    """The page of a line; `refused` has the form of the paper or concession that could not be ended."""
    line = found.line(code)
    forms = _Forms(made_by, refused or {})
    names = [found.programme, code]
    return ReviewLinePage(
        frame=review_frame(found, here=line.title, as_json=AS_JSON),
        when=f"{found.programme_title}, release review, as the record stands on {day(found.on)}",
        mark=MARK[line.standing],
        word=line.standing.value,
        headline=sentence(line.words),
        because=line.because,
        todo=tuple(dict.fromkeys(one.again for one in line.facts if one.again)),
        rests_on=tuple(_rests_on(line)),
        cautions=line.cautions,
        facts=tuple(fact_row(one, found.programme) for one in line.facts),
        evidence=tuple(_evidence(one, found.programme, forms) for one in line.evidence),
        concessions=tuple(_concession(one, forms) for one in line.concessions),
        evidence_href=reverse("give_evidence", args=names),
        concession_href=reverse("give_concession", args=names),
        no_concession=sentence(NOT_CONCEDED[line.fed_by]) if line.fed_by in NOT_CONCEDED else "",
        change_href=reverse("review_edit_line", args=names),
        review_href=reverse("review", args=[found.programme]),
        method=found.method,
    )


@dataclass(frozen=True, slots=True)
class _Forms:
    """Forms that end something, each with the error that it was refused with."""

    made_by: str
    refused: Mapping[tuple[str, int], SetAsideForm]

    def of(self, kind: str, key: int) -> SetAsideForm:
        fresh = SetAsideForm(initial={"made_by": self.made_by}, auto_id=f"{kind}{key}_%s")
        return self.refused.get((kind, key), fresh)


def _rests_on(line: ReviewLine) -> Iterator[Fact]:
    yield Fact(about="It asks", says=line.asks)
    yield Fact(about="Answered by", says=line.fed_by.value)
    stale = listed([one.value for one in line.stale_by]) or "nothing"
    age = f", and after {line.stale_after_days} days" if line.stale_after_days is not None else ""
    yield Fact(about="Stale after a change of", says=f"{stale}{age}")
    yield Fact(about="Source", says=line.source)
    if line.since is not None:
        yield Fact(about="Oldest day it rests on", says=day(line.since))
    if line.is_own or line.is_edited:
        whose = "a line of this programme" if line.is_own else "edited here"
        why = f": {line.edited_because}" if line.edited_because else ""
        yield Fact(about="The list", says=f"{whose}{why}")


def _evidence(one: EvidenceSeen, programme: str, forms: _Forms) -> EvidenceRow:
    reasons = "; ".join(dict.fromkeys(each.words for each in one.stale_because))
    state = f"set aside: {one.set_aside}" if one.set_aside else f"stale: {reasons}" if reasons else "counts"
    return EvidenceRow(
        key=one.key,
        title=named(one),
        words=in_words(one),
        says=one.says.value,
        mark="" if one.set_aside else "doubt" if reasons else "yes",
        state=state,
        href=reverse("review_evidence", args=[programme, one.key]) if one.file_name else "",
        file=one.file_name,
        form=None if one.set_aside else forms.of("evidence", one.key),
    )


def _concession(one: ConcessionSeen, forms: _Forms) -> ConcessionRow:
    ended = f"{one.why_not}; {one.closed_because}" if one.closed_because else one.why_not
    return ConcessionRow(
        key=one.key,
        words=one.words,
        risk=one.risk,
        mark="yes" if one.counts else "doubt",
        state="counts" if one.counts else f"counts no more: {ended}",
        form=forms.of("concession", one.key) if one.counts else None,
    )

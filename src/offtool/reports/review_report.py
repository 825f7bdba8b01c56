"""The whole release review as one PDF: verdict, index, every line with its facts and papers, signatures."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from offtool.core.pilot.release import Standing
from offtool.core.values import Caution
from offtool.handbook.release_list import Fed
from offtool.handbook.toy_law import LAW_DECIDES
from offtool.reports.plain_text import printable_rows
from offtool.reports.review_words import (
    change_in_words,
    concession_in_words,
    limit_sample_in_words,
    paper_in_words,
    paper_stands,
    product_in_words,
    signature_in_words,
    stale_in_words,
)
from offtool.reports.typeset import typeset
from offtool.reports.words import NONE, day
from offtool.steps.dossier import Dossier, paper
from offtool.steps.review_found import ReleaseReview, ReviewFact, ReviewLine, ReviewSource
from offtool.steps.sentences import count, listed, sentence

LAYOUT = Path(__file__).with_suffix(".typ")
PEOPLE_DECIDE = Caution(
    "This is evidence, put in order. Whether production starts is decided by people, who sign for it; the "
    "program signs nothing."
)


def review_report(
    dossier: Dossier, paths: Mapping[ReviewSource, str] | None = None, *, made_by: str = ""
) -> bytes:
    """The report; `paths` say where each file lies in the dossier that it goes with.

    The same review gives the same bytes: its day is that of the review, nothing comes from the clock.
    Raises: LayoutFlawed, when the layout warns of anything.
    """
    return typeset(LAYOUT, printable_rows(_rows(dossier, paths or {}, made_by)))


def _rows(dossier: Dossier, paths: Mapping[ReviewSource, str], made_by: str) -> dict[str, Any]:
    review = dossier.review
    told = (
        f"{review.programme_title}, release review",
        review.method,
        f"made by {made_by}" if made_by else "",
    )
    return {
        "title": f"Release review, {review.programme_title}, {day(review.on)}",
        "headline": review.headline,
        "product": product_in_words(review),
        "facts": _facts(review),
        "actions": [[one.words, one.because] for one in review.actions],
        "cautions": _cautions((PEOPLE_DECIDE, LAW_DECIDES, *review.cautions)),
        "lines": [_line(one, paths) for one in review.lines],
        "not_asked": [[one.title, one.why] for one in review.not_asked],
        "concessions": [concession_in_words(one) for one in review.concessions],
        "limit_samples": [limit_sample_in_words(one) for one in review.limit_samples],
        "changes": [change_in_words(one) for one in review.changes],
        "files": _files(dossier, paths),
        "signatures": [signature_in_words(one) for one in review.signatures],
        "of_more_roles": list(review.of_more_roles),
        "unsigned": [str(one) for one in review.roles_missing],
        "fingerprint": review.fingerprint,
        "footer": ". ".join(filter(None, told)),
        "invented": review.invented,
    }


def _facts(review: ReleaseReview) -> list[list[str]]:
    """What stands beside the verdict on the first page."""
    standings = [one.standing for one in review.lines if one.fed_by is not Fed.SIGNATURES]
    counts = [_counted(standings.count(one), one) for one in Standing if one in standings]
    due = [["Asked for by", day(review.release_due)]] if review.release_due else []
    unsaid = [["Not said", "; ".join(review.unsaid)]] if review.unsaid else []
    return [
        ["Product", product_in_words(review)],
        ["As it stood on", day(review.on)],
        *due,
        ["Lines but for the signatures", "; ".join(counts)],
        *unsaid,
        ["Release", _open_lines(review)],
    ]


def _counted(lines: int, standing: Standing) -> str:
    """9 do not hold."""
    says = str(standing)
    for one, many in () if lines == 1 else (("does not", "do not"), ("holds", "hold")):
        says = says.replace(one, many)
    return f"{lines} {says}"


def _open_lines(review: ReleaseReview) -> str:
    """How many lines stand in the way."""
    if not review.why_not_released:
        return "every line is met or under a concession: people decide"
    against = sum(not one.holds and one.fed_by is not Fed.SIGNATURES for one in review.lines)
    lines = f"{count(against, 'line')} neither met nor under a concession" if against else ""
    unsaid = f"it is not said {listed(review.unsaid)}" if review.unsaid else ""
    return "; ".join(filter(None, (lines, unsaid)))


def _line(line: ReviewLine, paths: Mapping[ReviewSource, str]) -> dict[str, Any]:
    return {
        "code": line.code,
        "title": line.title,
        "standing": str(line.standing),
        "words": sentence(line.words),
        "because": line.because,
        "asks": line.asks,
        "source": line.source,
        "fed_by": str(line.fed_by),
        "since": day(line.since) if line.since else "",
        "to_do": line.to_do,
        "stale": stale_in_words(line.stale_because),
        "facts": [_fact(one, paths) for one in line.facts],
        "papers": [[paper_in_words(one), paper_stands(one), _place(paper(one), paths, one.file_name)]
                   for one in line.evidence],
        "concessions": [concession_in_words(one)[1:] for one in line.concessions],
        "cautions": _cautions(line.cautions),
    }  # fmt: skip


def _fact(fact: ReviewFact, paths: Mapping[ReviewSource, str]) -> list[str]:
    says = [fact.words, f"stale: {stale_in_words(fact.stale_because)}" if fact.stale_because else ""]
    says += [f"under a concession: {fact.under}" if fact.under else "", fact.again]
    files = ", ".join(_place(one, paths, one.file_name) for one in fact.sources)
    return [
        fact.item,
        ". ".join(one.rstrip(".") for one in says if one),
        str(fact.standing),
        day(fact.day) if fact.day else NONE,
        files,
    ]


def _place(source: ReviewSource, paths: Mapping[ReviewSource, str], name: str) -> str:
    """The file's place in the dossier, else its name."""
    return paths.get(source, name).removeprefix("files/") if name else ""


def _files(dossier: Dossier, paths: Mapping[ReviewSource, str]) -> list[list[str]]:
    return [
        [
            _place(one.source, paths, one.source.file_name),
            str(one.source.kind),
            ", ".join(one.lines),
            one.source.sha256,
        ]
        for one in dossier.files
    ]


def _cautions(cautions: tuple[Caution, ...]) -> list[str]:
    kept = dict.fromkeys(cautions)
    return [f"{one.text} ({one.source})" if one.source else one.text for one in kept]

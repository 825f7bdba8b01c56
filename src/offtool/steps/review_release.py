"""Review the release: does every line of the list hold, what is stale, what is missing, who has signed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from offtool import __version__
from offtool.core.pilot.release import Standing, fingerprint
from offtool.core.values import Caution
from offtool.handbook.release_list import Fed
from offtool.handbook.toy_law import LAW_DECIDES
from offtool.records.queries import signatures_of
from offtool.steps.latest_sizes import SizesMeasured
from offtool.steps.overview import is_invented
from offtool.steps.review_found import LimitSampleSeen, ReleaseReview, ReviewLine, SignatureSeen
from offtool.steps.review_ground import ReviewGround
from offtool.steps.review_limit_samples import limit_samples_seen
from offtool.steps.review_lines import LinesOfReview
from offtool.steps.review_list import ReviewList, markets_of, review_list
from offtool.steps.review_sentences import actions, headline, review_verdict, why_not_released
from offtool.steps.review_signatures import (
    as_they_stand,
    of_more_roles,
    roles_missing,
    signature_facts,
    signatures_seen,
    stood_as_text,
    unsigned,
)

METHOD = f"offtool {__version__}"
A_PERSON_DECIDES = Caution(
    "The program counts what is recorded and signs nothing: whether production starts is the decision of "
    "the people who sign, and of the law"
)


def review_release(programme: str, on: date, measured: SizesMeasured | None = None) -> ReleaseReview:
    """The release review of a programme on a day, with the sizes that are looked up already.

    Raises NotInRecord.
    """
    ground = ReviewGround(programme, on, measured)
    listed = review_list(ground.programme)
    working = LinesOfReview(ground)
    lines = [working.line(one) for one in listed.asked if one.fed_by is not Fed.SIGNATURES]
    stand = as_they_stand(lines)
    mark, stood = fingerprint(stand), stood_as_text(stand)
    titles = {one.code: one.title for one in lines}
    signatures = signatures_seen(signatures_of(ground.programme), mark, stood, titles)
    lines += [
        _signed(working.of_facts(one, signature_facts(signatures)), signatures)
        for one in listed.asked
        if one.fed_by is Fed.SIGNATURES
    ]
    kept = ground.programme
    against = why_not_released(lines, listed.unsaid)
    return ReleaseReview(
        programme=kept.slug,
        programme_title=kept.title,
        invented=is_invented(kept),
        on=on,
        markets=tuple(one.value for one in markets_of(kept)),
        from_months=kept.from_months,
        to_months=kept.to_months,
        mass_kg=kept.mass_kg,
        release_due=kept.release_due,
        unsaid=listed.unsaid,
        headline=headline(kept.title, lines, listed.unsaid, signatures),
        verdict=review_verdict(lines, listed.unsaid),
        actions=tuple(actions(lines, listed.unsaid)),
        lines=tuple(lines),
        not_asked=listed.not_asked,
        signatures=signatures,
        roles_missing=roles_missing(signatures),
        limit_samples=_limit_samples(ground, listed),
        changes=ground.changes.seen(),
        fingerprint=mark,
        stood=stood,
        may_be_released=not against,
        why_not_released=against,
        method=METHOD,
        of_more_roles=of_more_roles(signatures),
        cautions=(A_PERSON_DECIDES, LAW_DECIDES),
    )


def _signed(line: ReviewLine, signatures: Sequence[SignatureSeen]) -> ReviewLine:
    """The line of the signatures, naming all whose signature lacks: those that stand no more among them."""
    lacking = unsigned(roles_missing(signatures))
    is_open = line.standing in (Standing.MISSING, Standing.STALE)
    return replace(line, because=lacking) if is_open and lacking else line


def _limit_samples(ground: ReviewGround, listed: ReviewList) -> tuple[LimitSampleSeen, ...]:
    """Limit samples by the line that asks them; where it is not asked, only their own day ends them."""
    asked = next((one for one in listed.asked if one.fed_by is Fed.LIMIT_SAMPLES), None)
    return limit_samples_seen(ground, asked)

"""The pages on which something is entered for a release review, with what is kept of it already."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from offtool.core.values import Caution
from offtool.handbook.release_list import Fed
from offtool.reports.words import day
from offtool.steps.review_found import LimitSampleSeen, ReleaseReview
from offtool.steps.sentences import count, listed, sentence
from offtool.web.forms.judging import SetAsideForm
from offtool.web.pages.frame import Frame
from offtool.web.pages.review import MARK, change_row, missing_roles, review_frame, signature_row


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptRow:
    """Something that is kept already, and the form that ends it."""

    key: int
    title: str
    words: str
    mark: str
    state: str
    form: Any
    """None where it is at an end already, or is not a person's word."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReviewFormPage:
    """One form, and below it what is kept of its sort."""

    frame: Frame
    headline: str
    lead: str
    why: tuple[tuple[str, str], ...]
    cautions: tuple[Caution, ...]
    form: Any
    done: str
    back_href: str
    kept_title: str = ""
    kept: tuple[KeptRow, ...] = ()
    end_label: str = ""
    """Words of what ends one of them, such as "set it aside"."""
    more_form: Any = None
    """A second, smaller form; None for none."""
    more_title: str = ""
    more_done: str = ""


Refused = Mapping[int, SetAsideForm]


def form_page(
    found: ReleaseReview,
    form: Any,
    *,
    here: str,
    headline: str,
    lead: str,
    why: Sequence[tuple[str, str]],
    back_href: str,
    done: str = "Keep it",
    cautions: tuple[Caution, ...] = (),
    **more: Any,
) -> ReviewFormPage:
    """A page with a form of the review."""
    return ReviewFormPage(
        frame=review_frame(found, here=here),
        headline=headline,
        lead=lead,
        why=tuple(why),
        cautions=cautions,
        form=form,
        done=done,
        back_href=back_href,
        **more,
    )


def changes_kept(found: ReleaseReview, made_by: str, refused: Refused) -> tuple[KeptRow, ...]:
    """What was changed, cuts among it; what a person told can be set aside."""
    rows = []
    for one in found.changes:
        row = change_row(one)
        state = f"set aside: {one.set_aside}" if one.set_aside else row.told
        rows.append(
            KeptRow(
                key=one.key,
                title=row.when,
                words=row.words,
                mark="",
                state=state,
                form=_end(one.key, made_by, refused) if row.can_be_set_aside else None,
            )
        )
    return tuple(rows)


def limit_samples_kept(found: ReleaseReview, made_by: str, refused: Refused) -> tuple[KeptRow, ...]:
    """The limit samples, those that were withdrawn too."""
    return tuple(_limit_sample(one, made_by, refused) for one in found.limit_samples)


def _limit_sample(one: LimitSampleSeen, made_by: str, refused: Refused) -> KeptRow:
    return KeptRow(
        key=one.key,
        title=f"{one.sample} {one.sample_name}".rstrip(),
        words=sentence(one.words),
        mark="" if one.withdrawn else MARK[one.standing],
        state=f"withdrawn: {one.withdrawn}" if one.withdrawn else one.standing.value,
        form=None if one.withdrawn else _end(one.key, made_by, refused),
    )


def signatures_kept(found: ReleaseReview, made_by: str, refused: Refused) -> tuple[KeptRow, ...]:
    """Who has signed, and whether that stands."""
    rows = []
    for one in found.signatures:
        row = signature_row(one)
        note = f"; {one.note}" if one.note else ""
        rows.append(
            KeptRow(
                key=one.key,
                title=f"{row.role[:1].upper()}{row.role[1:]}: {row.person}",
                words=sentence(f"{row.states}, {row.when}{note}"),
                mark=row.mark,
                state=f"{row.word}; {row.why}" if row.why else row.word,
                form=None if one.withdrawn else _end(one.key, made_by, refused),
            )
        )
    return tuple(rows)


def _end(key: int, made_by: str, refused: Refused) -> SetAsideForm:
    return refused.get(key) or SetAsideForm(initial={"made_by": made_by}, auto_id=f"end{key}_%s")


def how_it_stands(found: ReleaseReview) -> str:
    """What a person who is about to sign must know first."""
    if found.may_be_released:
        said = "every line holds or is under a concession"
    else:
        against = sum(not one.holds and one.fed_by is not Fed.SIGNATURES for one in found.lines)
        unsaid = [f"it is not said {listed(found.unsaid)}"] if found.unsaid else []
        lines = [f"{count(against, 'line')} {'stands' if against == 1 else 'stand'} against it"]
        said = f"it cannot be released while {listed([*(lines if against else []), *unsaid])}"
    return f"{sentence(f'as of {day(found.on)} {said}')} {missing_roles(found)}".rstrip()

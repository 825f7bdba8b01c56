"""The page of a release review: may production start, what to do, and the list line by line."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from django.urls import NoReverseMatch, reverse

from offtool.core.pilot.release import Standing
from offtool.core.values import Caution
from offtool.handbook.release_list import Fed
from offtool.handbook.toy_law import MARKETS
from offtool.reports.words import day
from offtool.steps.findings import Fact
from offtool.steps.review_found import (
    ChangeSeen,
    LineNotAsked,
    ReleaseReview,
    ReviewAction,
    ReviewFact,
    ReviewLine,
    ReviewTarget,
    SignatureSeen,
)
from offtool.steps.review_sentences import reasons_in_words, states
from offtool.steps.review_signatures import unsigned
from offtool.steps.sentences import count, listed, sentence
from offtool.web.pages.frame import AS_JSON, Crumb, Frame, anchor
from offtool.web.pages.trial import ActionRow

MARK = {
    Standing.FAILS: "no",
    Standing.MISSING: "doubt",
    Standing.STALE: "doubt",
    Standing.CONCESSION: "yes",
    Standing.HOLDS: "yes",
}
"""The class of each standing; the word stands beside it."""
FIRST_ACTIONS = 6
MOST_FACTS = 6
MOST_CHANGES = 8
LINKS = {
    "size": "the size",
    "trial": "the trial",
    "look": "what was seen at the press",
    "correction": "the correction",
    "joint": "the joint",
    "seam": "the seam",
    "gauge": "the gauge",
    "part": "the part",
    "sample": "the sample",
    "samples": "the samples",
    "pilot": "the pilot",
    "pilots": "the pilots",
    "line_only": "the line",
    "safety": "tests of the law",
    "joints": "the joints",
    "seams": "the seams",
    "programme": "the tools",
    "sign_review": "the signatures",
    "review_evidence": "its file",
}
"""What a link to each page says."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FactRow:
    """One fact of a line, with the way to what it rests on."""

    mark: str
    word: str
    words: str
    when: str
    stale: str
    under: str
    again: str
    href: str
    link: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LineRow:
    """One line of the list; `facts` are the first that stand against it."""

    code: str
    anchor: str
    href: str
    title: str
    asks: str
    mark: str
    word: str
    because: str
    since: str
    stale: str
    conceded: str
    facts: tuple[FactRow, ...]
    more: str
    """How many facts more its own page has; empty where all are here."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SignatureRow:
    """One signature, and whether it stands."""

    key: int
    role: str
    person: str
    states: str
    when: str
    mark: str
    word: str
    why: str
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeRow:
    """One change: its day and what it was."""

    key: int
    when: str
    words: str
    told: str
    set_aside: str
    can_be_set_aside: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ReviewPage:
    """The release review."""

    frame: Frame
    when: str
    headline: str
    actions: tuple[ActionRow, ...]
    later: tuple[ActionRow, ...]
    facts: tuple[Fact, ...]
    cautions: tuple[Caution, ...]
    counts: str
    lines: tuple[LineRow, ...]
    not_asked: tuple[tuple[LineNotAsked, str], ...]
    """Each with the address of the form that asks it again."""
    signatures: tuple[SignatureRow, ...]
    missing: str
    """Roles that have not signed, and who signed for more than one, in sentences."""
    changes: tuple[ChangeRow, ...]
    more_changes: int
    slug: str
    method: str


def review_frame(found: ReleaseReview, *, here: str = "", as_json: str = "") -> Frame:
    """The frame of the review, or of a page that hangs on it and is called `here`."""
    crumbs = [
        Crumb(text=found.programme_title, href=reverse("programme", args=[found.programme])),
        Crumb(text="Release review", href=reverse("review", args=[found.programme]) if here else ""),
    ]
    if here:
        crumbs.append(Crumb(text=here))
    title = f"Release review, {found.programme_title}"
    return Frame(
        title=f"{here}: {title}" if here else title,
        crumbs=tuple(crumbs),
        invented=found.invented,
        as_json=as_json,
    )


def review_page(found: ReleaseReview) -> ReviewPage:
    """The page of the whole review."""
    actions = tuple(_action(one, found) for one in found.actions)
    return ReviewPage(
        frame=review_frame(found, as_json=AS_JSON),
        when=_when(found),
        headline=found.headline,
        actions=actions[:FIRST_ACTIONS],
        later=actions[FIRST_ACTIONS:],
        facts=tuple(_facts(found)),
        cautions=found.cautions,
        counts=_counts(found),
        lines=tuple(_line(one, found) for one in found.lines),
        not_asked=tuple(
            (one, reverse("review_edit_line", args=[found.programme, one.code])) for one in found.not_asked
        ),
        signatures=tuple(map(signature_row, found.signatures)),
        missing=missing_roles(found),
        changes=tuple(map(change_row, found.changes[:MOST_CHANGES])),
        more_changes=max(len(found.changes) - MOST_CHANGES, 0),
        slug=found.programme,
        method=found.method,
    )


def _when(found: ReleaseReview) -> str:
    due = f", release asked for by {day(found.release_due)}" if found.release_due is not None else ""
    last = ", the last day told of this example" if found.invented else ""
    return f"{found.programme_title}, as the record stands on {day(found.on)}{last}{due}"


def _action(one: ReviewAction, found: ReleaseReview) -> ActionRow:
    if not one.code:
        href = _reverse("market", found.programme)
        return ActionRow(
            do=one.words, because=sentence(one.because), href=href, link="say it" if href else ""
        )
    href = reverse("review_line", args=[found.programme, one.code])
    return ActionRow(do=one.words, because="", href=href, link=found.line(one.code).title)


def _facts(found: ReleaseReview) -> Iterator[Fact]:
    markets = [MARKETS[one] for one in MARKETS if one in found.markets]
    yield Fact(about="Sold in", says=listed(markets) or "not said: every market is taken")
    yield Fact(about="For children", says=_ages(found))
    yield Fact(about="Lines asked", says=_asked(found))
    files = {source for one in found.lines for source in one.sources}
    yield Fact(about="Files it rests on", says=str(len(files)))
    yield Fact(about="Fingerprint", says=f"{found.fingerprint[:16]} …")


def _asked(found: ReleaseReview) -> str:
    """How many lines are asked, counted as the first sentence counts them."""
    asked = [one for one in found.lines if one.fed_by is not Fed.SIGNATURES]
    signed = " and the signatures" if len(asked) < len(found.lines) else ""
    return f"{len(asked)}{signed}; {count(len(found.not_asked), 'line')} not"


def _ages(found: ReleaseReview) -> str:
    if found.from_months is None:
        return "the age is not said: the youngest is taken"
    until = f" to {found.to_months:g}" if found.to_months is not None else ""
    return f"from {found.from_months:g}{until} months"


def _counts(found: ReleaseReview) -> str:
    """4 do not hold, 3 are missing, and the signatures: the lines as the first sentence counts them."""
    standings = [one.standing for one in found.lines if one.fed_by is not Fed.SIGNATURES]
    counts = [states(standings.count(one), one) for one in Standing if one in standings]
    signed = [] if len(standings) == len(found.lines) else ["the signatures"]
    return listed([*counts, *signed])


def _line(one: ReviewLine, found: ReleaseReview) -> LineRow:
    shown = [each for each in one.facts if not each.is_met][:MOST_FACTS] or list(one.facts[:MOST_FACTS])
    more = len(one.facts) - len(shown)
    return LineRow(
        code=one.code,
        anchor=anchor("line", one.code),
        href=reverse("review_line", args=[found.programme, one.code]),
        title=one.title,
        asks=one.asks,
        mark=MARK[one.standing],
        word=one.standing.value,
        because=one.because,
        since=f"since {day(one.since)}" if one.holds and one.since is not None else "",
        stale=_stale(one),
        conceded="; ".join(each.words for each in one.concessions if each.counts),
        facts=tuple(fact_row(each, found.programme) for each in shown),
        more=f"{count(more, 'fact')} more" if more else "",
    )


def _stale(one: ReviewLine) -> str:
    """What is stale beside what weighs more; a stale line says it in its reason already."""
    if not one.stale_because or one.standing is Standing.STALE:
        return ""
    return sentence(reasons_in_words(one.stale_because))


def fact_row(one: ReviewFact, programme: str) -> FactRow:
    """A fact as it is shown."""
    href, link = address_of(one.target, programme)
    return FactRow(
        mark=MARK[one.standing],
        word=one.standing.value,
        words=sentence(one.words),
        when=day(one.day) if one.day is not None else "",
        stale=sentence(f"since then {reasons_in_words(one.stale_because)}") if one.stale_because else "",
        under=sentence(one.under) if one.under else "",
        again=one.again,
        href=href,
        link=link,
    )


def address_of(target: ReviewTarget | None, programme: str) -> tuple[str, str]:
    """Where a fact leads, and what the link says; both empty where it leads nowhere."""
    if target is None:
        return "", ""
    href = _reverse(target.page, programme, *target.names)
    return href, LINKS.get(target.page, "see it") if href else ""


def _reverse(page: str, *names: object) -> str:
    """The address of a page; empty where the names lead to none."""
    try:
        return reverse(page, args=[*names])
    except NoReverseMatch:
        return ""


def signature_row(one: SignatureSeen) -> SignatureRow:
    """A signature as it is shown."""
    changed = f": {listed(one.changed)}" if one.changed else ""
    return SignatureRow(
        key=one.key,
        role=one.role.value,
        person=one.person,
        states=one.states.value,
        when=f"{day(one.signed_at.date())}, {one.signed_at:%H:%M} UTC",
        mark="yes" if one.stands else "doubt",
        word="stands" if one.stands else "stands no more",
        why=f"{one.why_not}{changed}",
        note=one.note,
    )


def missing_roles(found: ReleaseReview) -> str:
    """Whose signature is not there, and who signed for more than one role, in sentences."""
    return " ".join(filter(None, (unsigned(found.roles_missing), *found.of_more_roles)))


def change_row(one: ChangeSeen) -> ChangeRow:
    """A change as it is shown."""
    about = f" ({one.about})" if one.about and one.is_told else ""
    return ChangeRow(
        key=one.key,
        when=day(one.on) if one.on is not None else "day not told",
        words=f"{one.what.value}{about}: {one.words}" if one.is_told else one.words,
        told=f"told by {one.told_by}" if one.told_by else "" if one.is_told else "by the states of the tool",
        set_aside=one.set_aside,
        can_be_set_aside=one.is_told and not one.set_aside,
    )

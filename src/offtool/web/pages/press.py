"""What was seen at the press: a section for the page of a trial, and rows for the page of looks."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import groupby

from offtool.core.inspection.attributes import ShareFinding
from offtool.core.values import Caution
from offtool.reports import words
from offtool.steps.press_findings import (
    DefectSeen,
    FindingFollowed,
    LookShown,
    PhotographShown,
    PressFindings,
    Standing,
)
from offtool.steps.sentences import cavities_in_words
from offtool.web.pages.frame import TrialPlace

MARK = {
    Standing.OPEN: "no",
    Standing.NOT_SHOWN_GONE: "doubt",
    Standing.NOT_LOOKED_AT: "doubt",
    Standing.NOT_LOOKED_FOR: "doubt",
    Standing.GONE: "yes",
}
LOOKS_SHOWN = 8
"""Shots that stand in the open; the rest is folded."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FollowedRow:
    """One finding and where it stands."""

    where: str
    seen: str
    """In this trial, with its interval."""
    mark: str
    word: str
    """The standing, as the sentence begins."""
    says: str
    """How the sentence goes on."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShareRow:
    """One cavity in this trial."""

    cavity: str
    seen: str
    share: str
    ends: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotographRow:
    """A photograph to look at: small here, large behind the link."""

    href: str
    small: str
    alt: str
    width: int
    height: int


@dataclass(frozen=True, slots=True, kw_only=True)
class DefectRow:
    """One defect: its findings, its cavities side by side, and what to do."""

    name: str
    weight_class: str
    here: str
    followed: tuple[FollowedRow, ...]
    shares: tuple[ShareRow, ...]
    sentences: tuple[str, ...]
    actions: tuple[tuple[str, str], ...]
    """Process and steel, as common practice has it."""
    source: str
    photographs: tuple[PhotographRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LookRow:
    """One look as it was recorded."""

    when: str
    what: str
    said: str
    note: str
    photographs: tuple[PhotographRow, ...]
    set_aside: str
    aside_href: str
    """Where it is set aside; empty where it was."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LooksTogether:
    """What was kept at one time of one shot: cavity by cavity where there is something to say."""

    what: str
    when: str
    rows: tuple[LookRow, ...]
    clean: str
    """The cavities at which nothing was wrong, in words."""
    clean_links: tuple[tuple[str, str], ...]
    """Each of them, and where its look is set aside."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PressSection:
    """What was seen at the press."""

    headline: str
    defects: tuple[DefectRow, ...]
    looks: tuple[LooksTogether, ...]
    folded_looks: tuple[LooksTogether, ...]
    href: str
    """The page on which pieces are looked at."""
    cautions: tuple[Caution, ...]


def press_section(findings: PressFindings, place: TrialPlace) -> PressSection:
    """The section of a trial's findings at the press."""
    rows = tuple(_together(findings, place))
    return PressSection(
        headline=findings.headline,
        defects=tuple(_defect_row(one, findings, place) for one in findings.defects),
        looks=rows[:LOOKS_SHOWN],
        folded_looks=rows[LOOKS_SHOWN:],
        href=place.address("look"),
        cautions=findings.cautions,
    )


def with_links(findings: PressFindings, place: TrialPlace) -> PressFindings:
    """The findings as JSON carries them: photographs are links."""
    looks = (
        replace(
            look,
            photographs=tuple(
                replace(one, link=place.address("photograph", one.number)) for one in look.photographs
            ),
        )
        for look in findings.looks
    )
    return replace(findings, looks=tuple(looks))


def _defect_row(defect: DefectSeen, findings: PressFindings, place: TrialPlace) -> DefectRow:
    shown = [(look, one) for look in findings.looks if not look.set_aside for one in look.photographs]
    here = (
        f"{seen_of(defect.here)} pieces of {findings.trial}"
        if defect.here
        else f"not looked at in {findings.trial}"
    )
    return DefectRow(
        name=defect.name,
        weight_class=defect.weight_class,
        here=here,
        followed=tuple(map(_followed_row, defect.followed)),
        shares=tuple(
            ShareRow(
                cavity=one.cavity,
                seen=seen_of(one.found),
                share=words.percent(one.found.share, 0),
                ends=words.percent_span(one.found.interval),
            )
            for part in defect.compared
            for one in part.shares.cavities
        ),
        sentences=tuple(filter(None, (*(part.says for part in defect.compared), defect.along_says))),
        actions=tuple(
            (about, what) for about, what in (("Process", defect.process), ("Steel", defect.steel)) if what
        ),
        source=defect.source,
        photographs=tuple(
            _photograph_row(one, look, place) for look, one in shown if one.shows == defect.name
        ),
    )


def _followed_row(one: FindingFollowed) -> FollowedRow:
    cavity = f"Cavity {one.cavity}" if one.cavity else "Cavity not known"
    return FollowedRow(
        where=f"{cavity}, {one.place}" if one.place else cavity,
        seen=f"{seen_of(one.here)}, {words.percent_span(one.here.interval)}" if one.here else "not looked at",
        mark=MARK[one.standing],
        word=one.says[: len(one.standing)],
        says=one.says[len(one.standing) :],
    )


def _together(findings: PressFindings, place: TrialPlace) -> Iterator[LooksTogether]:
    """The looks, the latest first, those that were kept at one time of one shot together."""
    every = len({one.cavity for one in findings.looks if one.cavity})
    for _, group in groupby(findings.looks, key=lambda one: (one.shot, one.looked_at, one.looked_by)):
        looks = list(group)[::-1]
        clean = [one for one in looks if _is_plain(one)]
        yield LooksTogether(
            what=shot_named(looks[0]),
            when=look_row(looks[0], place).when,
            rows=tuple(look_row(one, place) for one in looks if not _is_plain(one)),
            clean=cavities_in_words([one.cavity for one in clean], max(every, len(looks))) if clean else "",
            clean_links=tuple(
                (one.cavity or "not known", place.address("set_look_aside", one.number)) for one in clean
            ),
        )


def shot_named(look: LookShown) -> str:
    """Shot 12, or that the pieces are of several."""
    return f"Shot {look.shot}" if look.shot is not None else "Several shots"


def _is_plain(look: LookShown) -> bool:
    """One piece, nothing wrong, nothing to show or to say."""
    return look.pieces == 1 and not (look.flaws or look.photographs or look.note or look.set_aside)


def look_row(look: LookShown, place: TrialPlace) -> LookRow:
    """A look as the list shows it."""
    cavity = f"Cavity {look.cavity}" if look.cavity else "Cavity not known"
    pieces = f", {look.pieces:,} pieces" if look.pieces > 1 else ""
    by = f", {look.looked_by}" if look.looked_by else ""
    return LookRow(
        when=f"{look.looked_at:%Y-%m-%d %H:%M} UTC{by}",
        what=f"{cavity}{pieces}",
        said="; ".join(_flaws(look)) or "nothing wrong",
        note=look.note,
        photographs=tuple(_photograph_row(one, look, place) for one in look.photographs),
        set_aside=look.set_aside,
        aside_href="" if look.set_aside else place.address("set_look_aside", look.number),
    )


def _flaws(look: LookShown) -> Iterator[str]:
    for one in look.flaws:
        on = f" on {one.pieces:,}" if look.pieces > 1 else ""
        place = f", {one.place}" if one.place else ""
        yield f"{one.name}{on}{place}"


def _photograph_row(one: PhotographShown, look: LookShown, place: TrialPlace) -> PhotographRow:
    cavity = f", cavity {look.cavity}" if look.cavity else ""
    shot = f", shot {look.shot}" if look.shot is not None else ""
    longest = max(one.width, one.height)
    scale = min(1.0, 160 / longest)
    return PhotographRow(
        href=place.address("photograph", one.number),
        small=place.address("thumbnail", one.number),
        alt=f"{one.shows or 'Photograph'}{cavity}{shot}".capitalize(),
        width=max(round(one.width * scale), 1),
        height=max(round(one.height * scale), 1),
    )


def seen_of(share: ShareFinding) -> str:
    """9 of 24."""
    return f"{share.seen:,} of {share.looked_at:,}"

"""The page of one sample: what it is, how sure, what would settle it, why, and all that was seen of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe

from offtool.core.samples.identify.answers import Alike
from offtool.core.values import Caution
from offtool.reports import words
from offtool.reports.state_strip import draw_state_strip
from offtool.steps.findings import Action, Fact
from offtool.steps.sample_found import InWords, ObservationSeen, PhotographSeen, SampleFound
from offtool.steps.sample_history import ChangeSeen
from offtool.steps.sample_sentences import EVIDENCE, LOOK, REGISTER
from offtool.steps.sentences import sentence
from offtool.web.pages.frame import AS_JSON, Frame
from offtool.web.pages.sample_why import (
    InterruptedShown,
    SamplePartRow,
    WhyShown,
    interrupted_shown,
    part_rows,
    why_shown,
)
from offtool.web.pages.sample_words import about_in_words, called, with_minus
from offtool.web.pages.samples import SamplesPlace, Way
from offtool.web.pages.seam_words import with_capital
from offtool.web.pages.trial import ActionRow

THUMBNAIL_SIDE = 160
NO_BREAK = "\u00a0"


@dataclass(frozen=True, slots=True, kw_only=True)
class ObservationRow:
    """One thing that was seen or measured."""

    when: str
    about: str
    found: str
    is_sure: bool
    note: str
    set_aside: str
    aside_href: str
    """Where it is set aside; empty where it was."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SamplePhotographRow:
    """A photograph: small here, large behind the link."""

    href: str
    small: str
    alt: str
    says: str
    width: int
    height: int
    colour_href: str
    """Where colours are measured on it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeRow:
    """One change of what is said of it."""

    when: str
    about: str
    before: str
    after: str
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SamplePage:
    """One sample."""

    frame: Frame
    when: str
    headline: str
    actions: tuple[ActionRow, ...]
    in_words: InWords
    facts: tuple[Fact, ...]
    said: tuple[Fact, ...]
    """What is said of it in the register."""
    cautions: tuple[Caution, ...]
    strip: SafeString
    why: WhyShown
    here: str
    """Its own address."""
    parts: tuple[SamplePartRow, ...]
    alike: tuple[str, ...]
    interrupted: InterruptedShown | None
    photographs: tuple[SamplePhotographRow, ...]
    photograph_form: Any
    photograph_href: str
    observations: tuple[ObservationRow, ...]
    set_aside: tuple[ObservationRow, ...]
    changes: tuple[ChangeRow, ...]
    entered: str
    look_href: str
    part_href: str
    change_href: str
    take: tuple[Way, ...]
    method: str


def place_of_sample(found: SampleFound) -> SamplesPlace:
    """Where the page of a sample stands."""
    return SamplesPlace(
        programme=found.programme,
        programme_title=found.programme_title,
        invented=found.invented,
        number=found.number,
        name=found.name,
    )


def sample_page(
    found: SampleFound, changes: Sequence[ChangeSeen], photograph_form: Any, *, origin: str = ""
) -> SamplePage:
    """The page of a sample; `origin` is whose evidence is asked for."""
    place = place_of_sample(found)
    rows = [_observation(one, place) for one in found.observations]
    return SamplePage(
        frame=place.frame(as_json=AS_JSON),
        when=_when(found),
        headline=found.headline,
        actions=tuple(_action(one, place) for one in found.actions),
        in_words=found.in_words,
        facts=found.rests_on,
        said=tuple(_said(found)),
        cautions=tuple(_cautions(found)),
        strip=mark_safe(draw_state_strip(found)),  # noqa: S308 our own drawing
        why=why_shown(found, origin),
        here=place.address("sample"),
        parts=tuple(part_rows(found, place)),
        alike=() if found.is_mixed else tuple(map(_alike, found.identified.alike)),
        interrupted=interrupted_shown(found),
        photographs=tuple(_photograph(one, place) for one in found.photographs),
        photograph_form=photograph_form,
        photograph_href=place.address("photograph_sample"),
        observations=tuple(one for one in rows if not one.set_aside),
        set_aside=tuple(one for one in rows if one.set_aside),
        changes=tuple(map(_change, changes)),
        entered=f"Entered by {found.registered_by}." if found.registered_by else "",
        look_href=place.address("look_at_sample"),
        part_href=place.address("new_sample_part"),
        change_href=place.address("change_sample"),
        take=tuple(_take(place)),
        method=found.method,
    )


def _when(found: SampleFound) -> str:
    """Sample 0417, otter without paint. Drawer C4; the sample room has it."""
    named = f"Sample {found.number}" + (f", {found.name}" if found.name else "")
    lies = [found.place, f"held by {found.holder}" if found.holder and found.holder != found.place else ""]
    where = "; ".join(filter(None, lies))
    return f"{named}. {where[:1].upper()}{where[1:]}" if where else named


def _said(found: SampleFound) -> Iterator[Fact]:
    """What the register says of it."""
    for about, says in (
        ("Where it lies", found.place),
        ("Who has it", found.holder),
        ("Found or taken", words.day(found.found_on) if found.found_on else ""),
        ("Build on its tag", found.build),
        ("Kept for", found.purpose),
        ("What becomes of it", found.disposition),
        ("Note", found.note),
    ):
        if says:
            yield Fact(about=about, says=says)


def _action(action: Action, place: SamplesPlace) -> ActionRow:
    ways = {
        LOOK: ("look at it", place.address("look_at_sample")),
        REGISTER: ("add its parts", place.address("new_sample_part")),
        EVIDENCE: ("what was seen", "#seen"),
    }
    link, href = ways.get(action.leads_to, ("", ""))
    return ActionRow(do=action.do, because=action.because.replace(" %", NO_BREAK + "%"), href=href, link=link)


def _alike(one: Alike) -> str:
    told = f"looking at {one.tells}" if one.tells else "nothing that is recorded"
    return sentence(f"{called(one.first)} and {called(one.second)}: {told} would tell them apart")


def _cautions(found: SampleFound) -> Iterator[Caution]:
    """All but those that stand below as what cannot be told apart."""
    alike = tuple(f"{one.first} and {one.second} " for one in found.identified.alike)
    for one in found.cautions:
        if not (alike and one.text.startswith(alike)):
            yield with_capital(one)


def _observation(one: ObservationSeen, place: SamplesPlace) -> ObservationRow:
    by = f", {one.seen_by}" if one.seen_by else ""
    aside = "" if one.set_aside else place.address("set_observation_aside", one.kind, one.key)
    return ObservationRow(
        when=f"{one.seen_at:%Y-%m-%d %H:%M} UTC{by}",
        about=about_in_words(one.part, one.about),
        found=with_minus(one.found) if one.kind in ("size", "colour") else one.found,
        is_sure=one.is_sure,
        note=one.note,
        set_aside=one.set_aside,
        aside_href=aside,
    )


def _photograph(one: PhotographSeen, place: SamplesPlace) -> SamplePhotographRow:
    scale = min(1.0, THUMBNAIL_SIDE / max(one.width, one.height))
    shows = ", ".join(filter(None, (one.part, one.note)))
    return SamplePhotographRow(
        href=place.address("sample_photograph", one.key),
        small=place.address("sample_thumbnail", one.key),
        alt=f"Photograph of sample {place.number}" + (f": {shows}" if shows else ""),
        says=shows,
        width=max(round(one.width * scale), 1),
        height=max(round(one.height * scale), 1),
        colour_href=place.address("card_colour", one.key),
    )


def _change(one: ChangeSeen) -> ChangeRow:
    return ChangeRow(
        when=f"{one.at:%Y-%m-%d %H:%M} UTC" + (f", {one.by}" if one.by else ""),
        about=one.about,
        before=one.before or "nothing",
        after=one.after or "nothing",
        reason=one.reason,
    )


def _take(place: SamplesPlace) -> Iterator[Way]:
    yield Way(text="Sample card (PDF)", href=place.address("sample_card"))
    label = reverse("sample_labels", args=[place.programme])
    yield Way(text="Label with code (PDF)", href=f"{label}?{urlencode({'number': place.number})}")

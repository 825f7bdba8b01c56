"""The page on which a sample is looked at, at the drawer; and the page that sets an observation aside."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from offtool.steps.look_at_sample import SampleToLookAt
from offtool.steps.sample_found import ObservationSeen, SampleFound
from offtool.web.forms.sample_look import LookHeadForm, LookSheet
from offtool.web.pages.frame import Frame
from offtool.web.pages.sample_words import about_in_words
from offtool.web.pages.samples import SamplesPlace


@dataclass(frozen=True, slots=True, kw_only=True)
class SampleLookPage:
    """What tells most first, then everything by part."""

    frame: Frame
    headline: str
    number: str
    head: LookHeadForm
    sheet: LookSheet
    has_details: bool
    """Whether the record names any detail of its parts."""
    back_href: str
    part_href: str
    """Where a part is added; empty where it has one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SampleAsidePage:
    """One observation, and the form that sets it aside."""

    frame: Frame
    about: str
    found: str
    when: str
    set_aside: str
    form: Any
    back_href: str


def sample_look_page(place: SampleToLookAt, head: LookHeadForm, sheet: LookSheet) -> SampleLookPage:
    """The sheet of a sample."""
    where = SamplesPlace(
        programme=place.programme,
        programme_title=place.programme_title,
        invented=place.invented,
        number=place.number,
        name=place.name,
    )
    rows = [*sheet.first, *(row for block in sheet.blocks for row in block.rows)]
    has_parts = any(one.label for one in place.parts)
    return SampleLookPage(
        frame=where.frame(here="Look at it"),
        headline=f"What do you see on {place.number}?",
        number=place.number,
        head=head,
        sheet=sheet,
        has_details=any(one.look.kind == "detail" for one in rows),
        back_href=where.address("sample"),
        part_href="" if has_parts else where.address("new_sample_part"),
    )


def sample_aside_page(
    found: SampleFound, place: SamplesPlace, seen: ObservationSeen, form: Any
) -> SampleAsidePage:
    """The page that asks why an observation no longer counts."""
    return SampleAsidePage(
        frame=place.frame(here="Set aside"),
        about=about_in_words(seen.part, seen.about),
        found=seen.found,
        when=f"{seen.seen_at:%Y-%m-%d %H:%M} UTC" + (f", {seen.seen_by}" if seen.seen_by else ""),
        set_aside=seen.set_aside,
        form=form,
        back_href=f"{place.address('sample')}#seen",
    )

"""The pages that enter a piece, change what is said of it, and add or change a part of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.urls import reverse

from offtool.steps.samples_place import SamplesPlace as Offered
from offtool.web.forms.samples import ChangePartForm, PartRows, SaidForm
from offtool.web.pages.frame import Frame
from offtool.web.pages.samples import SamplesPlace


@dataclass(frozen=True, slots=True, kw_only=True)
class SampleNewPage:
    """Enter a piece with its parts, or change what is said of one."""

    frame: Frame
    headline: str
    form: Any
    parts: Any
    """The rows of its parts; None where the piece is there and each part has a page of its own."""
    rows: int
    has_parts: bool
    """Whether the programme has parts to choose from."""
    done: str
    """What the button says."""
    back_href: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SamplePartPage:
    """Add a part to a piece, or change one."""

    frame: Frame
    headline: str
    form: Any
    done: str
    back_href: str


def place_of(offered: Offered, number: str = "", name: str = "") -> SamplesPlace:
    """Where the page stands."""
    return SamplesPlace(
        programme=offered.programme,
        programme_title=offered.programme_title,
        invented=offered.invented,
        number=number,
        name=name,
    )


def new_sample_page(offered: Offered, form: SaidForm, parts: PartRows) -> SampleNewPage:
    """Enter a piece."""
    return SampleNewPage(
        frame=place_of(offered).frame(here="Register a piece"),
        headline="Register a piece.",
        form=form,
        parts=parts,
        rows=len(parts.rows),
        has_parts=bool(offered.parts),
        done="Register it",
        back_href=reverse("samples", args=[offered.programme]),
    )


def change_sample_page(offered: Offered, number: str, form: SaidForm) -> SampleNewPage:
    """Change what is said of a piece."""
    place = place_of(offered, number)
    return SampleNewPage(
        frame=place.frame(here="Change what is said of it"),
        headline=f"Change what is said of sample {number}.",
        form=form,
        parts=None,
        rows=0,
        has_parts=True,
        done="Keep the change",
        back_href=place.address("sample"),
    )


def sample_part_page(offered: Offered, number: str, form: ChangePartForm, label: str = "") -> SamplePartPage:
    """Add a part, or change the one with this label."""
    place = place_of(offered, number)
    headline = f"Change {label} of sample {number}." if label else f"Add a part to sample {number}."
    return SamplePartPage(
        frame=place.frame(here="Change a part" if label else "Add a part"),
        headline=headline,
        form=form,
        done="Keep the change" if label else "Add it",
        back_href=place.address("sample"),
    )

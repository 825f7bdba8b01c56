"""The page on which a pilot is written down or changed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.urls import reverse

from offtool.steps.define_pilot import PilotPlace as Offered
from offtool.web.pages.frame import Frame
from offtool.web.pages.pilot_place import PilotPlace


@dataclass(frozen=True, slots=True, kw_only=True)
class PilotDefinePage:
    """The form of a pilot."""

    frame: Frame
    headline: str
    has_line: bool
    line_href: str
    form: Any
    done: str
    back: str
    back_href: str


def pilot_define_page(offered: Offered, form: Any) -> PilotDefinePage:
    """A new pilot, or one that is written down already."""
    now = offered.defined
    place = PilotPlace(
        programme=offered.programme,
        programme_title=offered.programme_title,
        invented=offered.invented,
        line=now.line if now is not None else "",
        pilot=now.name if now is not None else "",
    )
    return PilotDefinePage(
        frame=place.frame(here="Change" if now is not None else "New pilot"),
        headline=f"What is known of pilot {now.name}." if now is not None else "Write down a pilot.",
        has_line=bool(offered.lines),
        line_href=reverse("line_only", args=[offered.programme]),
        form=form,
        done="Keep it" if now is not None else "Write it down",
        back="Back to the pilot" if now is not None else "All pilots",
        back_href=place.address("pilot") if now is not None else reverse("pilots", args=[offered.programme]),
    )

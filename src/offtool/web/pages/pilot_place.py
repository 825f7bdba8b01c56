"""Where the pages of pilots stand, and where the things to do lead."""

from __future__ import annotations

from dataclasses import dataclass

from django.urls import reverse

from offtool.steps.findings import Action
from offtool.steps.pilot_found import PilotFound, PilotsFound
from offtool.steps.pilot_sentences import (
    AUDITS,
    CHANGE,
    DEFECTS,
    HOURS,
    RAMP,
    READ,
    SHOWS,
    TIMES,
    YIELDS,
)
from offtool.web.pages.frame import Crumb, Frame
from offtool.web.pages.trial import ActionRow

ON_THE_PAGE = {
    YIELDS: "the yields",
    DEFECTS: "the defects",
    TIMES: "the times",
    AUDITS: "the audits",
    HOURS: "the hours",
    SHOWS: "what it can show",
}
"""Sections of the page of a pilot, and how a link to one is worded."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PilotPlace:
    """Which pilot a page is about; none where one is about to be written down."""

    programme: str
    programme_title: str
    invented: bool
    line: str = ""
    pilot: str = ""

    def address(self, page: str, *more: object) -> str:
        """The address of one of the pilot's pages: "pilot", "ramp", "read_pilot_file" …"""
        return reverse(page, args=[self.programme, self.pilot, *more])

    @property
    def line_href(self) -> str:
        """The page of its line."""
        return reverse("line", args=[self.programme, self.line])

    def frame(self, *, here: str = "", as_json: str = "") -> Frame:
        """The frame of the pilot's page, or of a page that hangs on it and is called `here`."""
        crumbs = [
            Crumb(text=self.programme_title, href=reverse("programme", args=[self.programme])),
            Crumb(text="Pilots", href=reverse("pilots", args=[self.programme])),
        ]
        if self.pilot:
            crumbs.append(Crumb(text=self.pilot, href=self.address("pilot") if here else ""))
        if here:
            crumbs.append(Crumb(text=here))
        title = f"Pilot {self.pilot}, {self.programme_title}" if self.pilot else self.programme_title
        return Frame(
            title=f"{here}: {title}" if here else title,
            crumbs=tuple(crumbs),
            invented=self.invented,
            as_json=as_json,
        )


def place_of(found: PilotFound) -> PilotPlace:
    """Where the page of a pilot stands."""
    return PilotPlace(
        programme=found.programme,
        programme_title=found.programme_title,
        invented=found.invented,
        line=found.line,
        pilot=found.pilot,
    )


def place_of_all(found: PilotsFound) -> PilotPlace:
    """Where the list of pilots stands."""
    return PilotPlace(
        programme=found.programme, programme_title=found.programme_title, invented=found.invented
    )


def action_row(action: Action, place: PilotPlace, *, page: str = "") -> ActionRow:
    """What to do, with the link that leads on; `page` is the pilot's own address on another page."""
    to, _, kind = action.leads_to.partition(" ")
    link, href = "", ""
    if to in ON_THE_PAGE:
        link, href = ON_THE_PAGE[to], f"{page}#{to}"
    elif to == READ and kind:
        link, href = f"read the {kind}", place.address("read_pilot_file", kind)
    elif to == RAMP:
        link, href = "the ramp", place.address("ramp")
    elif to in (CHANGE, "line"):
        link, href = "the line", place.line_href
    elif to == "pilot":
        link, href = "the pilot", place.address("pilot")
    return ActionRow(do=action.do, because=action.because, href=href, link=link)

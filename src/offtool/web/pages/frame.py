"""What every page has around it: its title, the way to it, and whether what it shows is invented."""

from __future__ import annotations

import re
from dataclasses import dataclass

from django.urls import reverse

AS_JSON = "?format=json"


@dataclass(frozen=True, slots=True, kw_only=True)
class Crumb:
    """One place on the way to a page; the page itself has no address here."""

    text: str
    href: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """The frame of a page."""

    title: str
    """What the tab of the browser says."""
    crumbs: tuple[Crumb, ...] = ()
    """The way at the top of the page; the last one is the page itself."""
    invented: bool = False
    """Whether the programme is invented: every page of it says so at its foot."""
    as_json: str = ""
    """Where the same result is to be had as JSON; empty where the page shows none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialPlace:
    """Which trial a page is about."""

    programme: str
    programme_title: str
    invented: bool
    tool: str
    state: str
    """The steel the trial was run with; of a new trial, the tool's latest."""
    trial: str
    is_new: bool = False
    """Whether the trial is yet to be made."""

    def address(self, page: str, *more: object) -> str:
        """The address of one of the trial's pages: "trial", "read", "correction" …"""
        return reverse(page, args=[self.programme, self.tool, self.trial, *more])


def anchor(kind: str, *names: str) -> str:
    """A mark on a page that no two things share, whatever they are called."""
    safe = (re.sub(r"[^A-Za-z0-9]", lambda found: f"_{ord(found[0]):x}", name) for name in names)
    return "-".join([kind, *safe])


def trial_frame(place: TrialPlace, *, here: str = "", as_json: str = "") -> Frame:
    """The frame of a trial's page, or of a page that hangs on a trial and is called `here`."""
    programme = reverse("programme", args=[place.programme])
    tool = f"Tool {place.tool}, state {place.state}" if place.state else f"Tool {place.tool}"
    leads_on = bool(here) and not place.is_new
    crumbs = (
        Crumb(text=place.programme_title, href=programme),
        Crumb(text=tool, href=f"{programme}#{anchor('tool', place.tool)}"),
        Crumb(text=f"Trial {place.trial}", href=place.address("trial") if leads_on else ""),
    )
    title = f"{place.trial} of tool {place.tool}, {place.programme_title}"
    return Frame(
        title=f"{here}: {title}" if here else title,
        crumbs=(*crumbs, Crumb(text=here)) if here else crumbs,
        invented=place.invented,
        as_json=as_json,
    )

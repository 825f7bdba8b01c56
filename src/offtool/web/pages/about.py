"""The page that says what everything rests on, and what to be careful of."""

from __future__ import annotations

from dataclasses import dataclass

from offtool.web.pages.frame import Crumb, Frame


@dataclass(frozen=True, slots=True, kw_only=True)
class AboutPage:
    """What it rests on, cautions, licences."""

    frame: Frame
    version: str
    """The version that made the results shown."""


def about_page(version: str) -> AboutPage:
    """The page for this version."""
    title = "What it rests on, and cautions"
    return AboutPage(frame=Frame(title=title, crumbs=(Crumb(text=title),)), version=version)

"""Where a programme stands: its tools, and how far its release is."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from offtool.steps.latest_sizes import SizesMeasured
from offtool.steps.overview import ToolStanding, programme_overview
from offtool.steps.review_release import review_release
from offtool.steps.way_found import WayToRelease
from offtool.steps.way_to_release import way_to_release


@dataclass(frozen=True, slots=True, kw_only=True)
class ProgrammeStanding:
    """A programme: its tools, what to do next on each, and the way to its release."""

    slug: str
    title: str
    note: str
    invented: bool
    headline: str
    """How many tools hold their sizes."""
    tools: tuple[ToolStanding, ...]
    way: WayToRelease | None
    """None while no tool is recorded: there is nothing to release."""


def programme_standing(programme: str, on: date) -> ProgrammeStanding:
    """Where a programme stands on a day. Raises NotInRecord."""
    measured = SizesMeasured()
    seen = programme_overview(programme, measured)
    return ProgrammeStanding(
        slug=seen.slug,
        title=seen.title,
        note=seen.note,
        invented=seen.invented,
        headline=seen.headline,
        tools=seen.tools,
        way=(way_to_release(programme, on, review_release(programme, on, measured)) if seen.tools else None),
    )

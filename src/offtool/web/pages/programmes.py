"""The pages of all programmes, and of one: where every tool stands and what is next on each."""

from __future__ import annotations

import re
from dataclasses import dataclass

from offtool.steps.overview import ProgrammeLine, ProgrammeOverview, ToolStanding
from offtool.web.pages.frame import AS_JSON, Crumb, Frame, anchor


@dataclass(frozen=True, slots=True, kw_only=True)
class ProgrammesPage:
    """All programmes; with none, what to do first."""

    frame: Frame
    programmes: tuple[ProgrammeLine, ...]
    """One line each."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ToolRow:
    """One tool, and where its reader goes from here."""

    anchor: str
    """The mark by which other pages lead to it."""
    standing: ToolStanding
    last_trial: str
    """The trial a correction would be made from; empty before the first."""
    next_trial: str
    """A name for the next trial, counted on from the last."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ProgrammePage:
    """One programme."""

    frame: Frame
    overview: ProgrammeOverview
    """Headline and note."""
    tools: tuple[ToolRow, ...]
    """Where each stands, in the order of the record."""


def programmes_page(programmes: tuple[ProgrammeLine, ...]) -> ProgrammesPage:
    """The page of all programmes."""
    frame = Frame(title="Programmes", crumbs=(Crumb(text="Programmes"),), as_json=AS_JSON)
    return ProgrammesPage(frame=frame, programmes=programmes)


def programme_page(overview: ProgrammeOverview) -> ProgrammePage:
    """The page of one programme."""
    frame = Frame(
        title=overview.title,
        crumbs=(Crumb(text=overview.title),),
        invented=overview.invented,
        as_json=AS_JSON,
    )
    return ProgrammePage(frame=frame, overview=overview, tools=tuple(map(_tool_row, overview.tools)))


def _tool_row(standing: ToolStanding) -> ToolRow:
    last = standing.trials[-1].name if standing.trials else ""
    mark = anchor("tool", standing.code)
    return ToolRow(anchor=mark, standing=standing, last_trial=last, next_trial=name_after(last))


def name_after(trial: str) -> str:
    """The name counted on by one: T3 after T2; T1 before the first; nothing where there is no number."""
    if not trial:
        return "T1"
    counted = re.fullmatch(r"(.*?)([0-9]{1,6})", trial)
    return f"{counted[1]}{int(counted[2]) + 1}" if counted else f"{trial}-2"

"""The pages of all programmes, and of one: how far its release is, and where every tool stands."""

from __future__ import annotations

import re
from dataclasses import dataclass

from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe

from offtool.core.values import Caution
from offtool.reports.way_drawing import draw_way
from offtool.reports.words import day
from offtool.steps.findings import Fact
from offtool.steps.overview import ProgrammeLine, ToolStanding
from offtool.steps.programme_standing import ProgrammeStanding
from offtool.steps.sentences import sentence
from offtool.steps.way_found import GoneStale, ToolOnWay, WayStep, WayToRelease
from offtool.steps.way_sentences import in_time
from offtool.web.pages.frame import AS_JSON, Crumb, Frame, anchor

OF_TOOL = {"decide": "correction", "cut": "correction", "measure": "trial"}
"""Where a step of a tool is done, while it has a trial."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ProgrammesPage:
    """All programmes; with none, what to do first."""

    frame: Frame
    programmes: tuple[ProgrammeLine, ...]
    """One line each."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkedLine:
    """A line of words that leads somewhere."""

    text: str
    href: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DoRow:
    """Something to do next, why, and where it is done."""

    do: str
    because: str
    href: str
    link: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StepRow:
    """One step on the way: when, how long, and whether it decides the end."""

    title: str
    because: str
    days: str
    is_own: bool
    begins: str
    ends: str
    band: str
    decides: bool
    says: str
    lines: tuple[LinkedLine, ...]
    """The lines of the review that it answers."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StaleRow:
    """A change, the lines that it made stale, and those that were open before and are older than it."""

    when: str
    words: str
    lines: tuple[LinkedLine, ...]
    older: tuple[LinkedLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ToolRow:
    """One tool, and where its reader goes from here."""

    anchor: str
    """The mark by which other pages lead to it."""
    standing: ToolStanding
    release: ToolOnWay | None
    """How it stands against the release."""
    last_trial: str
    """The trial a correction would be made from; empty before the first."""
    next_trial: str
    """A name for the next trial, counted on from the last."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ProgrammePage:
    """One programme."""

    frame: Frame
    standing: ProgrammeStanding
    headline: str
    also: str
    """What stands below the headline: the day that is asked for, the tools."""
    actions: tuple[DoRow, ...]
    facts: tuple[Fact, ...]
    missing: tuple[str, ...]
    cautions: tuple[Caution, ...]
    drawing: SafeString | None
    steps: tuple[StepRow, ...]
    """In the order in which they begin."""
    gone_stale: tuple[StaleRow, ...]
    tools: tuple[ToolRow, ...]
    """Where each stands, in the order of the record."""
    method: str


def programmes_page(programmes: tuple[ProgrammeLine, ...]) -> ProgrammesPage:
    """The page of all programmes."""
    frame = Frame(title="Programmes", crumbs=(Crumb(text="Programmes"),), as_json=AS_JSON)
    return ProgrammesPage(frame=frame, programmes=programmes)


def programme_page(standing: ProgrammeStanding) -> ProgrammePage:
    """The page of one programme."""
    way = standing.way
    steps = sorted(way.steps, key=lambda one: (one.starts, one.ends, one.title)) if way is not None else ()
    return ProgrammePage(
        frame=Frame(
            title=standing.title,
            crumbs=(Crumb(text=standing.title),),
            invented=standing.invented,
            as_json=AS_JSON,
        ),
        standing=standing,
        headline=way.headline if way is not None else standing.headline,
        also=" ".join(filter(None, (in_time(way), standing.headline))) if way is not None else "",
        actions=tuple(_actions(standing, way)) if way is not None else (),
        facts=way.rests_on if way is not None else (),
        missing=way.missing if way is not None else (),
        cautions=way.cautions if way is not None else (),
        drawing=mark_safe(draw_way(way)) if way is not None and way.steps else None,  # noqa: S308 our own drawing
        steps=tuple(_step(one, standing.slug, _titles(way)) for one in steps) if way is not None else (),
        gone_stale=tuple(_stale(one, standing.slug) for one in way.gone_stale) if way is not None else (),
        tools=tuple(_tool_row(one, way) for one in standing.tools),
        method=way.method if way is not None else "",
    )


def _tool_row(standing: ToolStanding, way: WayToRelease | None) -> ToolRow:
    last = standing.trials[-1].name if standing.trials else ""
    seen = way.tools if way is not None else ()
    return ToolRow(
        anchor=anchor("tool", standing.code),
        standing=standing,
        release=next((one for one in seen if one.tool == standing.code), None),
        last_trial=last,
        next_trial=name_after(last),
    )


def _actions(standing: ProgrammeStanding, way: WayToRelease) -> list[DoRow]:
    rows = []
    for one in way.actions:
        href, link = _where(way.of(one.step), standing)
        rows.append(DoRow(do=one.do, because=one.because, href=href, link=link))
    return rows


def _where(step: WayStep, standing: ProgrammeStanding) -> tuple[str, str]:
    """The page on which a step is done, else the line of the review that it answers."""
    slug = standing.slug
    tool = next((one for one in standing.tools if one.code == step.tool), None)
    if tool is not None and tool.trials and step.kind in OF_TOOL:
        page = OF_TOOL[step.kind]
        return reverse(page, args=[slug, tool.code, tool.trials[-1].name]), f"{page} {tool.trials[-1].name}"
    if tool is not None and step.kind == "slot":
        return reverse("slots", args=[slug]), "plan of all trials"
    if tool is not None and tool.waiting:
        return reverse("plan_trial", args=[slug, tool.code, tool.waiting[0]]), f"plan of {tool.waiting[0]}"
    if tool is not None:
        return reverse("ask_trial", args=[slug, tool.code]), "ask for a trial"
    if step.lines:
        return reverse("review_line", args=[slug, step.lines[0]]), "line of the review"
    return reverse("review", args=[slug]), "release review"


def _titles(way: WayToRelease | None) -> dict[str, str]:
    """The titles of lines by their codes."""
    return dict(way.line_titles) if way is not None else {}


def _step(step: WayStep, slug: str, titles: dict[str, str]) -> StepRow:
    later = f"may end by {day(step.must_end)}" if not step.decides else "decides the end"
    return StepRow(
        title=step.title,
        because=sentence(step.because),
        days=f"{step.low_days:g} to {step.high_days:g}",
        is_own=step.is_own,
        begins=day(step.starts),
        ends=day(step.ends),
        band=f"{day(step.ends_first)} to {day(step.ends_last)}",
        decides=step.decides,
        says=later,
        lines=tuple(_line(code, titles.get(code, code), slug) for code in step.lines),
    )


def _stale(one: GoneStale, slug: str) -> StaleRow:
    return StaleRow(
        when=day(one.on) if one.on is not None else "",
        words=one.words,
        lines=tuple(_line(code, title, slug) for code, title in one.lines),
        older=tuple(_line(code, title, slug) for code, title in one.older),
    )


def _line(code: str, title: str, slug: str) -> LinkedLine:
    return LinkedLine(text=title, href=reverse("review_line", args=[slug, code]))


def name_after(trial: str) -> str:
    """The name counted on by one: T3 after T2; T1 before the first; nothing where there is no number."""
    if not trial:
        return "T1"
    counted = re.fullmatch(r"(.*?)([0-9]{1,6})", trial)
    return f"{counted[1]}{int(counted[2]) + 1}" if counted else f"{trial}-2"

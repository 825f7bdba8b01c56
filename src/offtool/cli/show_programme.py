"""A programme on the terminal: how far its release is, what to do next, what decides the day."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from offtool.cli.shared_lines import bullets, cautions, heading, sentence, steps, table_or_bullets
from offtool.cli.terminal import width
from offtool.cli.typeset import table
from offtool.reports.words import day
from offtool.steps.overview import ToolStanding
from offtool.steps.programme_standing import ProgrammeStanding
from offtool.steps.way_found import GoneStale, WayStep, WayToRelease
from offtool.steps.way_sentences import in_time


def programme_lines(found: ProgrammeStanding, *, all_steps: bool = False) -> list[str]:
    """All lines of a programme."""
    way = found.way
    if way is None:
        return [*sentence(found.headline), *sentence("offtool start and offtool load make tools.")]
    lines = [*sentence(way.headline), *sentence(" ".join(filter(None, (in_time(way), found.headline))))]
    if way.actions:
        lines += [*heading("What to do next"), *steps([(one.do, one.because) for one in way.actions])]
    lines += _deciding(way)
    lines += _all_steps(way) if all_steps else []
    lines += [*heading("Tools"), *bullets(list(_tools(found.tools, way)))]
    stale = [f"{_since(one.on, one.words)}: {_made_stale(one)}" for one in way.gone_stale]
    lines += [*heading("What became stale since"), *bullets(stale)] if stale else []
    rows = [[fact.about, fact.says] for fact in way.rests_on]
    rows += [["Not said", "; ".join(way.missing)]] if way.missing else []
    lines += [*heading("What it rests on"), *table(rows, width=width(), indent=2)]
    return [*lines, *cautions(way.cautions)]


def _made_stale(one: GoneStale) -> str:
    """The lines that a change made stale, and those that were open before it already."""
    older = ", ".join(title for _, title in one.older)
    lines = ", ".join(title for _, title in one.lines)
    return "; ".join(filter(None, (lines, f"open before, and older than this too: {older}" if older else "")))


def _deciding(way: WayToRelease) -> list[str]:
    """The chain of steps that decides the end."""
    if not way.path:
        return []
    rows = [_row(way.of(name)) for name in way.path]
    return [*heading("What decides the day"), *_told(rows)]


def _all_steps(way: WayToRelease) -> list[str]:
    ordered = sorted(way.steps, key=lambda one: (one.starts, one.ends, one.title))
    return [*heading("Every step"), *_told([_row(one) for one in ordered])]


def _row(step: WayStep) -> list[str]:
    own = ", as said here" if step.is_own else ""
    says = "decides" if step.decides else f"may end by {day(step.must_end)}"
    days = f"{step.low_days:g} to {step.high_days:g} d{own}"
    return [step.title, days, f"{day(step.starts)} to {day(step.ends)}", says]


def _told(rows: Sequence[list[str]]) -> list[str]:
    return table_or_bullets(
        list(rows), [f"{title}: {when}, {days}, {says}" for title, days, when, says in rows]
    )


def _tools(tools: Sequence[ToolStanding], way: WayToRelease) -> Iterator[str]:
    of_release = {one.tool: one.words for one in way.tools}
    for one in tools:
        state = f", state {one.state}" if one.state else ""
        yield f"{one.code}{state}: {one.next_step} {of_release.get(one.code, '')}".rstrip()


def _since(on: object, words: str) -> str:
    return f"{on}, {words}" if on is not None else words

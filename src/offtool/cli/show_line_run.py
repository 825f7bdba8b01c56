"""A run of a line on the terminal: what it makes, what to do, where the time goes, what more gives."""

from __future__ import annotations

from offtool.cli.shared_lines import bullets, cautions, heading, sentence, steps, table_or_bullets
from offtool.cli.terminal import width
from offtool.cli.typeset import table
from offtool.reports.line_run_words import (
    before_in_words,
    estimated_percent,
    gain_in_words,
    parts_of,
    reaches_in_words,
    shares_in_words,
    shares_of,
    shown_in_words,
    time_in_words,
    waits_before,
)
from offtool.steps.findings import Action
from offtool.steps.line_run_found import LineRunFound
from offtool.steps.line_run_sentences import LONGER, PILOT


def line_run_lines(found: LineRunFound) -> list[str]:
    """All lines of a run."""
    lines = [*sentence(found.headline)]
    if found.actions:
        lines += [*heading("What to do"), *steps([(one.do, _because(one, found)) for one in found.actions])]
    lines += _more(found)
    lines += _stations(found)
    waits = [
        f"{one.name}: {before_in_words(before)}" for one in found.stations for before in waits_before(one)
    ]
    lines += [*heading("What waits before each station"), *bullets(waits)] if waits else []
    lines += [
        *heading("Not written down, and what was taken instead"),
        *bullets([f"{one.about}: {one.says}" for one in found.unsaid]),
    ]
    rows = [[fact.about, fact.says] for fact in found.rests_on]
    lines += [*heading("What it rests on"), *table(rows, width=width(), indent=2)]
    return [*lines, *cautions(found.cautions)]


def _because(one: Action, found: LineRunFound) -> str:
    """Why, and the command where the page has a link."""
    start = f"offtool run-line {found.programme}"
    if one.leads_to == LONGER:
        return f"{one.because} {start} --more --runs {max(40, 2 * found.simulated.runs)}"
    if one.leads_to == PILOT:
        return f"{one.because} {start} --pilot {found.pilots[-1]}"
    return one.because


def _more(found: LineRunFound) -> list[str]:
    if not found.more:
        return []
    head = ["tried alone", "an hour more", "the line makes", ""]
    rows = [
        [one.words, gain_in_words(one), reaches_in_words(one, found), shown_in_words(one)]
        for one in found.more
    ]
    return [
        *heading("One more of each thing"),
        *table_or_bullets([head, *rows], [", ".join(row) for row in rows]),
    ]


def _stations(found: LineRunFound) -> list[str]:
    head = ["station", "time", "busy", "its time"]
    rows = [
        [
            f"{one.name}, limits" if one.limits else one.name,
            time_in_words(one),
            estimated_percent(one.shares.needed),
            shares_in_words(shares_of(one.shares)),
        ]
        for one in found.stations
    ]
    rows += [
        [
            f"{one.name}, limits" if one.limits else one.name,
            f"{one.cycle_s:.3g} s a shot",
            estimated_percent(one.shares.needed),
            shares_in_words(parts_of(one)),
        ]
        for one in found.presses
    ]
    return [
        *heading("Station by station"),
        *table_or_bullets([head, *rows], [", ".join(row) for row in rows]),
    ]

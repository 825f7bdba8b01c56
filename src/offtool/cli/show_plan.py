"""The plan of a trial on the terminal: where it goes, what to run, how long, what it must confirm."""

from __future__ import annotations

from collections.abc import Iterator

from offtool.cli.shared_lines import bullets, cautions, heading, sentence, steps
from offtool.cli.terminal import width
from offtool.cli.typeset import table
from offtool.reports.minutes_bar import line_in_words
from offtool.reports.trial_words import (
    missing_in_words,
    purpose_in_words,
    run_of_shots,
    shots_in_words,
    start_in_words,
    time_in_words,
    weight_in_words,
)
from offtool.steps.plan_found import SizeToMeasure, TrialPlanned

MOST_CONFIRMED, MOST_MEASURED = 12, 8
"""Lines that are listed; --json has all."""


def plan_lines(found: TrialPlanned) -> list[str]:
    """All lines of a plan."""
    lines = sentence(found.headline)
    if found.actions:
        lines += [*heading("What to do"), *steps([(one.do, one.because) for one in found.actions])]
    lines += _run(found)
    lines += _time(found)
    lines += [*heading("Press and colour"), *bullets(list(_where(found)))]
    lines += _confirm(found)
    lines += _measure(found.to_measure)
    lines += [*heading("What is missing"), *bullets(_missing(found))] if found.missing else []
    labels = "--labels FILE.pdf writes the labels"
    lines += [*heading("What to bring"), *bullets([*found.bring, labels])] if found.bags else []
    rows = [[fact.about, fact.says] for fact in found.rests_on]
    lines += [*heading("What it rests on"), *table(rows, width=width(), indent=2)] if rows else []
    return [*lines, *cautions(found.cautions)]


def _run(found: TrialPlanned) -> list[str]:
    """Every step with the shots it is about."""
    if found.shots is None:
        return []
    rows = [
        [run_of_shots(one.first, one.last or one.first) if one.first is not None else "", one.do]
        for one in found.steps
    ]
    said = [shots_in_words(found.shots), f"{found.shots.parts_measured:,} parts measured"]
    said += [weight_in_words(found.material)] if found.material is not None else []
    purposes = [f"{one.purpose}: {purpose_in_words(one)} ({one.source})" for one in found.shots.purposes]
    return [
        *heading(f"At the press: {', '.join(said)}"),
        *table([["shots", ""], *rows], width=width(), indent=2),
        *heading("Pieces, by what they are for"),
        *bullets(purposes),
    ]


def _time(found: TrialPlanned) -> list[str]:
    if found.time is None:
        return []
    return [
        *heading(f"Press time: {time_in_words(found.time)}"),
        *bullets([line_in_words(one) for one in found.time.lines]),
    ]


def _where(found: TrialPlanned) -> Iterator[str]:
    press, colour = found.press, found.colour
    if press is None:
        yield "no press is written down yet"
    else:
        yield f"{press.press}: {press.verdict}, {press.says}; taken because {press.why}"
        yield f"it interrupts {press.job}" if press.job else "nothing is recorded to run on it then"
        if press.starts_at is not None:
            yield f"it starts {start_in_words(press.starts_at)}"
        yield from press.others
    if colour is None:
        yield "the colour cannot be decided yet"
    else:
        yield f"{colour.what}{f' ({colour.colour})' if colour.colour else ''}: {colour.says}"
        yield from colour.others


def _confirm(found: TrialPlanned) -> list[str]:
    if not found.confirm:
        return []
    said = [f"{one.about}: {one.says}" for one in found.confirm[:MOST_CONFIRMED]]
    more = len(found.confirm) - MOST_CONFIRMED + found.confirm_more
    said += [f"and {more:,} more; --json lists them"] if more > 0 else []
    return [*heading("What this trial must confirm or refute"), *bullets(said)]


def _measure(sizes: tuple[SizeToMeasure, ...]) -> list[str]:
    """The sizes that take most parts."""
    if not sizes:
        return []
    most = sorted(sizes, key=lambda one: -(one.parts or 0))[:MOST_MEASURED]
    said = [
        f"{one.size} {one.name}: {one.parts or 'no number'} of each cavity, {one.because}" for one in most
    ]
    return [*heading("Parts that each size would take"), *bullets(said)]


def _missing(found: TrialPlanned) -> list[str]:
    return [missing_in_words(one) for one in found.missing]

"""A ramp on the terminal: when the quantity is there, what it rests on, day by day."""

from __future__ import annotations

from math import ceil

from offtool.cli.shared_lines import cautions, heading, sentence, steps, table_or_bullets
from offtool.cli.terminal import width
from offtool.cli.typeset import table
from offtool.reports.ramp_drawing import every_so_many_days, shown_days
from offtool.reports.words import day
from offtool.steps.ramp_found import RampFound

MOST_ROWS = 16


def ramp_lines(found: RampFound) -> list[str]:
    """All lines of a ramp."""
    lines = sentence(found.headline)
    if found.actions:
        lines += [*heading("What to do"), *steps([(one.do, one.because) for one in found.actions])]
    lines += _days(found)
    facts = found.taken.sources if found.taken is not None else ()
    rows = [[fact.about, fact.says] for fact in facts]
    lines += [*heading("What it rests on"), *table(rows, width=width(), indent=2)] if rows else []
    return [*lines, *cautions(found.cautions)]


def _days(found: RampFound) -> list[str]:
    ramp, dates = found.ramp, found.dates
    if ramp is None or dates is None:
        return []
    shown = shown_days(ramp)
    step = max(1, ceil(len(shown) / MOST_ROWS))
    rows = [
        [
            day(found.working_days[one.day - 1]),
            f"{one.that_day:,.0f}",
            f"{one.total:,.0f}",
            f"{one.low:,.0f} to {one.high:,.0f}",
        ]
        for one in shown[step - 1 :: step]
    ]
    full = f"{ramp.planned_per_day:,.0f} good pieces a day are planned"
    reached = f"reached on {day(dates.plateau)}" if dates.plateau else "not reached in the days looked at"
    in_words = [f"{row[0]}: {row[2]} good so far, {row[3]}" for row in rows]
    head = ["end of", "that day", "so far", "between"]
    return [
        *heading(every_so_many_days(step)),
        *table_or_bullets([head, *rows], in_words, sides="<>>>"),
        *sentence(f"{full}; that rate is {reached}."),
    ]

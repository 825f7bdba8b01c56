"""Trials that are asked for, on the terminal."""

from __future__ import annotations

from offtool.cli.shared_lines import cautions, heading, sentence, table_or_bullets
from offtool.reports.words import day
from offtool.steps.ask_trial import RequestKnown, RequestsKnown


def requests_lines(found: RequestsKnown) -> list[str]:
    """All trials, a line each."""
    lines = sentence(found.headline)
    rows = [[f"{one.tool} {one.name}", _purposes(one), _due(one), _slot(one)] for one in found.requests]
    if rows:
        said = [", ".join(filter(None, row)) for row in rows]
        lines += [*heading("Asked for"), *table_or_bullets(rows, said)]
        return lines
    return [*lines, *sentence(f"offtool request {found.programme} TOOL TRIAL --for sizes asks for one.")]


def request_lines(found: RequestKnown) -> list[str]:
    """One trial with all that is said of it."""
    lines = sentence(f"Trial {found.name} of tool {found.tool} is to show {_purposes(found)}.")
    rows = [
        ["When", _when(found)],
        ["Slot", _slot(found)],
        ["Hours on the press", f"{found.hours:g}" if found.hours is not None else "computed"],
        ["Colour", ", ".join(filter(None, (found.wish, found.colour, _lab(found))))],
        ["Resin", found.resin or "that of the parts"],
        ["Engineer", "must see it" if found.needs_engineer else "need not see it"],
        [
            "Cost of a day's delay",
            f"{found.late_per_day:g}" if found.late_per_day is not None else "not said",
        ],
        ["Asked by", found.asked_by],
        ["Note", found.note],
    ]
    rows = [row for row in rows if row[1]]
    told = table_or_bullets(rows, [": ".join(row) for row in rows])
    return [*lines, "", *told, *cautions(found.cautions)]


def _purposes(one: RequestKnown) -> str:
    said = [
        f"{want.purpose.value} ({want.pieces})" if want.pieces else want.purpose.value
        for want in one.purposes
    ]
    return " and ".join(filter(None, (", ".join(said[:-1]), *said[-1:])))


def _due(one: RequestKnown) -> str:
    return f"due {day(one.due)}" if one.due is not None else ""


def _when(one: RequestKnown) -> str:
    first = f"not before {day(one.earliest)}" if one.earliest is not None else ""
    return ", ".join(filter(None, (first, _due(one)))) or "no day is said"


def _slot(one: RequestKnown) -> str:
    if one.has_run:
        return "has run"
    if one.starts_at is None:
        return "open"
    return f"fixed: {one.press}, {day(one.starts_at.date())} {one.starts_at:%H:%M}"


def _lab(one: RequestKnown) -> str:
    if one.lightness is None:
        return ""
    return f"L* {one.lightness:g}, a* {one.a:g}, b* {one.b:g}"

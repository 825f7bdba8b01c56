"""The layout report of a trial: every characteristic in every cavity, with its drawings, as a PDF."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from offtool.core.values import Caution
from offtool.reports import words
from offtool.reports.limit_bar import draw_key_bar, draw_limit_bar, key_words
from offtool.reports.plain_text import printable
from offtool.reports.size_drawings import differences_of, plot_of, run_of, shares_of
from offtool.reports.size_words import (
    depth_table,
    differences_in_words,
    judged_table,
    shape_in_words,
    shares_in_words,
)
from offtool.reports.typeset import typeset
from offtool.steps.findings import TrialFindings
from offtool.steps.readings_seen import Counts
from offtool.steps.size_in_depth import SizeInDepth

LAYOUT = Path(__file__).with_suffix(".typ")
RUN_WIDTH, RUN_HEIGHT = 760.0, 130.0
THIRD, PLOT_HEIGHT = 370.0, 170.0
"""Two sizes stand on a page."""


def layout_report(findings: TrialFindings, sizes: Sequence[SizeInDepth]) -> bytes:
    """The report: verdict, what to do, all sizes at a glance, then each size with its drawings.

    The same findings give the same bytes: nothing in it comes from the clock.

    Raises: LayoutFlawed, when the layout warns of anything.
    """
    return typeset(LAYOUT, _rows(findings, sizes))


def _rows(findings: TrialFindings, sizes: Sequence[SizeInDepth]) -> dict[str, Any]:
    day = findings.shot_on
    return {
        "title": f"{findings.trial} of tool {findings.tool}, {findings.programme_title}",
        "date": [day.year, day.month, day.day] if day else [],
        "when": _when(findings),
        "headline": findings.headline,
        "actions": [[one.do, one.because] for one in findings.actions],
        "facts": [[one.about, printable(one.says)] for one in findings.rests_on],
        "cautions": [_caution(one) for one in findings.cautions],
        "key": draw_key_bar(),
        "key_words": key_words(),
        "sizes": [_size(one) for one in sizes],
        "left_out": [
            [
                f"{found.size.part} {found.size.number}",
                words.number(one.value, found.size.decimals),
                one.cell,
                one.reason,
                one.said_by,
            ]
            for found in sizes
            for one in found.analysis.readings
            if one.counts is Counts.LEFT_OUT
        ],
        "footer": f"{findings.programme_title}, tool {findings.tool}, {findings.trial}. {findings.method}",
    }


def _when(findings: TrialFindings) -> str:
    day = f"shot {words.day(findings.shot_on)}" if findings.shot_on else "day not recorded"
    press = f", {findings.press}" if findings.press else ""
    colour = f", {findings.colour}" if findings.colour else ""
    age = f", measured after {findings.age_h:g} h" if findings.age_h is not None else ""
    return f"{findings.tool} {findings.tool_name}, state {findings.state}; {day}{press}{colour}{age}"


def _caution(one: Caution) -> str:
    return f"{one.text} ({one.source})" if one.source else one.text


def _size(found: SizeInDepth) -> dict[str, Any]:
    size, finding = found.size, found.size.finding
    limits = words.limits(finding.lower, finding.upper, nominal=size.nominal, decimals=size.decimals)
    index = finding.required_index
    demand = f"index {words.number(index, 2)}" if index else "each reading inside"
    means = [one.mean for one in finding.cavities]
    indices = [one.index for one in finding.cavities if one.index is not None]
    return {
        "number": size.number,
        "name": printable(size.name or f"Size {size.number}"),
        "part": size.part,
        "limits": f"{limits} {size.unit}",
        "demand": f"{size.weight_class}: {demand}",
        "means": words.ends(min(means), max(means), size.decimals),
        "index": words.index(min(indices, key=lambda one: one.value)) if indices else words.NONE,
        "verdict": size.verdict.value,
        "why": size.why,
        "bar": draw_limit_bar(finding, decimals=size.decimals, unit=size.unit),
        "run": run_of(found, width=RUN_WIDTH, height=RUN_HEIGHT),
        "drawings": [
            [drawing, says]
            for drawing, says in (
                (plot_of(found, width=THIRD, height=PLOT_HEIGHT), shape_in_words(found)),
                (differences_of(found, width=THIRD), differences_in_words(found)),
                (shares_of(found, width=THIRD), shares_in_words(found)),
            )
            if drawing
        ],
        "tables": [judged_table(found), depth_table(found)],
        "facts": [[one.about, printable(one.says)] for one in found.rests_on],
        "cautions": [_caution(one) for one in found.cautions],
    }

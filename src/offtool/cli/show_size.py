"""One characteristic in depth on the terminal."""

from __future__ import annotations

from collections.abc import Iterator

from offtool.cli.limit_bar import KEY, limit_bars
from offtool.cli.shared_lines import cautions, heading, sentence, steps
from offtool.cli.terminal import width
from offtool.cli.typeset import flow, table
from offtool.core.inspection.mix import MixFinding
from offtool.reports.size_words import shape_in_words
from offtool.reports.words import NONE, most_outside, number, parts_outside, percent, signed, span
from offtool.steps.readings_seen import Counts
from offtool.steps.size_in_depth import CavityInDepth, SizeInDepth

BAR = 31
ALL_SHOWN = 12
"""Readings that are pointed at or left out which are listed; all are in the JSON."""


def size_lines(found: SizeInDepth) -> list[str]:
    """All lines: the verdict, what to do, and why."""
    lines = [*sentence(found.headline), *(sentence(found.size.why) if found.size.why else [])]
    if found.actions:
        lines += [*heading("What to do"), *steps([(one.do, one.because) for one in found.actions])]
    lines += [*heading("Cavities"), *flow(KEY, width=width(), indent="  "), *_cavities(found)]
    lines += [*_differences(found), *_shares(found), *_shape(found), *_readings(found)]
    rows = [[fact.about, fact.says] for fact in found.rests_on]
    return [
        *lines,
        *heading("What it rests on"),
        *table(rows, width=width(), indent=2),
        *cautions(found.cautions),
    ]


def _cavities(found: SizeInDepth) -> list[str]:
    finding, decimals = found.size.finding, found.size.decimals
    bars = limit_bars(finding, finding.cavities, columns=BAR)
    head = ["", "", "mean", "parts", "Ppk", "by shape", "outside", "99 % of parts lie"]
    rows = [_row(one, bar, decimals) for one, bar in zip(found.analysis.cavities, bars, strict=True)]
    return table([head, *rows, *_mix(found)], width=width(), sides="<<>>>>><", indent=2)


def _row(one: CavityInDepth, bar: str, decimals: int) -> list[str]:
    cavity = one.finding
    judged = _index(cavity.index.value, cavity.index.low) if cavity.index else NONE
    shape = _index(one.percentile.value, one.percentile.low) if one.percentile else NONE
    outside = _outside(one.outside.total, one.outside.high) if one.outside else NONE
    tolerance = span(one.tolerance.interval, decimals) if one.tolerance else NONE
    label = cavity.cavity or "?"
    return [label, bar, number(cavity.mean, decimals), str(cavity.parts), judged, shape, outside, tolerance]


def _mix(found: SizeInDepth) -> Iterator[list[str]]:
    mix = found.analysis.mix
    if mix is None:
        return
    yield _mix_row("as shipped", mix.as_is)
    if mix.centred is not None:
        yield _mix_row("each centred", mix.centred)


def _mix_row(name: str, mix: MixFinding) -> list[str]:
    index = _index(mix.index, mix.index_low)
    return ["all", name, "", "", "", index, _outside(mix.outside, mix.outside_high), ""]


def _index(value: float, low: float) -> str:
    return f"{number(value, 2)} (≥ {number(low, 2)})"


def _outside(share: float, high: float) -> str:
    return f"{parts_outside(share)} (at most {most_outside(high)})"


def _differences(found: SizeInDepth) -> list[str]:
    differences = found.analysis.differences
    if differences is None:
        return []
    decimals = found.size.decimals
    rows = [
        [
            one.cavity or "?",
            signed(one.offset, decimals),
            span(one.interval, decimals),
            "stands apart" if one.stands_out else "",
        ]
        for one in differences.offsets
    ]
    title = f"Each cavity less the mean of all, in {found.size.unit}, 95 % for all at once"
    return [*heading(title), *table(rows, width=width(), sides="<><<", indent=2)]


def _shares(found: SizeInDepth) -> list[str]:
    shares = found.analysis.shares
    if shares is None:
        return []
    rows = [
        [
            one.source,
            percent(one.of_total, 0),
            f"{percent(one.of_total_interval.low, 0)} to {percent(one.of_total_interval.high, 0)}"
            if one.of_total_interval
            else "",
            f"sd {number(one.sd, found.size.decimals + 1)} {found.size.unit}",
        ]
        for one in shares.shares
    ]
    title = f"Where the variation comes from ({shares.method})"
    return [*heading(title), *table(rows, width=width(), sides="<>><", indent=2)]


def _shape(found: SizeInDepth) -> list[str]:
    return [*heading("Shape"), *sentence(shape_in_words(found))]


def _readings(found: SizeInDepth) -> list[str]:
    shown = [one for one in found.analysis.readings if one.pointed_at or one.counts is Counts.LEFT_OUT]
    if not shown:
        return []
    rows = [
        [
            number(one.value, found.size.decimals),
            f"cavity {one.cavity or '?'}",
            "" if one.shot is None else f"shot {one.shot}",
            f"left out: {one.reason}" if one.reason else "stands apart",
            one.cell,
        ]
        for one in shown[:ALL_SHOWN]
    ]
    return [*heading("Readings to look at"), *table(rows, width=width(), sides="><<<", indent=2)]

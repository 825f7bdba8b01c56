"""One characteristic in words, the same on the page, in the report and on the terminal."""

from __future__ import annotations

from dataclasses import astuple, dataclass

from offtool.core.inspection.distribution import FractionOutside, PercentileIndex
from offtool.core.inspection.mix import MixFinding
from offtool.core.inspection.subgroups import SubgroupIndex
from offtool.core.inspection.tolerance import ToleranceInterval
from offtool.reports import words
from offtool.steps.size_in_depth import CavityInDepth, SizeInDepth

PER_MILLION = 1e6
MOST = {
    "cavity": "differences between cavities",
    "shot": "differences from shot to shot",
    "drift": "drift along the trial",
    "part": "differences from part to part",
    "gauge": "the gauge",
}
HEADINGS = (
    "Cavity",
    "parts",
    "index within subgroups of 5 shots",
    "index by the shape",
    "parts outside",
    "99 % of parts lie",
    "without any shape",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class DepthRow:
    """One cavity, or the mix that ships, by every measure of capability."""

    cavity: str
    parts: int
    within: str
    """Index from the spread within subgroups of consecutive shots."""
    percentile: str
    """Index by the fitted shape."""
    outside: str
    """Share of parts outside, with its upper bound, in parts per million."""
    tolerance: str
    """Where 99 % of parts lie."""
    tolerance_free: str
    """The same without any shape."""


def shape_in_words(found: SizeInDepth) -> str:
    """How well the fitted shape describes the readings."""
    fit, plot = found.analysis.fit, found.analysis.plot
    if fit is None or plot is None:
        return "Too few readings, or all alike: no shape can be drawn."
    of = f"cavity {found.cavity_shown}" if found.cavity_shown else "all cavities, each about its own mean"
    if len(found.analysis.cavities) == 1:
        of = "all readings"
    points = "no point" if not plot.outside_band else f"{plot.outside_band} of {plot.parts} points"
    return (
        f"The {fit.family} shape for {of}: {points} outside the band; a sample of that shape is as crooked "
        f"as this in {words.chance(plot.p)} of cases."
    )


def differences_in_words(found: SizeInDepth) -> str:
    """Which cavities can be told apart."""
    differences = found.analysis.differences
    if differences is None:
        return ""
    apart = differences.told_apart
    if not apart:
        return "No two cavities can be told apart."
    pairs = len(differences.pairs)
    widest = max(apart, key=lambda one: abs(one.difference))
    far = words.number(abs(widest.difference), found.size.decimals)
    ends = sorted((abs(widest.interval.low), abs(widest.interval.high)))
    reach = " to ".join(words.number(end, found.size.decimals) for end in ends)
    return (
        f"{len(apart)} of {pairs} pairs differ for sure; the widest, {widest.first} and {widest.second}, by "
        f"{far} ({reach}) {found.size.unit}."
    )


def shares_in_words(found: SizeInDepth) -> str:
    """What makes most of the variation."""
    shares = found.analysis.shares
    if shares is None:
        return ""
    largest = max(shares.shares, key=lambda one: one.variance)
    return (
        f"Most of it, {words.percent(largest.of_total, 0)}, is {MOST[largest.source]} (by {shares.method})."
    )


def depth_rows(found: SizeInDepth) -> list[DepthRow]:
    """Every cavity, then what ships of them all."""
    decimals = found.size.decimals
    rows = [_depth_row(one, decimals) for one in found.analysis.cavities]
    mix = found.analysis.mix
    if mix is not None:
        rows.append(_mix_row("all as shipped", mix.parts, mix.as_is))
        if mix.centred is not None:
            rows.append(_mix_row("all, were each centred", mix.parts, mix.centred))
    return rows


def _mix_row(name: str, parts: int, mix: MixFinding) -> DepthRow:
    return DepthRow(
        cavity=name,
        parts=parts,
        within="",
        percentile=_bounded(mix.index, mix.index_low),
        outside=_outside(mix.outside, mix.outside_high),
        tolerance="",
        tolerance_free="",
    )


def _depth_row(one: CavityInDepth, decimals: int) -> DepthRow:
    return DepthRow(
        cavity=one.finding.cavity or "not recorded",
        parts=one.finding.parts,
        within=_within(one.subgroups),
        percentile=_percentile(one.percentile),
        outside=_share_outside(one.outside),
        tolerance=_interval(one.tolerance, decimals),
        tolerance_free=_interval(one.tolerance_free, decimals),
    )


def _bounded(value: float, low: float) -> str:
    return f"{words.number(value, 2)} (at least {words.number(low, 2)})"


def _percentile(found: PercentileIndex | None) -> str:
    return _bounded(found.value, found.low) if found else words.NONE


def _within(found: SubgroupIndex | None) -> str:
    return _bounded(found.within.value, found.within.low) if found else words.NONE


def _share_outside(found: FractionOutside | None) -> str:
    return _outside(found.total, found.high) if found else words.NONE


def _outside(share: float, high: float) -> str:
    return f"{_millionths(share)} (at most {_millionths(high)})"


def _millionths(share: float) -> str:
    return words.percent(share, 1) if share >= 0.01 else f"{PER_MILLION * share:,.0f} ppm"


def _interval(found: ToleranceInterval | None, decimals: int) -> str:
    if found is None:
        return words.NONE
    if found.parts_needed is not None and found.attained < found.confidence:
        return f"{found.parts_needed} parts needed"
    return words.span(found.interval, decimals)


def size_rows(found: SizeInDepth) -> list[list[str]]:
    """The table of `depth_rows` with its headings."""
    return [list(HEADINGS), *([str(cell) for cell in astuple(row)] for row in depth_rows(found))]

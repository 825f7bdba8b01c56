"""One characteristic in words, the same on the page, in the report and on the terminal."""

from __future__ import annotations

from offtool.core.inspection import CavityFinding
from offtool.core.inspection.mix import MixFinding
from offtool.core.inspection.tolerance import ToleranceInterval
from offtool.reports import words
from offtool.steps.readings_seen import Counts
from offtool.steps.size_in_depth import CavityInDepth, SizeInDepth

MOST = {
    "cavity": "differences between cavities",
    "shot": "differences from shot to shot",
    "drift": "drift along the trial",
    "part": "differences from part to part",
    "gauge": "the gauge",
}
DEPTH = (
    "Cavity",
    "parts",
    "index within subgroups of 5 shots",
    "index by the shape",
    "parts outside",
    "99 % of parts lie",
)
WITHOUT_SHAPE = "without any shape"
JUDGED = ("Cavity", "parts", "mean", "lowest to highest", "off target", "index", "parts outside", "its mean")


def shape_in_words(found: SizeInDepth) -> str:
    """How well the fitted shape describes the readings."""
    fit, plot = found.analysis.fit, found.analysis.plot
    if fit is None or plot is None:
        return "Too few readings, or all alike: no shape can be drawn."
    of = f"cavity {found.cavity_shown}" if found.cavity_shown else "all cavities, each about its own mean"
    if len(found.analysis.cavities) == 1:
        of = "all readings"
    points = "no point" if not plot.outside_band else f"{plot.outside_band} of {plot.parts} points"
    refused = found.analysis.shape_refused
    instead = f"{refused[0].upper()}{refused[1:]}. Shown instead: the" if refused else "The"
    return (
        f"{instead} {fit.family} shape for {of}: {points} outside the band; a sample of that shape is as "
        f"crooked as this in {words.chance(plot.p)} of cases."
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
        f"{len(apart)} of {pairs} pairs differ; the widest, {widest.first} and {widest.second}, by "
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


def judged_table(found: SizeInDepth) -> list[tuple[str, ...]]:
    """The numbers each cavity is judged by, under their headings."""
    return [JUDGED, *(_judged_row(one.finding, found) for one in found.analysis.cavities)]


def _judged_row(cavity: CavityFinding, found: SizeInDepth) -> tuple[str, ...]:
    decimals = found.size.decimals
    used = [
        one.value
        for one in found.analysis.readings
        if one.cavity == cavity.cavity and one.counts is Counts.YES
    ]
    return (
        cavity.cavity or "not recorded",
        str(cavity.parts),
        words.with_interval(cavity.mean, cavity.interval, decimals),
        words.ends(min(used), max(used), decimals) if used else words.NONE,
        words.signed(cavity.offset, decimals),
        words.index(cavity.index),
        outside_in_words(cavity),
        str(cavity.conformity),
    )


def outside_in_words(cavity: CavityFinding) -> str:
    """How many parts lie outside, and of how many it cannot be said."""
    said = f"{cavity.parts_outside} of {cavity.parts}"
    return f"{said}, {cavity.parts_unsure} cannot be said" if cavity.parts_unsure else said


def depth_table(found: SizeInDepth) -> list[tuple[str, ...]]:
    """Every cavity by every measure of capability, then what ships of them all, under their headings.

    Where no cavity has the parts for an interval without any shape, that column is left away.
    """
    decimals = found.size.decimals
    free = any(_is_attained(one.tolerance_free) for one in found.analysis.cavities)
    rows = [_depth_row(one, decimals, free=free) for one in found.analysis.cavities]
    mix = found.analysis.mix
    if mix is not None:
        rows.append(_mix_row("all as shipped", mix.parts, mix.as_is, free=free))
        if mix.centred is not None:
            rows.append(_mix_row("all, were each centred", mix.parts, mix.centred, free=free))
    return [(*DEPTH, *([WITHOUT_SHAPE] if free else [])), *rows]


def _depth_row(one: CavityInDepth, decimals: int, *, free: bool) -> tuple[str, ...]:
    return (
        one.finding.cavity or "not recorded",
        str(one.finding.parts),
        _bounded(one.subgroups.within.value, one.subgroups.within.low) if one.subgroups else words.NONE,
        _bounded(one.percentile.value, one.percentile.low) if one.percentile else words.NONE,
        _outside(one.outside.total, one.outside.high) if one.outside else words.NONE,
        _interval(one.tolerance, decimals),
        *([_interval(one.tolerance_free, decimals)] if free else []),
    )


def _mix_row(name: str, parts: int, mix: MixFinding, *, free: bool) -> tuple[str, ...]:
    index, outside = _bounded(mix.index, mix.index_low), _outside(mix.outside, mix.outside_high)
    return (name, str(parts), "", index, outside, "", *([""] if free else []))


def _bounded(value: float, low: float) -> str:
    return f"{words.number(value, 2)} (at least {words.number(low, 2)})"


def _outside(share: float, high: float) -> str:
    return f"{words.parts_outside(share)} (at most {words.most_outside(high)})"


def _is_attained(found: ToleranceInterval | None) -> bool:
    return found is not None and (found.parts_needed is None or found.attained >= found.confidence)


def _interval(found: ToleranceInterval | None, decimals: int) -> str:
    if found is None:
        return words.NONE
    return (
        words.span(found.interval, decimals) if _is_attained(found) else f"{found.parts_needed} parts needed"
    )

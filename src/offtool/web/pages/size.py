"""The page of one characteristic: its verdict, what to do, the drawings that say why, the numbers behind."""

from __future__ import annotations

from dataclasses import dataclass

from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe

from offtool.core.inspection.distribution import FractionOutside, PercentileIndex
from offtool.core.inspection.mix import MixFinding
from offtool.core.inspection.subgroups import SubgroupIndex
from offtool.core.inspection.tolerance_interval import ToleranceInterval
from offtool.core.values import Caution, Verdict
from offtool.reports import words
from offtool.reports.limit_bar import draw_key_bar, draw_limit_bar, key_words
from offtool.reports.run_drawing import reading_in_words
from offtool.reports.size_drawings import differences_of, plot_of, run_of, shares_of
from offtool.steps.findings import Fact
from offtool.steps.readings_seen import Counts, ReadingSeen
from offtool.steps.size_in_depth import CavityInDepth, SizeInDepth
from offtool.web.forms.judging import LeaveOutForm, ShownForm
from offtool.web.pages.frame import AS_JSON, Frame, TrialPlace, trial_frame
from offtool.web.pages.trial import MARK, ActionRow, CavityRow, cavity_row

READINGS_LISTED = 400
"""Readings that stand in the table; more are in the files and in the JSON."""
PER_MILLION = 1e6

LINKS = {
    "correction": "the correction",
    "read": "read a file",
    "gauge": "the gauges",
    "readings": "the readings",
    "run": "the readings in order",
    "cavities": "cavity by cavity",
}


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


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingRow:
    """One reading of the table."""

    reading_id: int
    shot: str
    cavity: str
    value: str
    says: str
    mark: str
    can_tick: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class CandidateRow:
    """One shape that was tried."""

    family: str
    aicc: str
    p: str
    is_taken: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SizePage:
    """One characteristic in depth."""

    frame: Frame
    place: TrialPlace
    when: str
    headline: str
    why: str
    mark: str
    word: str
    actions: tuple[ActionRow, ...]
    facts: tuple[Fact, ...]
    cautions: tuple[Caution, ...]
    bar: SafeString
    key: SafeString
    key_words: str
    run: SafeString
    plot: SafeString
    differences: SafeString
    shares: SafeString
    shown_form: ShownForm
    shape_says: str
    differences_say: str
    shares_say: str
    cavities: tuple[CavityRow, ...]
    depth: tuple[DepthRow, ...]
    candidates: tuple[CandidateRow, ...]
    readings: tuple[ReadingRow, ...]
    more_readings: int
    left_out: tuple[ReadingRow, ...]
    leave_out_form: LeaveOutForm
    take_back_form: LeaveOutForm
    method: str


def size_page(
    found: SizeInDepth,
    place: TrialPlace,
    shown_form: ShownForm,
    leave_out_form: LeaveOutForm,
    take_back_form: LeaveOutForm,
) -> SizePage:
    """The page of a characteristic in depth."""
    size, analysis = found.size, found.analysis
    listed = [one for one in analysis.readings if one.counts is not Counts.LEFT_OUT]
    listed.sort(key=lambda one: not one.pointed_at)
    left_out = [one for one in analysis.readings if one.counts is Counts.LEFT_OUT]
    return SizePage(
        frame=trial_frame(place, here=f"{size.part} {size.number}", as_json=AS_JSON),
        place=place,
        when=_when(found),
        headline=found.headline,
        why=size.why,
        mark=MARK[size.verdict],
        word=str(size.verdict),
        actions=tuple(
            ActionRow(
                do=one.do,
                because=one.because,
                href=_href(one.leads_to, place),
                link=LINKS.get(one.leads_to, ""),
            )
            for one in found.actions
        ),
        facts=found.rests_on,
        cautions=found.cautions,
        bar=_safe(draw_limit_bar(size.finding, decimals=size.decimals, unit=size.unit)),
        key=_safe(draw_key_bar()),
        key_words=key_words(),
        run=_safe(run_of(found)),
        plot=_safe(plot_of(found)),
        differences=_safe(differences_of(found)),
        shares=_safe(shares_of(found)),
        shown_form=shown_form,
        shape_says=_shape(found),
        differences_say=_differences(found),
        shares_say=_shares(found),
        cavities=tuple(cavity_row(one.finding, size.decimals) for one in analysis.cavities),
        depth=tuple(_depth_rows(found)),
        candidates=tuple(_candidates(found)),
        readings=tuple(_reading_row(one, found) for one in listed[:READINGS_LISTED]),
        more_readings=max(len(listed) - READINGS_LISTED, 0),
        left_out=tuple(_reading_row(one, found) for one in left_out),
        leave_out_form=leave_out_form,
        take_back_form=take_back_form,
        method=found.method,
    )


def _safe(drawing: str) -> SafeString:
    return mark_safe(drawing)  # noqa: S308 our own drawings, which escape what people wrote


def _href(leads_to: str, place: TrialPlace) -> str:
    if leads_to in ("readings", "run", "cavities"):
        return f"#{leads_to}"
    if leads_to == "gauge":
        return reverse("gauges", args=[place.programme])
    return place.address(leads_to) if leads_to else ""


def _when(found: SizeInDepth) -> str:
    size, finding = found.size, found.size.finding
    limits = words.limits(finding.lower, finding.upper, nominal=size.nominal, decimals=size.decimals)
    index = finding.required_index
    demand = f"index {words.number(index, 2)} to be shown" if index else "each reading to lie inside"
    return f"{limits} {size.unit}, {size.weight_class}: {demand}. Tool {found.tool}, state {found.state}"


def _shape(found: SizeInDepth) -> str:
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


def _differences(found: SizeInDepth) -> str:
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


def _shares(found: SizeInDepth) -> str:
    shares = found.analysis.shares
    if shares is None:
        return ""
    largest = max(shares.shares, key=lambda one: one.variance)
    names = {
        "cavity": "differences between cavities",
        "shot": "differences from shot to shot",
        "drift": "drift along the trial",
        "part": "differences from part to part",
        "gauge": "the gauge",
    }
    return (
        f"Most of it, {words.percent(largest.of_total, 0)}, is {names[largest.source]} (by {shares.method})."
    )


def _depth_rows(found: SizeInDepth) -> list[DepthRow]:
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


def _candidates(found: SizeInDepth) -> list[CandidateRow]:
    fit = found.analysis.fit
    if fit is None:
        return []
    return [
        CandidateRow(
            family=one.family,
            aicc=words.number(one.aicc, 1),
            p=words.chance(one.p),
            is_taken=one.family == fit.family,
        )
        for one in fit.candidates
    ]


def _reading_row(one: ReadingSeen, found: SizeInDepth) -> ReadingRow:
    finding = found.size.finding
    inside = (finding.lower is None or one.value >= finding.lower) and (
        finding.upper is None or one.value <= finding.upper
    )
    return ReadingRow(
        reading_id=one.reading_id,
        shot="" if one.shot is None else str(one.shot),
        cavity=one.cavity,
        value=words.number(one.value, found.size.decimals),
        says=reading_in_words(one),
        mark="" if inside else MARK[Verdict.FAILS],
        can_tick=True,
    )

"""The page of one characteristic: its verdict, what to do, the drawings that say why, the numbers behind."""

from __future__ import annotations

from collections.abc import Container
from dataclasses import dataclass

from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe

from offtool.core.values import Caution, Verdict
from offtool.reports import words
from offtool.reports.limit_bar import draw_key_bar, draw_limit_bar, key_words
from offtool.reports.run_drawing import reading_in_words
from offtool.reports.size_drawings import differences_of, plot_of, run_of, shares_of
from offtool.reports.size_words import (
    depth_table,
    differences_in_words,
    shape_in_words,
    shares_in_words,
)
from offtool.steps.findings import Fact
from offtool.steps.readings_seen import Counts, ReadingSeen, WordSaid
from offtool.steps.size_in_depth import SizeInDepth
from offtool.web.forms.judging import LeaveOutForm, ShownForm
from offtool.web.pages.frame import AS_JSON, Frame, TrialPlace, trial_frame
from offtool.web.pages.trial import MARK, ActionRow, CavityRow, cavity_row

READINGS_LISTED = 400
"""Readings that stand in the table; more are in the files and in the JSON."""

LINKS = {
    "correction": "the correction",
    "read": "read a file",
    "gauge": "the gauges",
    "readings": "the readings",
    "run": "the readings in order",
    "cavities": "cavity by cavity",
    "steel": "name the steel",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingRow:
    """One reading of the table."""

    reading_id: int
    shot: str
    cavity: str
    value: str
    says: str
    mark: str
    is_ticked: bool
    """Ticked by a person whose form could not be taken yet."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WordRow:
    """What a person said of a reading."""

    value: str
    says: str
    reason: str
    who: str


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
    depth_headings: tuple[str, ...]
    depth: tuple[tuple[str, ...], ...]
    candidates: tuple[CandidateRow, ...]
    readings: tuple[ReadingRow, ...]
    more_readings: int
    left_out: tuple[ReadingRow, ...]
    said: tuple[WordRow, ...]
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
    headings, *rows = depth_table(found)
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
        shape_says=shape_in_words(found),
        differences_say=differences_in_words(found),
        shares_say=shares_in_words(found),
        cavities=tuple(cavity_row(one.finding, size.decimals) for one in analysis.cavities),
        depth_headings=headings,
        depth=tuple(rows),
        candidates=tuple(_candidates(found)),
        readings=tuple(_reading_row(one, found, leave_out_form.ticked) for one in listed[:READINGS_LISTED]),
        more_readings=max(len(listed) - READINGS_LISTED, 0),
        left_out=tuple(_reading_row(one, found, take_back_form.ticked) for one in left_out),
        said=tuple(_word_row(one, found) for one in found.said),
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


def _reading_row(one: ReadingSeen, found: SizeInDepth, ticked: Container[str]) -> ReadingRow:
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
        is_ticked=str(one.reading_id) in ticked,
    )


def _word_row(one: WordSaid, found: SizeInDepth) -> WordRow:
    return WordRow(
        value=words.number(one.value, found.size.decimals),
        says=f"{'left out' if one.is_left_out else 'counts again'}; {one.cell}",
        reason=one.reason,
        who=f"{one.made_by}, {words.day(one.made_at)}",
    )

"""The page of a trial: verdict, what to do, why, and in the margin what it rests on."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.safestring import SafeString, mark_safe

from offtool.core.inspection import CavityFinding
from offtool.core.values import Caution, Verdict
from offtool.reports import words
from offtool.reports.limit_bar import draw_key_bar, draw_limit_bar, draw_verdict_mark, key_words
from offtool.reports.size_words import outside_in_words
from offtool.steps.findings import (
    Action,
    CavitiesCompared,
    CavitiesDiffer,
    Fact,
    FileRead,
    JudgedSize,
    PredictionSeen,
    TrialFindings,
)
from offtool.steps.readings_seen import ReadingSeen
from offtool.web.forms.judging import SettleForm
from offtool.web.pages.frame import AS_JSON, Frame, TrialPlace, anchor, trial_frame
from offtool.web.pages.press import PressSection, press_section

HOLDING_SHOWN = 3
"""Sizes that hold which stand in the open; the rest is folded."""
PREDICTIONS_SHOWN = 8

MARK = {Verdict.FAILS: "no", Verdict.NOT_SHOWN: "doubt", Verdict.HOLDS: "yes"}
OUTCOME_MARK = {"refuted": "no", "undecided": "doubt", "confirmed": "yes"}
WORST_FIRST = list(OUTCOME_MARK)


@dataclass(frozen=True, slots=True, kw_only=True)
class ActionRow:
    """One thing to do, and the link that leads on."""

    do: str
    because: str
    href: str
    link: str
    """Words of the link; empty for nowhere."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CavityRow:
    """The numbers behind one line of a limit bar."""

    cavity: str
    parts: int
    mean: str
    """With its interval."""
    offset: str
    """From target."""
    index: str
    """With its bounds."""
    readings: str
    """How many lie outside for sure, and of how many the gauge cannot tell."""
    conformity: str
    """Whether the mean lies inside for sure (ISO 14253-1)."""
    verdict: str
    mark: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeRow:
    """One size: limits, cavities between them, verdict and why."""

    anchor: str
    """The mark by which other pages lead to this size."""
    href: str
    """The page of the size in depth."""
    number: str
    name: str
    part: str
    """The part's code; empty where the trial is of one part only."""
    limits: str
    """As on the drawing, with the unit."""
    demand: str
    """What must be shown."""
    bar: SafeString
    mark: str
    """The class that gives the verdict its sign: no, doubt, yes."""
    word: str
    why: str
    cavities: tuple[CavityRow, ...]
    discarded: int
    """Readings of unsettled shots, kept and not used."""
    cautions: tuple[Caution, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PredictionRow:
    """What was foretold of a size in a cavity, and what was found."""

    size: str
    href: str
    """Where the size stands on this page; empty where it was not judged."""
    cavity: str
    foretold: str
    found: str
    word: str
    mark: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FileRow:
    """A file of readings; its bytes can be had as they came."""

    name: str
    href: str
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingRow:
    """A reading that is pointed at or left out."""

    size: str
    href: str
    """The size's readings one by one, where it is left out or taken back in."""
    value: str
    says: str
    because: str
    """Why it is left out, and who said so."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DifferRow:
    """A size whose cavities differ by more than chance."""

    size: str
    href: str
    difference: str
    between: str
    of_tolerance: str


@dataclass(frozen=True, slots=True, kw_only=True)
class KeySign:
    """One mark of the drawing and its word."""

    sign: SafeString
    word: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialPage:
    """A trial, judged."""

    frame: Frame
    place: TrialPlace
    when: str
    """When and how it was run, in a line."""
    headline: str
    actions: tuple[ActionRow, ...]
    """In the order of effect."""
    facts: tuple[Fact, ...]
    """What the verdict rests on."""
    files: tuple[FileRow, ...]
    cautions: tuple[Caution, ...]
    key: SafeString
    key_words: str
    signs: tuple[KeySign, ...]
    open_sizes: tuple[SizeRow, ...]
    """Sizes that do not hold or are not shown, then a few that hold."""
    folded_sizes: tuple[SizeRow, ...]
    """The others that hold."""
    open_predictions: tuple[PredictionRow, ...]
    folded_predictions: tuple[PredictionRow, ...]
    predictions_of: str
    """The trial that foretold them."""
    pointed_at: tuple[ReadingRow, ...]
    left_out: tuple[ReadingRow, ...]
    differ: tuple[DifferRow, ...]
    differ_says: str
    settle_form: SettleForm
    press: PressSection | None
    """What was seen at the press; None where nothing was looked at and nothing is open."""
    method: str


def trial_page(findings: TrialFindings, place: TrialPlace, settle_form: SettleForm) -> TrialPage:
    """The page of a trial's findings."""
    one_part = len({size.part for size in findings.sizes}) == 1
    rows = [_size_row(size, place, part="" if one_part else size.part) for size in findings.sizes]
    shown = len(rows) - findings.count(Verdict.HOLDS) + HOLDING_SHOWN
    sizes = {f"{size.part} {size.number}": size for size in findings.sizes}
    foretold = [_prediction_row(seen, sizes.get(seen.size)) for seen in findings.predictions]
    foretold.sort(key=lambda row: WORST_FIRST.index(row.word))
    return TrialPage(
        frame=trial_frame(place, as_json=AS_JSON),
        place=place,
        when=_when(findings),
        headline=findings.headline,
        actions=tuple(_action_row(action, place) for action in findings.actions),
        facts=tuple(fact for fact in findings.rests_on if fact.about != "File"),
        files=tuple(_file_row(file, place) for file in findings.files),
        cautions=findings.cautions,
        key=mark_safe(draw_key_bar()),  # noqa: S308 our own drawing
        key_words=key_words(),
        signs=tuple(map(_key_sign, Verdict)),
        open_sizes=tuple(rows[:shown]),
        folded_sizes=tuple(rows[shown:]),
        open_predictions=tuple(foretold[:PREDICTIONS_SHOWN]),
        folded_predictions=tuple(foretold[PREDICTIONS_SHOWN:]),
        predictions_of=findings.predictions[0].made_at if findings.predictions else "",
        pointed_at=tuple(_reading_row(one, sizes, place) for one in findings.pointed_at),
        left_out=tuple(_reading_row(one, sizes, place) for one in findings.left_out),
        differ=tuple(_differ_row(one, place) for one in findings.cavities.differ)
        if findings.cavities
        else (),
        differ_says=_differ_says(findings.cavities),
        settle_form=settle_form,
        press=press_section(findings.at_press, place) if findings.at_press else None,
        method=findings.method,
    )


def _key_sign(verdict: Verdict) -> KeySign:
    return KeySign(sign=mark_safe(draw_verdict_mark(verdict)), word=str(verdict))  # noqa: S308 our own drawing


def size_anchor(part: str, number: str) -> str:
    """The mark of a size on the page of its trial."""
    return anchor("size", part, number)


def _when(findings: TrialFindings) -> str:
    shot = f"Shot {words.day(findings.shot_on)}" if findings.shot_on else "Day not recorded"
    press = f" on {findings.press}" if findings.press else ""
    colour = f", {findings.colour}" if findings.colour else ""
    age = f"; measured after {findings.age_h:g} h" if findings.age_h is not None else ""
    tool = f"Tool {findings.tool} {findings.tool_name}".rstrip()
    return f"{tool}, state {findings.state}. {shot}{press}{colour}{age}"


def _action_row(action: Action, place: TrialPlace) -> ActionRow:
    ways = {
        "correction": ("the correction", place.address("correction")),
        "sizes": ("the sizes", "#sizes"),
        "steel": ("name the steel", place.address("steel")),
        "read": ("read a file", place.address("read")),
        "look": ("look at pieces", place.address("look")),
    }
    link, href = ways.get(action.leads_to, ("", ""))
    return ActionRow(do=action.do, because=action.because, href=href, link=link)


def _file_row(file: FileRead, place: TrialPlace) -> FileRow:
    says = [f"{file.readings:,} readings"]
    if file.repairs:
        says.append(f"{file.repairs} repaired")
    if file.left_out:
        says.append(f"{file.left_out} left out")
    href = place.address("source_file", file.source_id)
    return FileRow(name=file.name, href=href, says=", ".join(says))


def _reading_row(one: ReadingSeen, sizes: dict[str, JudgedSize], place: TrialPlace) -> ReadingRow:
    size = sizes.get(one.size)
    name = f"{one.size} {size.name}".rstrip() if size else one.size
    value = words.number(one.value, size.decimals) if size else f"{one.value:g}"
    cavity = f"{words.cavity(one.cavity)}, " if one.cavity else ""
    shot = f"shot {one.shot}, " if one.shot is not None else ""
    by = f" ({one.said_by})" if one.said_by else ""
    return ReadingRow(
        size=name,
        href=f"{size_address(place, *one.size.rsplit(' ', 1))}#readings" if size else "",
        value=f"{value} {size.unit}" if size else value,
        says=f"{cavity}{shot}{one.cell}",
        because=f"{one.reason}{by}" if one.reason else "",
    )


def _differ_row(one: CavitiesDiffer, place: TrialPlace) -> DifferRow:
    return DifferRow(
        size=one.size,
        href=f"{size_address(place, *one.size.rsplit(' ', 1))}#cavities",
        difference=f"{words.number(one.difference, one.decimals)} {one.unit}",
        between=f"{one.low_cavity} and {one.high_cavity}",
        of_tolerance=words.percent(one.of_tolerance, 0) if one.of_tolerance is not None else "",
    )


def _differ_says(found: CavitiesCompared | None) -> str:
    """How many sizes were asked, and how many would seem to differ by chance."""
    if found is None:
        return ""
    chance = words.number(found.false_alarms, 1)
    return (
        f"Asked of {found.sizes} sizes one by one, about {chance} would seem to differ by chance. Named are "
        f"those that stand when at most {words.percent(found.rate, 0)} of what is named may be false."
    )


def size_address(place: TrialPlace, part: str, number: str) -> str:
    """The address of the page of a size in depth."""
    return place.address("size", part, number)


def _size_row(size: JudgedSize, place: TrialPlace, part: str) -> SizeRow:
    finding = size.finding
    limits = words.limits(finding.lower, finding.upper, nominal=size.nominal, decimals=size.decimals)
    index = finding.required_index
    demand = f"index {words.number(index, 2)}" if index else "each reading inside"
    return SizeRow(
        anchor=size_anchor(size.part, size.number),
        href=size_address(place, size.part, size.number),
        number=size.number,
        name=size.name or f"Size {size.number}",
        part=part,
        limits=f"{limits} {size.unit}",
        demand=f"{size.weight_class}: {demand}",
        bar=mark_safe(draw_limit_bar(finding, decimals=size.decimals, unit=size.unit)),  # noqa: S308 it escapes
        mark=MARK[finding.verdict],
        word=str(finding.verdict),
        why=size.why,
        cavities=tuple(cavity_row(cavity, size.decimals) for cavity in finding.cavities),
        discarded=size.discarded_readings,
        cautions=finding.cautions,
    )


def cavity_row(cavity: CavityFinding, decimals: int) -> CavityRow:
    """The numbers of one cavity."""
    return CavityRow(
        cavity=cavity.cavity or "not recorded",
        parts=cavity.parts,
        mean=words.with_interval(cavity.mean, cavity.interval, decimals),
        offset=words.signed(cavity.offset, decimals),
        index=words.index(cavity.index),
        readings=outside_in_words(cavity),
        conformity=str(cavity.conformity),
        verdict=str(cavity.verdict),
        mark=MARK[cavity.verdict],
    )


def _prediction_row(seen: PredictionSeen, size: JudgedSize | None) -> PredictionRow:
    low, high = (words.number(end, seen.decimals) for end in (seen.low, seen.high))
    found = words.number(seen.judged.observed_mean, seen.decimals)
    outcome = seen.judged.outcome.value
    return PredictionRow(
        size=f"{seen.size} {size.name}".rstrip() if size else seen.size,
        href=f"#{size_anchor(size.part, size.number)}" if size else "",
        cavity=seen.cavity,
        foretold=f"{low} to {high} {seen.unit} ({words.percent(seen.confidence, 0)})",
        found=f"{found} {seen.unit}",
        word=outcome,
        mark=OUTCOME_MARK[outcome],
    )

"""The page of one seam: does it hold, what to do, why, and the question whether a piece is open."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe

from offtool.core.values import Caution
from offtool.core.welding.cautions import AT_THE_WELDER, EDGES, PULLING
from offtool.reports import words
from offtool.reports.weibull_drawing import draw_weibull
from offtool.reports.weld_window_drawing import draw_weld_window
from offtool.steps.ask_if_open import OpenAsked, SeamHeights
from offtool.steps.findings import Fact
from offtool.steps.joint_found import JointSizeSeen
from offtool.steps.seam_found import SeamFound, WeldStudySeen
from offtool.steps.sentences import count, sentence
from offtool.web.forms.judging import SetAsideForm
from offtool.web.pages.frame import AS_JSON, Frame
from offtool.web.pages.seam_open import OpenShown, answer_shown, heights_in_words, piece_shown
from offtool.web.pages.seam_why import (
    AmplitudeShown,
    AuditShown,
    MeltShown,
    RuleRow,
    SettingRow,
    StrengthShown,
    amplitude_shown,
    audit_shown,
    melt_shown,
    rule_row,
    setting_rows,
    strength_shown,
)
from offtool.web.pages.seam_words import design_in_words, with_capital
from offtool.web.pages.seams import SeamPlace, action_row, place_of
from offtool.web.pages.trial import ActionRow

WIDE = 560.0
"""Width of the two drawings, in pixels."""
WELDER = frozenset((*AT_THE_WELDER, PULLING, EDGES))
"""Cautions that stand under a heading of their own."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SeamSizeRow:
    """One size of the seam, and where it is from."""

    meaning: str
    value: str
    source: str
    href: str
    """The size as it was measured; empty for a number that was given."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WeldStudyRow:
    """One weld study, and the form that sets it aside."""

    name: str
    what: str
    pieces: str
    when: str
    file: str
    file_href: str
    state: str
    form: Any
    """None where it is set aside already."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SeamPage:
    """One seam."""

    frame: Frame
    place: SeamPlace
    when: str
    headline: str
    actions: tuple[ActionRow, ...]
    facts: tuple[Fact, ...]
    at_the_welder: tuple[Caution, ...]
    cautions: tuple[Caution, ...]
    window: SafeString | None
    settings: tuple[SettingRow, ...]
    share_says: str
    strength: StrengthShown | None
    weibull: SafeString | None
    design_says: str
    rules: tuple[RuleRow, ...]
    missing: tuple[str, ...]
    melt: MeltShown | None
    amplitude: AmplitudeShown | None
    energy: str
    pieces: tuple[OpenShown, ...]
    heights: str
    open_form: Any
    answer: OpenShown | None
    audit: AuditShown | None
    sizes: tuple[SeamSizeRow, ...]
    studies: tuple[WeldStudyRow, ...]
    read_href: str
    change_href: str
    report_href: str
    method: str


def seam_page(
    found: SeamFound,
    heights: SeamHeights,
    open_form: Any,
    *,
    asked: OpenAsked | None = None,
    made_by: str = "",
    refused: Mapping[str, SetAsideForm] | None = None,
) -> SeamPage:
    """The page of a seam; `refused` has the form of the study that could not be set aside."""
    place = place_of(found)
    return SeamPage(
        frame=place.frame(as_json=AS_JSON),
        place=place,
        when=_when(found),
        headline=found.headline,
        actions=tuple(action_row(one, place) for one in found.actions),
        facts=found.rests_on,
        at_the_welder=tuple(one for one in found.cautions if one in WELDER),
        cautions=tuple(with_capital(one) for one in found.cautions if one not in WELDER),
        window=mark_safe(draw_weld_window(found.window, width=WIDE)) if found.window else None,  # noqa: S308 our own
        settings=tuple(setting_rows(found.window)) if found.window else (),
        share_says=_share(found),
        strength=strength_shown(found.strength) if found.strength else None,
        weibull=mark_safe(draw_weibull(found.weibull, width=WIDE)) if found.weibull else None,  # noqa: S308 our own
        design_says=sentence(design_in_words(found.design)),
        rules=tuple(map(rule_row, found.design.rows)) if found.design else (),
        missing=tuple(map(sentence, found.missing)),
        melt=melt_shown(found.melt) if found.melt else None,
        amplitude=amplitude_shown(found.amplitude) if found.amplitude else None,
        energy=sentence(found.energy.words) if found.energy else "",
        pieces=tuple(map(piece_shown, found.not_welded)),
        heights=heights_in_words(heights),
        open_form=open_form,
        answer=answer_shown(asked) if asked is not None else None,
        audit=audit_shown(found.audit) if found.audit else None,
        sizes=tuple(_size(one, found) for one in found.sizes),
        studies=tuple(_study(one, place, made_by, refused or {}) for one in found.studies),
        read_href=place.address("read_weld_study"),
        change_href=place.address("change_seam"),
        report_href=reverse("seams_report", args=[found.programme]),
        method=found.method,
    )


def _when(found: SeamFound) -> str:
    named = found.name.casefold().startswith(found.seam.casefold())
    name = f"Seam {found.name if named else found.seam}"
    name += f", {found.name}" if found.name and not named else ""
    return (
        f"{name}: {found.kind}, {found.top} ({found.top_resin}) under the horn, "
        f"{found.bottom} ({found.bottom_resin}) in the nest"
    )


def _share(found: SeamFound) -> str:
    """What the mark of a setting means."""
    window = found.window
    if window is None:
        return ""
    flash = (
        f" Flash above {window.largest_flash_mm:g} mm counts as a bad look."
        if window.largest_flash_mm
        else ""
    )
    return (
        f"Mark: the pull that {words.percent(window.share, 0)} of seams are shown to hold at that setting, "
        f"{words.percent(window.confidence, 0)} sure; thin: weakest to strongest pull; line: what is asked. "
        f"A look holds where {words.percent(window.good_share, 0)} good pieces are shown.{flash}"
    )


def _size(one: JointSizeSeen, found: SeamFound) -> SeamSizeRow:
    part = next((part for part in (found.top, found.bottom) if one.size.startswith(f"{part} ")), "")
    href = ""
    if part and one.trial:
        number = one.size.removeprefix(f"{part} ")
        href = reverse("size", args=[found.programme, one.tool, one.trial, part, number])
    return SeamSizeRow(meaning=one.meaning, value=_value(one), source=_source(one), href=href)


def _value(one: JointSizeSeen) -> str:
    if one.size:
        means = [f"cavity {c.cavity or '–'}: {words.number(c.mean, one.decimals)}" for c in one.cavities]
        return f"{', '.join(means)} {one.unit}" if means else "not measured yet"
    if one.value is None:
        return "not given"
    off = f" ± {one.plus_minus:g}" if one.plus_minus else ""
    return f"{one.value:g}{off} {one.unit}"


def _source(one: JointSizeSeen) -> str:
    if not one.size:
        return "a number that was given"
    trial = f", {one.trial} of {one.tool}, state {one.state}" if one.trial else ""
    return f"{one.size} {one.name}".rstrip() + trial


def _study(
    one: WeldStudySeen, place: SeamPlace, made_by: str, refused: Mapping[str, SetAsideForm]
) -> WeldStudyRow:
    form = refused.get(one.name) or SetAsideForm(
        initial={"made_by": made_by}, auto_id=f"study{one.study_id}_%s"
    )
    trials = dict.fromkeys(filter(None, (one.top_trial, one.bottom_trial)))
    stale = "; steel was cut since" if one.is_stale else ""
    gauge = f", pulled with {one.gauge} ({one.gauge_says})" if one.gauge else ""
    what = f"{count(one.runs, 'piece')}{gauge}" + (f". {one.note}" if one.note else "")
    return WeldStudyRow(
        name=one.name,
        what=what,
        pieces=("; ".join(trials) or "trial not recorded") + stale,
        when=words.day(one.done_on) if one.done_on else "",
        file=one.file,
        file_href=place.address("weld_study_file", one.study_id),
        state=f"set aside: {one.set_aside}" if one.set_aside else "counts",
        form=None if one.set_aside else form,
    )

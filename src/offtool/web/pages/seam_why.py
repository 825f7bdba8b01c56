"""Why a seam has its verdict: settings, pulls, the rules it is drawn by, melt, amplitude and audit."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from django.utils.safestring import SafeString, mark_safe

from offtool.core.joints.evidence import Span
from offtool.core.values import Verdict
from offtool.core.welding.amplitude import HornAmplitude
from offtool.core.welding.audit import AuditPlan, WeldAudit
from offtool.core.welding.design import SeamRow
from offtool.core.welding.melt import Flash, SeamMelt
from offtool.core.welding.strength import StrengthBound, StrengthFinding
from offtool.core.welding.study import SettingFinding, WeldWindow
from offtool.reports import words
from offtool.reports.limit_scale import LimitScale
from offtool.reports.seam_words import newtons, setting_of, setting_word, strength_in_words
from offtool.reports.span_bar import draw_span_bar, draw_strength_bar, scale_of_strengths
from offtool.steps.joint_sentences import per_cent_of
from offtool.steps.sentences import count, sentence
from offtool.web.pages.seam_words import (
    bound_in_newtons,
    looks_words,
    setting_in_short,
    span_in_words,
    wanted_in_words,
)
from offtool.web.pages.trial import MARK

FLASH_MARK = {Flash.EXPECTED: "no", Flash.NOT_EXPECTED: "yes", Flash.UNSURE: "doubt"}
METHODS = {
    "normal": "as a normal distribution",
    "Weibull": "as a Weibull distribution",
    "distribution-free": "with no distribution assumed",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class SettingRow:
    """What one setting of the welder shows by its own pieces."""

    setting: str
    pulls: str
    bar: SafeString
    bound: str
    mean: str
    strength_mark: str
    strength_word: str
    looks: str
    looks_mark: str
    looks_word: str
    flash: str
    mark: str
    word: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BoundRow:
    """One way of looking at the pulls."""

    method: str
    low: str
    high: str
    decides: bool
    why_not: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StrengthShown:
    """The pulls at the setting that is judged."""

    says: str
    counts: str
    bounds: tuple[BoundRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleRow:
    """One rule that the seam is drawn by."""

    what: str
    bar: SafeString
    found: str
    wanted: str
    mark: str
    word: str
    advice: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MeltShown:
    """Melt against the room that is left for it."""

    mark: str
    word: str
    says: str
    bar: SafeString | None
    numbers: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BoosterRow:
    """What the horn would do with another booster."""

    gain: str
    amplitude: str
    mark: str
    word: str
    is_nearest: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class AmplitudeShown:
    """How far the horn's face moves, against what the resin wants."""

    mark: str
    word: str
    says: str
    bar: SafeString | None
    peak: str
    field: str
    boosters: tuple[BoosterRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanRow:
    """One way to audit."""

    name: str
    pulls: str
    alarm: str
    found: str
    false_alarm: str
    is_chosen: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class AuditShown:
    """How many seams to pull while it runs, so that a weaker weld is found in time."""

    says: str
    plans: tuple[PlanRow, ...]


def setting_rows(window: WeldWindow) -> Iterator[SettingRow]:
    """A row a setting; all pulls are drawn to one scale."""
    strengths = [
        value
        for one in window.settings
        if one.strength is not None
        for value in (one.strength.smallest, one.strength.largest)
    ]
    scale = scale_of_strengths(window.required_n, strengths)
    for one in window.settings:
        yield _setting(one, window, scale)


def _setting(one: SettingFinding, window: WeldWindow, scale: LimitScale) -> SettingRow:
    pulled = (one.strength.smallest, one.strength.largest) if one.strength is not None else None
    bound = one.strength_low_n if one.strength_low_n is None or one.strength_low_n > 0 else 0.0
    shown = _shown(one)
    said = f"{setting_of(one)}: {shown}, {window.required_n:g} N asked: {one.strength_verdict}"
    stopped = f", {one.stopped} stopped" if one.stopped else ""
    return SettingRow(
        setting=setting_in_short(one),
        pulls=f"{count(one.pulls, 'pull')}{stopped}",
        bar=mark_safe(  # noqa: S308 our own drawing
            draw_strength_bar(
                scale,
                required=window.required_n,
                bound=bound,
                pulled=pulled,
                verdict=one.strength_verdict,
                said=said,
            )
        ),
        bound=shown,
        mean=_mean(one),
        strength_mark=MARK[one.strength_verdict],
        strength_word=str(one.strength_verdict),
        looks=looks_words(one),
        looks_mark=MARK[one.looks_verdict],
        looks_word=str(one.looks_verdict),
        flash=_flash(one),
        mark=MARK[one.verdict],
        word=str(setting_word(one)),
    )


def _shown(one: SettingFinding) -> str:
    """at least 289 N is shown; why nothing is."""
    if one.strength_low_n is not None:
        least = bound_in_newtons(one.strength_low_n)
        return f"at least {least} is shown" if one.strength_low_n > 0 else f"{least} is shown"
    if not one.pulls:
        return "not pulled"
    return "not known: pulls were stopped" if one.stopped else "not known: too few pulls"


def _mean(one: SettingFinding) -> str:
    """mean 360 N; at least that where pulls were stopped."""
    if one.strength is None:
        return "no mean"
    return f"mean {'at least ' * bool(one.stopped)}{newtons(one.strength.mean)}"


def _flash(one: SettingFinding) -> str:
    """flash up to 0.07 mm; no flash."""
    if one.flash_high_mm is None:
        return ""
    written = words.number(one.flash_high_mm, 2)
    return f"flash up to {written} mm" if float(written) else "no flash"


def strength_shown(found: StrengthFinding) -> StrengthShown:
    """The pulls in words, and the bounds by each way of looking."""
    spread = f", standard deviation {newtons(found.sd_n)}" if found.sd_n is not None else ""
    stopped = f", {found.stopped} of them stopped before they came apart" if found.stopped else ""
    weakest = f"weakest {newtons(found.smallest_n)}, {found.below_required or 'none'} below what is asked"
    return StrengthShown(
        says=sentence(strength_in_words(found)),
        counts=f"{count(found.pulls, 'pull')}{stopped}; mean {newtons(found.mean_n)}{spread}; {weakest}.",
        bounds=tuple(_bound(one, found) for one in found.bounds),
    )


def _bound(one: StrengthBound, found: StrengthFinding) -> BoundRow:
    return BoundRow(
        method=METHODS[one.method],
        low=bound_in_newtons(one.low_n) if one.low_n is not None else words.NONE,
        high=newtons(one.high_n),
        decides=one.method == found.decided_by,
        why_not=one.why_not,
    )


def rule_row(row: SeamRow) -> RuleRow:
    """One rule: found, wanted, and what to do."""
    found, wanted = span_in_words(row.found, row.unit), wanted_in_words(row.wanted, row.unit)
    said = f"{row.what}: {found}, wanted {wanted}: {row.verdict}"
    return RuleRow(
        what=row.what,
        bar=mark_safe(draw_span_bar(row.found, row.wanted, row.verdict, said)),  # noqa: S308 our own drawing
        found=found,
        wanted=wanted,
        mark=MARK[row.verdict],
        word=str(row.verdict),
        advice=sentence(row.advice) if row.advice else "",
        source=row.source,
    )


def melt_shown(melt: SeamMelt) -> MeltShown:
    """Melt against the room, in words and as a bar."""
    volume = ("melts", span_in_words(melt.volume_mm3, "mm³"))
    rest = [
        ("room for it", span_in_words(melt.room_mm3, "mm³") if melt.room_mm3 else "none is made"),
        ("film, if spread over the faces", span_in_words(melt.film_mm, "mm") if melt.film_mm else ""),
        ("rise, if all goes into the gap", span_in_words(melt.rise_mm, "mm") if melt.rise_mm else ""),
    ]
    bar = None
    if melt.filled is not None:
        verdict = {Flash.EXPECTED: Verdict.FAILS, Flash.NOT_EXPECTED: Verdict.HOLDS}.get(
            melt.flash, Verdict.NOT_SHOWN
        )
        bar = mark_safe(  # noqa: S308 our own drawing
            draw_span_bar(melt.filled, Span(low=0.0, high=1.0), verdict, melt.words)
        )
    return MeltShown(
        mark=FLASH_MARK[melt.flash],
        word=f"flash {melt.flash}",
        says=sentence(melt.words),
        bar=bar,
        numbers=tuple((about, says) for about, says in (volume, *rest) if says),
    )


def amplitude_shown(found: HornAmplitude) -> AmplitudeShown:
    """The amplitude with what is meant by it, and the boosters that would do."""
    here = Span(low=found.amplitude_um, high=found.amplitude_um)
    bar = None
    if found.wanted_um is not None:
        bar = mark_safe(  # noqa: S308 our own drawing
            draw_span_bar(here, found.wanted_um, found.verdict, found.words, bottomless=False)
        )
    distance = "The distance from horn to seam is not given."
    if found.field != "not given":
        distance = f"The seam lies in the {found.field} of the horn."
    return AmplitudeShown(
        mark=MARK[found.verdict],
        word=str(found.verdict),
        says=sentence(f"{found.words} that {found.resin or 'the resin'} wants at {found.frequency_khz:g} kHz"
                      if found.verdict is Verdict.HOLDS else found.words),
        bar=bar,
        peak=f"Peak-to-peak is the whole way of the horn's face, from end to end; stated as peak it is half, "
        f"{found.peak_um:.3g} µm.",
        field=distance,
        boosters=tuple(
            BoosterRow(
                gain=f"{one.gain:g}",
                amplitude=f"{one.amplitude_um:.3g} µm",
                mark=MARK[one.verdict],
                word=str(one.verdict),
                is_nearest=one.gain == found.booster,
            )
            for one in found.boosters
        ),
    )  # fmt: skip


def audit_shown(audit: WeldAudit) -> AuditShown:
    """The plans side by side."""
    drop = f"A drop of the mean by {newtons(audit.drop_n)}, from {newtons(audit.mean_n)}"
    within = f"within {count(audit.audits, 'audit')} with {per_cent_of(audit.probability)}"
    before, after = _below(audit.share_before), per_cent_of(audit.share_after)
    return AuditShown(
        says=f"{drop}, must be found {within}. Without it {before} below what is asked, with it {after}.",
        plans=tuple(_plan(one, audit) for one in audit.plans),
    )


def _below(share: float) -> str:
    return "hardly a seam in a million is" if share < 1e-6 else f"one seam in {1 / share:,.0f} is"


def _plan(plan: AuditPlan, audit: WeldAudit) -> PlanRow:
    between = plan.audits_between_false_alarms
    seldom = "hardly ever" if between is None or between > 1e6 else f"every {between:,.0f} audits"
    return PlanRow(
        name=plan.name,
        pulls=str(plan.pulls) if plan.pulls is not None else "no number in reach",
        alarm=newtons(plan.alarm_below_n),
        found=words.chance(plan.found_within) if plan.found_within is not None else words.NONE,
        false_alarm=seldom + (", too often" if plan.too_many_false_alarms else ""),
        is_chosen=plan.name == audit.chosen,
    )

"""A seam on the terminal: does it hold, what to do, where to set the welder, what it rests on."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from offtool.cli.shared_lines import bullets, cautions, counted, heading, sentence, steps, table_or_bullets
from offtool.cli.terminal import width
from offtool.cli.typeset import paragraph, table
from offtool.core.values import Verdict
from offtool.core.welding.audit import WeldAudit
from offtool.core.welding.design import SeamDesign, SeamRow
from offtool.core.welding.strength import StrengthFinding
from offtool.core.welding.study import SettingFinding, WeldWindow
from offtool.reports.joint_words import size_in_words
from offtool.reports.seam_words import (
    asked_of_seam,
    audit_in_words,
    bound_in_words,
    design_row_in_words,
    newtons,
    not_welded_in_words,
    setting_of,
    setting_word,
    span_of,
    stand_in_words,
    strength_in_words,
    weibull_in_words,
)
from offtool.reports.words import day, percent
from offtool.steps.seam_found import PieceNotWelded, SeamFound, SeamsFound, WeldStudySeen

MOST_PIECES = 12
"""Pieces that may be open which are listed; --json has all."""


def seams_lines(found: SeamsFound) -> list[str]:
    """For each seam how it stands and what is asked of it; below it the first thing to do."""
    lines = sentence(found.headline)
    if not found.seams:
        return [*lines, *sentence(f"offtool define-seam {found.programme} SEAM names one.")]
    rows: list[list[str]] = []
    for one in found.seams:
        low = one.strength.low_n if one.strength is not None else None
        shown = f", shown {newtons(low)}" if low is not None else ""
        rows.append([one.seam, f"{_stands(one)}{shown}; asked: {asked_of_seam(one)}"])
        rows += [["", one.actions[0].do]] if one.actions else []
    return [*lines, "", *table(rows, width=width(), indent=2)]


def _stands(one: SeamFound) -> str:
    return str(one.verdict) if one.strength is not None else "not pulled yet"


def seam_lines(found: SeamFound) -> list[str]:
    """All lines of a seam."""
    lines = [*sentence(found.headline), *sentence(_which(found))]
    if found.actions:
        lines += [*heading("What to do"), *steps([(one.do, one.because) for one in found.actions])]
    lines += _strength(found)
    lines += _window(found.window) if found.window is not None else []
    lines += _pieces(found.not_welded)
    lines += _design(found.design) if found.design is not None else []
    welder = list(_welder(found))
    lines += [*heading("Melt and welder"), *bullets(welder)] if welder else []
    lines += _audit(found.audit) if found.audit is not None else []
    lines += [*heading("Sizes"), *bullets([size_in_words(one) for one in found.sizes])] if found.sizes else []
    lines += [*heading("Studies"), *bullets([_study(one) for one in found.studies])] if found.studies else []
    rows = [[fact.about, fact.says] for fact in found.rests_on]
    lines += [*heading("What it rests on"), *table(rows, width=width(), indent=2)] if rows else []
    return [*lines, *cautions(found.cautions)]


def _which(found: SeamFound) -> str:
    parts = f"{found.top} under the horn on {found.bottom}"
    return (
        f"{found.programme_title}, seam {found.seam}, {found.kind}, {parts}; asked: {asked_of_seam(found)}."
    )


def _strength(found: SeamFound) -> list[str]:
    strength = found.strength
    if strength is None:
        return []
    said = [strength_in_words(strength), *_pulls(strength), *map(bound_in_words, strength.bounds)]
    if found.weibull is not None:
        said.append(f"as Weibull has it: {weibull_in_words(found.weibull)}")
    at = f" at {setting_of(found.setting)}" if found.setting is not None else ""
    return [*heading(f"Strength{at}"), *bullets(said)]


def _pulls(found: StrengthFinding) -> Iterator[str]:
    stopped = f", {found.stopped} stopped before they came apart" if found.stopped else ""
    yield (
        f"mean {newtons(found.mean_n)}, smallest {newtons(found.smallest_n)}; {found.below_required} of "
        f"{found.pulls} below what is asked{stopped}"
    )


def _window(window: WeldWindow) -> list[str]:
    """Every setting that was tried, and where to stand between them."""
    head = ["s", "bar", "µm", "pulls", "mean", "bound", "looks", ""]
    rows = [_setting(one) for one in window.settings]
    said = [f"stand at {stand_in_words(window.grid)}"] if window.grid is not None and window.grid.room else []
    if window.grid is not None:
        part = percent(window.grid.share_of_range, 0)
        said.append(f"strength and look are both shown over {part} of what was tried")
    return [
        *heading("Settings that were tried"),
        *paragraph("µm peak-to-peak; mean and bound in N; how many look good", width=width(), indent="  "),
        *table([head, *rows], width=width(), sides=">>>>>>>", indent=2),
        *bullets(said),
    ]


def _setting(one: SettingFinding) -> list[str]:
    setting = (one.time_s, one.pressure_bar, one.amplitude_um)
    mean = newtons(one.strength.mean).removesuffix(" N") if one.strength is not None else ""
    low = one.strength_low_n
    bound = newtons(low).removesuffix(" N") if low is not None and low > 0 else "none"
    looks = f"{one.looks.seen} of {one.looks.looked_at}" if one.looks is not None else ""
    return [
        *("" if value is None else f"{value:g}" for value in setting),
        *(f"{one.pulls:,}", mean, bound, looks, setting_word(one).value),
    ]


def _pieces(found: Sequence[PieceNotWelded]) -> list[str]:
    if not found:
        return []
    more = len(found) - MOST_PIECES
    said = [not_welded_in_words(one) for one in found[:MOST_PIECES]]
    said += [f"and {more:,} more; --json lists all"] if more > 0 else []
    return [*heading("Pieces that may be open"), *bullets(said)]


def _design(design: SeamDesign) -> list[str]:
    head = ["", "is", "should be", "verdict", ""]
    rows = [_rule(one) for one in design.rows]
    missing = [f"not given: {', '.join(design.missing)}"] if design.missing else []
    return [
        *heading(f"As it is drawn: {design.verdict}"),
        *table_or_bullets([head, *rows], [design_row_in_words(one) for one in design.rows]),
        *bullets(missing),
    ]


def _rule(row: SeamRow) -> list[str]:
    advice = row.advice if row.verdict is not Verdict.HOLDS else ""
    unit = row.unit if row.unit != "1" else ""
    return [row.what, span_of(row.found, unit), span_of(row.wanted, unit), str(row.verdict), advice]


def _welder(found: SeamFound) -> Iterator[str]:
    for part in (found.melt, found.energy, found.amplitude):
        if part is not None:
            yield part.words


def _audit(audit: WeldAudit) -> list[str]:
    said = [audit_in_words(one) for one in audit.plans]
    drop = f"To find a drop of {newtons(audit.drop_n)} within {counted(audit.audits, 'audit')}"
    return [*heading(drop), *bullets(said)]


def _study(one: WeldStudySeen) -> str:
    when = f", {day(one.done_on)}" if one.done_on else ""
    pieces = " on ".join(filter(None, (one.top_trial, one.bottom_trial)))
    of = f" of {pieces}" if pieces else ""
    gauge = f", pulled with {one.gauge} ({one.gauge_says})" if one.gauge else ", gauge not named"
    stale = "; steel was cut since" if one.is_stale else ""
    state = f"set aside: {one.set_aside}" if one.set_aside else f"counts{stale}"
    note = f" {one.note}" if one.note else ""
    return f"{one.name}: {counted(one.runs, 'run')}{of}{when}{gauge}; {state}.{note}"

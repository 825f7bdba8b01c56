"""The tests of a joint on the terminal: measured against predicted, after ageing, as time goes on."""

from __future__ import annotations

from offtool.cli.shared_lines import bullets, counted, heading, table_or_bullets
from offtool.cli.terminal import width
from offtool.cli.typeset import table
from offtool.core.joints.friction import LearnedFriction, PairFit
from offtool.core.joints.tested import ConditionFound, TestsCompared
from offtool.reports.joint_words import (
    change_in_words,
    friction_in_words,
    pair_fit_in_words,
    relaxation_in_words,
)
from offtool.reports.words import day, number, signed
from offtool.steps.joint_found import JointFound, TestSeen


def tests_lines(found: JointFound) -> list[str]:
    """All that was measured of assembled pieces, and what is expected of them later."""
    lines: list[str] = []
    if found.learned is not None:
        lines += _learned(found.learned, found.decimals)
    if found.compared is not None:
        lines += _compared(found.compared, found.decimals, found.unit)
    later = list(relaxation_in_words(found.relaxation, found.relaxed, decimals=found.decimals))
    lines += [*heading("As time goes on"), *bullets(later)] if later else []
    lines += [*heading("Tests"), *bullets([_test(one) for one in found.tests])] if found.tests else []
    return lines


def _learned(learned: LearnedFriction, decimals: int) -> list[str]:
    head = ["cavities", "readings", "measured", "predicted", "off the others", ""]
    rows = [_fit(one, decimals) for one in learned.pairs]
    in_words = [pair_fit_in_words(one, decimals=decimals) for one in learned.pairs]
    said = [f"friction {friction_in_words(learned)}"]
    if learned.predicted_clear:
        said.append(f"predicted to be clear, so nothing is learned of: {', '.join(learned.predicted_clear)}")
    return [
        *heading("Measured against predicted, N·m"),
        *table_or_bullets([head, *rows], in_words, sides="<>>>>"),
        *bullets(said),
    ]


def _fit(one: PairFit, decimals: int) -> list[str]:
    fits = "not shown" if one.fits is None else "fits" if one.fits else "does not fit"
    off = (
        f"{signed(one.interval.low, decimals)} to {signed(one.interval.high, decimals)}"
        if one.interval is not None
        else ""
    )
    values = (number(value, decimals) for value in (one.measured_nm, one.predicted_nm))
    return [one.pair or "not named", f"{one.readings:,}", *values, off, fits]


def _compared(compared: TestsCompared, decimals: int, unit: str) -> list[str]:
    head = ["", "pieces", "mean", "deviation", "the limits"]
    rows = [_condition(one, decimals) for one in compared.conditions]
    said = [f"{one.condition}: {change_in_words(one.change)}" for one in compared.conditions if one.change]
    return [
        *heading(f"As measured, {unit}" if unit != "1" else "As measured"),
        *table([head, *rows], width=width(), sides="<>>><", indent=2),
        *bullets(said),
        *bullets([one.text for one in compared.cautions]),
    ]


def _condition(one: ConditionFound, decimals: int) -> list[str]:
    sd = number(one.sd, decimals + 1) if one.sd is not None else ""
    ends = ", ".join(f"{each.side} {each.verdict}" for each in one.limits)
    return [one.condition, f"{one.pieces:,}", number(one.mean, decimals), sd, ends or "none"]


def _test(one: TestSeen) -> str:
    when = f", {day(one.done_on)}" if one.done_on else ""
    pieces = " with ".join(filter(None, (one.inner_trial, one.outer_trial)))
    of = f" of {pieces}" if pieces else ""
    gauge = f", measured with {one.gauge} ({one.gauge_says})" if one.gauge else ", gauge not named"
    stale = "; steel was cut since" if one.is_stale else ""
    state = f"set aside: {one.set_aside}" if one.set_aside else f"counts{stale}"
    note = f" {one.note}" if one.note else ""
    return f"{one.name}: {counted(one.readings, 'reading')}{of}{when}{gauge}; {state}.{note}"

"""How what is found of a seam is worded on its pages."""

from __future__ import annotations

from dataclasses import replace
from math import exp, isfinite

from offtool.core.joints.evidence import Span
from offtool.core.values import Caution, Verdict
from offtool.core.welding.design import SeamDesign
from offtool.core.welding.open_seam import OpenSeam, SeamEvidence
from offtool.core.welding.study import SettingFinding, WeldWindow
from offtool.reports import words
from offtool.reports.seam_words import newtons, setting_of
from offtool.steps.joint_sentences import per_cent_of
from offtool.steps.seam_sentences import stand_of_axis
from offtool.steps.sentences import count

SOMEWHAT, CLEARLY, STRONGLY = 1.5, 3.0, 9.0
"""From how many to one a finding speaks somewhat, clearly, strongly; our own words."""
SHARE, DEGREES = "1", "deg"
HARDLY = 1e-3
"""A least that a rule sets only so that something is left."""


def span_in_words(span: Span, unit: str) -> str:
    """0.483 to 0.526 mm; 35 to 38 %; 90°; at least 10 %; at most 100 %."""
    if unit == SHARE:
        span, unit = Span(low=100 * span.low, high=100 * span.high), "%"
    sign = "°" if unit == DEGREES else f" {unit}"
    if not isfinite(span.high):
        return f"at least {_plain(span.low)}{sign}" if isfinite(span.low) else "any"
    if _plain(span.low) == _plain(span.high):
        return f"{_plain(span.low)}{sign}"
    return f"{_plain(span.low)} to {_plain(span.high)}{sign}"


def wanted_in_words(span: Span, unit: str) -> str:
    """As a range; one that begins at nothing has only an upper end."""
    if 0 < span.low <= HARDLY and not isfinite(span.high):
        return f"above 0 {unit}"
    if span.low == 0 and isfinite(span.high):
        return f"at most {span_in_words(Span(low=span.high, high=span.high), unit)}"
    return span_in_words(span, unit)


def _plain(value: float) -> str:
    """Three digits, never a power of ten."""
    if not isfinite(value):
        return words.number(value, 0)
    decimals = 0 if abs(value) >= 100 else 1 if abs(value) >= 10 else 2 if abs(value) >= 1 else 3
    written = words.number(value, decimals)
    return written.rstrip("0").rstrip(".") if "." in written else written


def bound_in_newtons(force: float | None) -> str:
    """274 N; that nothing is shown where the bound says nothing."""
    return newtons(force) if force is not None and force > 0 else "nothing"


def stand_in_short(window: WeldWindow | None) -> str:
    """0.25 s, 2.15 bar; empty where no window was found."""
    if window is None or window.grid is None:
        return ""
    return ", ".join(filter(None, map(stand_of_axis, window.grid.axes)))


def setting_in_short(one: SettingFinding) -> str:
    """0.26 s, 2.6 bar, 50 µm; the heading above says that this is peak-to-peak."""
    return setting_of(one).removesuffix(" peak-to-peak")


def looks_words(one: SettingFinding) -> str:
    """5 of 5 good, at least 55 % shown; that nobody looked."""
    if one.looks is None:
        return "nobody looked"
    seen = f"{one.looks.seen} of {one.looks.looked_at} good"
    if one.looks_low is None or one.looks_low <= 0:
        return seen
    return f"{seen}; {words.percent(one.looks_low, 0)} or more shown"


def design_in_words(design: SeamDesign | None) -> str:
    """8 rules hold; 1 of 8 rules does not hold, 1 is not shown."""
    if design is None:
        return "cannot be judged"
    fails = sum(row.verdict is Verdict.FAILS for row in design.rows)
    open_ = sum(row.verdict is Verdict.NOT_SHOWN for row in design.rows)
    rules = count(len(design.rows), "rule")
    if not design.rows:
        return "no rule can be looked at"
    said = [f"{fails} of {rules} {'does' if fails == 1 else 'do'} not hold"] if fails else []
    if open_:
        said.append(f"{open_ if fails else f'{open_} of {rules}'} {'is' if open_ == 1 else 'are'} not shown")
    if design.missing:
        said.append(f"{count(len(design.missing), 'size')} missing")
    return ", ".join(said) or f"{'all ' * (len(design.rows) > 1)}{rules} hold{'s' * (len(design.rows) == 1)}"


def with_capital(caution: Caution) -> Caution:
    """A caution as it stands alone, with a capital first."""
    return replace(caution, text=caution.text[:1].upper() + caution.text[1:])


def open_in_words(found: OpenSeam) -> str:
    """97 % that it was never welded."""
    return f"{per_cent_of(found.probability_open)} that it was never welded"


def speaks_in_words(one: SeamEvidence) -> str:
    """strongly for open, 10 to 1; hardly either way; says nothing: not looked at."""
    if not one.observed:
        return "says nothing"
    times = exp(abs(one.log_odds))
    if times < SOMEWHAT:
        return "hardly either way"
    side = "open" if one.log_odds > 0 else "welded"
    much = "strongly" if times >= STRONGLY else "clearly" if times >= CLEARLY else "somewhat"
    most = ", the most it may count" if one.capped else ""
    written = f"{times:.1f}" if times < 9.95 else f"{times:,.0f}"
    return f"{much} for {side}, {written} to 1{most}"

"""How the numbers of a seam are worded, once for pages, drawings, commands and reports."""

from __future__ import annotations

from collections.abc import Iterator
from enum import StrEnum
from math import floor, isfinite, log10

from offtool.core.joints.evidence import Span
from offtool.core.values import Interval, Verdict
from offtool.core.welding.audit import AuditPlan
from offtool.core.welding.design import SeamRow
from offtool.core.welding.strength import StrengthBound, StrengthFinding
from offtool.core.welding.study import SettingFinding, WeldWindow, WindowGrid
from offtool.core.welding.weibull import WeibullFit
from offtool.reports import words
from offtool.steps.joint_sentences import per_cent_of
from offtool.steps.seam_found import PieceNotWelded, SeamFound
from offtool.steps.seam_sentences import setting_in_words, stand_of_axis

NEWTON_DIGITS = 3
SHARE, DEGREES = "1", "deg"
"""Units of rules that are written otherwise."""
HARDLY = 1e-3
"""A least that a rule sets only so that something is left."""


NONE_SHOWN = "none"


class SettingWord(StrEnum):
    """What became of the runs at a setting."""

    HOLDS = "holds"
    WEAK = "too weak"
    BAD_LOOK = "bad look"
    BOTH = "too weak, bad look"
    NOT_SHOWN = "not shown"


def setting_word(one: SettingFinding) -> SettingWord:
    """One word for a setting by its own runs; what fails goes before what is not shown."""
    weak = one.strength_verdict is Verdict.FAILS
    bad = one.looks_verdict is Verdict.FAILS
    if weak or bad:
        return SettingWord.BOTH if weak and bad else SettingWord.WEAK if weak else SettingWord.BAD_LOOK
    return SettingWord.HOLDS if one.verdict is Verdict.HOLDS else SettingWord.NOT_SHOWN


def newtons(value: float | None) -> str:
    """A pull to three digits that count: 12.3 N, 384 N; – where it is not known."""
    if value is None or not isfinite(value):
        return words.NONE
    return f"{words.number(value, newton_decimals(value))} N"


def bound_in_newtons(value: float | None) -> str:
    """A lower bound of a pull: 84.2 N; none where it is not above 0; – where it is not known."""
    return newtons(value) if value is None or value > 0 else NONE_SHOWN


def least_in_newtons(value: float) -> str:
    """at least 84.2 N; no pull at all, where the bound is not above 0."""
    return f"at least {newtons(value)}" if value > 0 else "no pull at all"


def sure_in_words(confidence: float) -> str:
    """95 %; 99.8 % with its decimal; never 100 %."""
    return per_cent_of(confidence).replace(".0 %", " %")


def newtons_asked(value: float) -> str:
    """A pull that was given, as it was given: 60 N."""
    return f"{value:g} N"


def newton_decimals(value: float) -> int:
    """Decimals that leave three digits that count; none from 100 N on."""
    return 0 if value == 0 else min(max(NEWTON_DIGITS - 1 - floor(log10(abs(value))), 0), 2)


def newton_span(interval: Interval | None) -> str:
    """112 to 131 N."""
    if interval is None:
        return words.NONE
    if not isfinite(interval.high):
        return f"{newtons(interval.low)} or more"
    return f"{newtons(interval.low).removesuffix(' N')} to {newtons(interval.high)}"


def span_of(span: Span, unit: str) -> str:
    """0.483 to 0.526 mm; a share as 35 to 38 %; an angle as 90°; one number where both are written alike."""
    if unit == SHARE:
        span, unit = Span(low=100 * span.low, high=100 * span.high), "%"
    sign = "°" if unit == DEGREES else f" {unit}".rstrip()
    low, high = _plain(span.low), _plain(span.high)
    if not isfinite(span.high):
        return f"at least {low}{sign}" if isfinite(span.low) else "any"
    return f"{low if low == high else f'{low} to {high}'}{sign}"


def wanted_of(span: Span, unit: str) -> str:
    """What a rule wants: a range; above 0 mm; at most 100 %."""
    if 0 < span.low <= HARDLY and not isfinite(span.high):
        return f"above 0 {unit}"
    if span.low == 0 and isfinite(span.high):
        return f"at most {span_of(Span(low=span.high, high=span.high), unit)}"
    return span_of(span, unit)


def _plain(value: float) -> str:
    """Three digits that count, without noughts at the end."""
    if not isfinite(value):
        return words.number(value, 0)
    decimals = 0 if abs(value) >= 100 else 1 if abs(value) >= 10 else 2 if abs(value) >= 1 else 3
    written = words.number(value, decimals)
    return written.rstrip("0").rstrip(".") if "." in written else written


def strength_in_words(found: StrengthFinding) -> str:
    """99 % of seams hold at least 84.2 N (95 % sure, by 12 pulls as Weibull), 60 N are asked: holds."""
    way = f" as {found.decided_by}" if found.decided_by else ""
    pulls = f"{found.pulls} pull{'s' * (found.pulls != 1)}"
    low = f"at least {newtons(found.low_n)}" if found.low_n is not None else "an unknown pull"
    rests_on = f"({sure_in_words(found.confidence)} sure, by {pulls}{way})"
    asked = f"{newtons_asked(found.required_n)} are asked: {found.verdict}"
    if found.low_n is not None and found.low_n <= 0:
        return f"no pull at all is shown of {per_cent_of(found.share)} of seams {rests_on}, {asked}"
    return f"{per_cent_of(found.share)} of seams hold {low} {rests_on}, {asked}"


def bound_in_words(one: StrengthBound) -> str:
    """normal: at least 56.1 N, surely no more than 101 N; why not."""
    if one.low_n is None and one.high_n is None:
        return f"{one.method}: {one.why_not or 'cannot be said'}"
    low = least_in_newtons(one.low_n) if one.low_n is not None else "no lower bound"
    high = f", surely no more than {newtons(max(one.high_n, 0.0))}" if one.high_n is not None else ""
    return f"{one.method}: {low}{high}"


def design_row_in_words(row: SeamRow) -> str:
    """ridge height: 0.38 to 0.42 mm, wanted 0.3 to 0.5 mm: holds."""
    found, wanted = span_of(row.found, row.unit), wanted_of(row.wanted, row.unit)
    return f"{row.what}: {found}, wanted {wanted}: {row.verdict}"


def setting_of(one: SettingFinding) -> str:
    """0.35 s, 2.5 bar, 60 µm peak-to-peak."""
    return setting_in_words(one.time_s, one.pressure_bar, one.amplitude_um)


def setting_finding_in_words(one: SettingFinding, *, required_n: float | None = None) -> str:
    """0.3 s, 2.5 bar: 5 pulls, mean 104 N, at least 84.1 N is shown, 4 of 5 look good: too weak."""
    said = [f"{one.pulls} pull{'s' * (one.pulls != 1)}"]
    if one.strength is not None:
        said.append(f"mean {newtons(one.strength.mean)}")
    if one.strength_low_n is not None:
        asked = f" ({newtons_asked(required_n)} asked)" if required_n is not None else ""
        said.append(f"{least_in_newtons(one.strength_low_n)} is shown{asked}")
    said.append(looks_in_words(one))
    return f"{setting_of(one)}: {', '.join(said)}: {_became_of(one)}"


def _became_of(one: SettingFinding) -> str:
    """The word of a setting; where it is not shown, what of it is not."""
    word = setting_word(one)
    if word is not SettingWord.NOT_SHOWN:
        return word
    open_ones = [
        what
        for what, verdict in (("strength", one.strength_verdict), ("look", one.looks_verdict))
        if verdict is not Verdict.HOLDS
    ]
    return f"{' and '.join(open_ones)} not shown" if open_ones else word


def looks_in_words(one: SettingFinding) -> str:
    """4 of 5 look good; that nobody looked."""
    looks = one.looks
    return f"{looks.seen} of {looks.looked_at} look good" if looks is not None else "not looked at"


def stand_in_words(grid: WindowGrid) -> str:
    """weld time 0.31 s (0.27 to 0.35), pressure 2.6 bar (2.2 to 2.9); that there is no window.

    Where to stand is said to the step of a regulator, how far the window reaches as it is.
    """
    told = [
        f"{one.name} {stand_of_axis(one)} ({one.low:.3g} to {one.high:.3g})"
        for one in grid.axes
        if one.stand_at is not None
    ]
    if not told:
        return "no setting shows strength and look at once"
    held = [f"{name} {value:g}" for name, value in grid.held]
    return ", ".join([*told, *(f"{one} throughout" for one in held)])


def window_in_words(window: WeldWindow) -> Iterator[str]:
    """What a window says, a sentence each: where to stand, how large it is, then each setting."""
    grid = window.grid
    if grid is not None:
        stand = stand_in_words(grid)
        yield f"stand at {stand}" if grid.room is not None else stand
        part = words.percent(grid.share_of_range, 0)
        yield f"strength and look both hold over {part} of what was tried"
    yield from (setting_finding_in_words(one, required_n=window.required_n) for one in window.settings)


def weibull_in_words(fit: WeibullFit) -> str:
    """shape 8.1 (4.9 to 11.8), 90 % of seams hold 96.1 N (81.2 to 105 N); at most 0.8 % below 60 N."""
    below = weaker_in_words(fit)
    if fit.shape is None or fit.b10_n is None:
        return f"no pull of {fit.pulls} came apart, so there is no line{f'; {below}' if below else ''}"
    ends = f" ({words.span(fit.shape_interval, 1)})" if fit.shape_interval else ""
    said = (
        f"shape {words.number(fit.shape, 1)}{ends}, 90 % of seams hold {newtons(fit.b10_n)} "
        f"({newton_span(fit.b10_interval)})"
    )
    return f"{said}; {below}" if below else said


def weaker_in_words(fit: WeibullFit) -> str:
    """at most 0.8 % are weaker than 60 N (95 % sure)."""
    if fit.required_n is None or fit.share_at_most is None:
        return ""
    sure = sure_in_words(fit.confidence)
    most = per_cent_of(fit.share_at_most).removeprefix("under ")
    return f"at most {most} are weaker than {newtons_asked(fit.required_n)} ({sure} sure)"


def audit_in_words(plan: AuditPlan) -> str:
    """mean of the pulls: pull 3 at each audit, alarm below 92.1 N, found within with 91 %."""
    if plan.pulls is None or plan.alarm_below_n is None:
        return f"{plan.name}: no number of pulls in reach does it"
    found = f", found in time with {words.chance(plan.found_within)}" if plan.found_within else ""
    return f"{plan.name}: pull {plan.pulls} at each audit, alarm below {newtons(plan.alarm_below_n)}{found}"


def not_welded_in_words(one: PieceNotWelded) -> str:
    """piece 14 of study 1 (0.2 s, 2 bar): open: 97 % that it was never welded."""
    return f"piece {one.piece} of study {one.study} ({one.setting}): {one.found.words}"


def asked_of_seam(found: SeamFound) -> str:
    """a pull of at least 60 N, flash at most 0.1 mm; that no pull is asked yet."""
    pull = f"a pull of at least {newtons_asked(found.required_n)}" if found.required_n is not None else ""
    flash = f"flash at most {found.largest_flash_mm:g} mm" if found.largest_flash_mm is not None else ""
    return ", ".join(filter(None, (pull or "no pull is asked yet", flash)))

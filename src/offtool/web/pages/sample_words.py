"""How what is found of a sample is worded on its pages."""

from __future__ import annotations

import re
from collections.abc import Sequence
from html import escape
from math import exp

from django.utils.safestring import SafeString, mark_safe

from offtool.core.samples.identify.answers import Answer, Counts
from offtool.reports import words
from offtool.reports.odds_bar import EVEN
from offtool.steps.sample_origins import NOT_RECORDED

MOST_NAMED = 2


def about_in_words(part: str, about: str) -> str:
    """left arm: date mark; of the whole piece, without a part."""
    return f"{part}: {about}" if part else about


def called(code: str) -> str:
    """production, for production that nobody recorded: the strip says that it is not recorded."""
    return code.removesuffix(f", {NOT_RECORDED}")


def compared(counts: Counts, answers: Sequence[Answer]) -> str:
    """Which origins a finding fits best and which least: fits T2 best, 40 times less likely from T0 or T1."""
    found = [(one.code, each.log_odds) for one in answers for each in one.evidence if _is_same(each, counts)]
    logs = [log_odds for _, log_odds in found]
    if not found or max(logs) - min(logs) < EVEN:
        return "says the same of all"
    best, worst = max(logs), min(logs)
    times = exp(best - worst)
    written = f"{times:.1f}" if times < 9.95 else f"{times:,.0f}"
    least = _named(found, worst, "or")
    return f"fits {_named(found, best, 'and')} best; {written} times less likely from {least}"


def _is_same(one: Counts, other: Counts) -> bool:
    return (one.part, one.about, one.found) == (other.part, other.about, other.found)


def _named(found: Sequence[tuple[str, float]], near: float, last: str) -> str:
    """The origins of which a finding says as much."""
    codes = [called(code) for code, log_odds in found if abs(log_odds - near) < EVEN]
    if len(codes) > MOST_NAMED + 1:
        codes = [*codes[:MOST_NAMED], f"{len(codes) - MOST_NAMED} more"]
    return f" {last} ".join(filter(None, (", ".join(codes[:-1]), codes[-1])))


def with_minus(said: str) -> str:
    """Numbers with a minus sign instead of a hyphen; hyphens inside words stay."""
    return re.sub(r"(?<![\w)])-(?=[\d.])", words.MINUS, said)


def draw_swatch(on_screen: str, said: str) -> SafeString:
    """A colour as a screen shows it; the words beside it say the same in numbers."""
    label = escape(said, quote=True)
    return mark_safe(  # noqa: S308 our own drawing
        f'<svg class="swatch" viewBox="0 0 28 18" width="28" height="18" role="img" aria-label="{label}">'
        f'<rect x="0.5" y="0.5" width="27" height="17" fill="{escape(on_screen, quote=True)}" '
        f'stroke="#66615a"/></svg>'
    )

"""What a tool needs between the ends that a press can do, as a limit bar."""

from __future__ import annotations

from offtool.core.joints.evidence import Span
from offtool.core.planning.press import FitCheck
from offtool.reports.fit_words import can_in_words, needed_in_words
from offtool.reports.span_bar import draw_span_bar


def draw_fit_bar(check: FitCheck) -> str:
    """The bar of one check; empty where either side is not known."""
    if check.needed is None or check.can is None:
        return ""
    said = (
        f"{check.question}: needed {needed_in_words(check)}, the press {can_in_words(check)}: {check.verdict}"
    )
    needed, can = Span(low=check.needed[0], high=check.needed[1]), Span(low=check.can[0], high=check.can[1])
    return draw_span_bar(needed, can, check.verdict, said)

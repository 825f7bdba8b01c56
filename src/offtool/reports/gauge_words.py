"""How the numbers of a gauge study are worded, once for pages, drawings and commands."""

from __future__ import annotations

from collections.abc import Sequence

from offtool.core.inspection.gauge import GaugeStudy
from offtool.core.values import Interval
from offtool.reports.axes import text
from offtool.reports.colours import QUIET
from offtool.reports.words import NONE, number, percent, percent_with_interval, span
from offtool.steps.gauge_studied import SizeWithGauge

WORD_SIZE = 10.5
"""Of text in a drawing, in pixels."""


def categories_in_words(result: GaugeStudy) -> str:
    """6 (4 to 9)."""
    if result.distinct_categories is None:
        return "not known"
    ends = result.distinct_categories_interval
    return f"{result.distinct_categories}" + (f" ({span(ends, 0)})" if ends else "")


def guard_in_words(one: SizeWithGauge) -> str:
    """0.0025 mm (10 %)."""
    if one.guard_band is None:
        return "not known"
    share = f" ({percent(one.guard_share, 0)})" if one.guard_share is not None else ""
    return f"{number(one.guard_band, one.decimals + 1)} {one.unit}{share}"


def share_of_spread(one: SizeWithGauge) -> str:
    """12 % (5 to 30 %)."""
    return percent_with_interval(one.share, one.share_interval, 0) if one.share is not None else NONE


def index_in_words(value: float | None, interval: Interval | None) -> str:
    """1.05 (0.80 to 1.31)."""
    if value is None:
        return ""
    return f"{number(value, 2)} ({span(interval, 2)})" if interval is not None else number(value, 2)


def exact_in_words(one: SizeWithGauge) -> str:
    """1.12 (0.81 to 1.90); that the gauge explains all."""
    if one.exact_interval is None:
        return NONE
    if one.exact is None:
        return f"at least {number(one.exact_interval.low, 2)}"
    return index_in_words(one.exact, one.exact_interval)


def hanging_in_words(sizes: Sequence[SizeWithGauge]) -> str:
    """How many verdicts hang on the gauge, in a sentence."""
    hang = sum(one.hangs_on_gauge for one in sizes)
    unknown = sum(one.uncertainty is None for one in sizes)
    if unknown == len(sizes):
        return "Nothing is known of the gauge: verdicts take it as exact."
    if not hang:
        return f"No verdict hangs on the gauge, of {len(sizes)} size{'s' * (len(sizes) != 1)}."
    return f"{hang} of {len(sizes)} verdicts {'hangs' if hang == 1 else 'hang'} on the gauge."


def word(x: float, y: float, said: str, *, anchor: str = "start", colour: str = QUIET) -> str:
    """A word in a drawing of a gauge, large enough to be read on a phone."""
    return text(said, x, y, anchor=anchor, colour=colour, size=WORD_SIZE)

"""Where the variation of a size comes from: a bar a source, with where its true share lies."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from offtool.core.values import Interval
from offtool.reports import words
from offtool.reports.axes import Scale, hovered, text
from offtool.reports.colours import INK, LINE, MARK, QUIET
from offtool.reports.drawing import at, level, svg, upright

WIDTH, ROW, TOP, BOTTOM, LEFT, RIGHT = 420.0, 18.0, 6.0, 20.0, 92.0, 44.0
BAR = 8.0
TICKS = (0.0, 0.25, 0.5, 0.75, 1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceShare:
    """One source: its share of the variance, and its own spread in words."""

    source: str
    share: float
    interval: Interval | None
    says: str


def draw_shares_of_variation(shares: Sequence[SourceShare], *, width: float = WIDTH) -> str:
    """The shares from 0 to 100 % of the variance."""
    bottom = TOP + ROW * len(shares)
    x = Scale(0.0, 1.0, LEFT, width - RIGHT)
    inside = [upright("tick", x.at(tick), TOP, bottom, LINE, 0.7) for tick in TICKS]
    inside += [text(f"{100 * tick:.0f} %", x.at(tick), bottom + 12, anchor="middle") for tick in TICKS]
    told = []
    for i, one in enumerate(shares):
        y = TOP + ROW * (i + 0.5)
        said = _in_words(one)
        told.append(said)
        inside.append(text(one.source, LEFT - 8, y + 3, anchor="end", colour=INK))
        inside.append(hovered(_bar(one, x, y), said))
        inside.append(text(words.percent(one.share, 0), width - RIGHT + 8, y + 3, colour=INK))
    return svg("shares", width, bottom + BOTTOM, "; ".join(told), inside)


def _bar(one: SourceShare, x: Scale, y: float) -> str:
    left, right = x.at(0.0), x.at(one.share)
    place = f'x="{at(left)}" y="{at(y - BAR / 2)}" width="{at(max(right - left, 0.6))}" height="{at(BAR)}"'
    bar = f'<rect class="share" {place} fill="{MARK}"/>'
    if one.interval is None:
        return bar
    ends = x.at(one.interval.low), x.at(one.interval.high)
    return bar + level("interval", *ends, y, QUIET, 1.4)


def _in_words(one: SourceShare) -> str:
    ends = f" ({words.percent_span(one.interval)})" if one.interval is not None else ""
    return f"{one.source}: {words.percent(one.share, 0)} of the variance{ends}, {one.says}"

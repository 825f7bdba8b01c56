"""How far each cavity stands from the mean of all, with intervals that hold for all cavities at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from offtool.core.values import Interval
from offtool.reports import words
from offtool.reports.axes import Scale, hovered, text, tick_decimals
from offtool.reports.colours import DOUBT, INK, LINE, MARK, WHITE
from offtool.reports.drawing import at, level, svg, upright

WIDTH, ROW, TOP, BOTTOM, LEFT, RIGHT = 420.0, 16.0, 8.0, 22.0, 70.0, 14.0


@dataclass(frozen=True, slots=True, kw_only=True)
class CavityApart:
    """One cavity: its mean less the mean of all, and where the true difference lies."""

    cavity: str
    difference: float
    interval: Interval

    @property
    def stands_apart(self) -> bool:
        """Whether the interval leaves out zero."""
        return 0 not in self.interval


def draw_differences(
    cavities: Sequence[CavityApart], *, decimals: int, unit: str, width: float = WIDTH
) -> str:
    """A line a cavity about the mean of all; an open mark where the difference is not shown."""
    bottom = TOP + ROW * len(cavities)
    ends = [0.0] + [end for one in cavities for end in (one.interval.low, one.interval.high)]
    x = Scale.around(ends, LEFT, width - RIGHT)
    ticks = x.ticks(4)
    places = max(tick_decimals(ticks), decimals)
    inside = [upright("tick", x.at(tick), TOP, bottom, LINE, 0.7) for tick in ticks]
    inside.append(upright("mean-of-all", x.at(0.0), TOP - 4, bottom + 2, INK, 1.2))
    inside += [text(words.signed(tick, places), x.at(tick), bottom + 12, anchor="middle") for tick in ticks]
    told = []
    for i, one in enumerate(cavities):
        y = TOP + ROW * (i + 0.5)
        said = _in_words(one, decimals, unit)
        told.append(said)
        inside.append(text(words.cavity(one.cavity), LEFT - 8, y + 3, anchor="end", colour=INK))
        inside.append(hovered(_mark(one, x, y), said))
    return svg("differences", width, bottom + BOTTOM, "; ".join(told), inside)


def _mark(one: CavityApart, x: Scale, y: float) -> str:
    colour = MARK if one.stands_apart else DOUBT
    fill = colour if one.stands_apart else WHITE
    line = level("interval", x.at(one.interval.low), x.at(one.interval.high), y, colour, 2)
    dot = f'cx="{at(x.at(one.difference))}" cy="{at(y)}" r="3.2" fill="{fill}" stroke="{colour}"'
    return f'{line}<circle class="dot" {dot} stroke-width="1.4"/>'


def _in_words(one: CavityApart, decimals: int, unit: str) -> str:
    away = words.signed(one.difference, decimals)
    ends = words.span(one.interval, decimals)
    shown = "stands apart" if one.stands_apart else "not told apart from the mean of all"
    return f"{words.cavity(one.cavity)}: {away} {unit} ({ends}), {shown}"

"""The odds bar: what one finding counts, to the left against an origin, to the right for it."""

from __future__ import annotations

from collections.abc import Iterator
from math import exp, isnan, log

from offtool.reports.colours import INK, LINE, MARK, NO, WHITE
from offtool.reports.drawing import arrow_tip, at, svg, upright
from offtool.reports.hatch import hatch

WIDTH, HEIGHT, BAR, EDGE = 150.0, 16.0, 8.0, 1.0
FULL = log(100.0)
"""A hundred to one reaches the end of the bar; what counts more ends in an arrow."""
EVEN = log(1.05)
"""Nearer to one than this, nobody would bet on it. Our own."""
MOST_TIMES = 1000.0


def draw_odds_bar(log_odds: float, *, width: float = WIDTH) -> str:
    """One bar from the middle: full to the right where it speaks for, hatched to the left where against.

    Ten to one is the quiet line on either side.
    """
    middle = width / 2
    scale = (middle - EDGE) / FULL
    inside = [upright("ten", middle + way * log(10) * scale, 3, HEIGHT - 3, LINE, 1) for way in (-1, 1)]
    inside.append(upright("base", middle, 1, HEIGHT - 1, INK, 1))
    inside += _bar(0.0 if isnan(log_odds) else log_odds, middle, scale)
    return svg("odds", width, HEIGHT, odds_in_words(log_odds), inside)


def odds_in_words(log_odds: float) -> str:
    """What a finding counts: 13 to 1 for, 2.5 to 1 against; nothing either way."""
    if isnan(log_odds) or abs(log_odds) < EVEN:
        return "nothing either way"
    way = "for" if log_odds > 0 else "against"
    if abs(log_odds) >= log(MOST_TIMES):
        return f"over {MOST_TIMES:,.0f} to 1 {way}"
    times = exp(abs(log_odds))
    return f"{times:.1f} to 1 {way}" if times < 9.95 else f"{times:.0f} to 1 {way}"


def _bar(log_odds: float, middle: float, scale: float) -> Iterator[str]:
    reach = min(abs(log_odds), FULL) * scale
    left, top = (middle if log_odds > 0 else middle - reach), (HEIGHT - BAR) / 2
    if reach < 0.5:
        return
    place = f'x="{at(left)}" y="{at(top)}" width="{at(reach)}" height="{at(BAR)}"'
    if log_odds > 0:
        yield f'<rect class="for" {place} fill="{MARK}"/>'
    else:
        yield f'<rect class="against" {place} fill="{WHITE}" stroke="{NO}" stroke-width="1"/>'
        yield hatch(left, top, reach, BAR, NO, way=-1)
    if abs(log_odds) > FULL:
        yield from _beyond(middle, reach, 1 if log_odds > 0 else -1)


def _beyond(middle: float, reach: float, way: int) -> Iterator[str]:
    """The end as a tip: it counts more than the bar can show."""
    tip, back = middle + way * reach, middle + way * (reach - BAR)
    top, bottom = (HEIGHT - BAR) / 2 - 1, (HEIGHT + BAR) / 2 + 1
    left = min(tip, back)
    yield (
        f'<rect class="cut" x="{at(left)}" y="{at(top)}" width="{at(BAR)}" height="{at(bottom - top)}" '
        f'fill="{WHITE}"/>'
    )
    yield arrow_tip("beyond", tip, HEIGHT / 2, way, MARK if way > 0 else NO, length=BAR - 1, half=BAR / 2 + 1)

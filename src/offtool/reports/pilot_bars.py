"""The bars of a pilot, a row each on one scale down the page: yields, station times, what defects cost.

Mark: what was found, in the form of its verdict. Heavy: its interval. Upright line: what is planned.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import isfinite

from offtool.core.pilot.yields import RankedDefect
from offtool.core.values import Interval, Verdict
from offtool.reports.axes import Scale
from offtool.reports.colours import DOUBT, INK, LINE, MARK, OUTSIDE, QUIET
from offtool.reports.drawing import at, chevron, level, svg, upright
from offtool.reports.limit_bar import CLASS, COLOUR, draw_mark
from offtool.steps.pilot_found import PilotFound, StationTimed

WIDTH, HEIGHT = 240.0, 22.0
EDGE = 6.0
FULL = 1.0


def yield_scale(found: PilotFound, *, width: float = WIDTH) -> Scale:
    """One scale for the yields of all stations and of the line, up to 100 %."""
    yields = found.yields
    if yields is None:
        return Scale(0.0, FULL, EDGE, width - EDGE)
    lows = [one.first.interval.low for one in yields.stations]
    lows += [one.interval.low for one in (yields.first, yields.final)]
    lows += [one.planned for one in (yields.first, yields.final) if one.planned is not None]
    low = max(0.0, min(lows) - 0.02)
    return Scale(low, FULL, EDGE, width - EDGE)


def draw_yield_bar(
    scale: Scale, share: float, interval: Interval, planned: float | None, verdict: Verdict | None, said: str
) -> str:
    """A yield with its interval, and the planned one as a line, below which is shaded."""
    y = HEIGHT / 2
    inside = [level("base", scale.start, scale.end, y, LINE, 0.8)]
    if planned is not None:
        x = scale.at(planned)
        inside.append(_shaded(scale.start, x))
        inside.append(upright("limit", x, 3, HEIGHT - 3, INK, 1.2))
    inside += _found(scale, share, interval, verdict or Verdict.NOT_SHOWN, plain=verdict is None)
    return svg("pilot-bar", scale.end + EDGE, HEIGHT, said, inside)


def _shaded(left: float, right: float) -> str:
    place = f'x="{at(min(left, right))}" y="4" width="{at(abs(right - left))}" height="{at(HEIGHT - 8)}"'
    return f'<rect class="outside" {place} fill="{OUTSIDE}"/>'


def _found(scale: Scale, value: float, interval: Interval, verdict: Verdict, *, plain: bool) -> Iterator[str]:
    """The interval as a heavy line and the mark on it; plain where nothing is planned to hold it against."""
    y, colour = HEIGHT / 2, MARK if plain else COLOUR[verdict]
    low, high = max(interval.low, scale.low), min(interval.high, scale.high)
    yield f'<g class="{CLASS[verdict]}">' if not plain else '<g class="plain">'
    yield level("mean", scale.at(low), scale.at(high), y, colour, 4.5)
    if interval.high > scale.high and isfinite(interval.high):
        yield chevron(scale.end + 4, y, 1, INK, size=2.5)
    yield draw_mark(Verdict.HOLDS if plain else verdict, scale.at(value), y)
    yield "</g>"


def time_scale(times: Sequence[StationTimed], *, width: float = WIDTH) -> Scale:
    """One scale for the times of all stations, each divided by the pieces it works on side by side."""
    ends = [0.0]
    for one in times:
        ends.append(one.mean_s / side_by_side(one))
        if one.times is not None:
            found = one.times
            seen = (found.slow_s, found.plan_s, found.takt_s, found.interval_s.high)
            ends += [end / side_by_side(one) for end in seen if end is not None and isfinite(end)]
    return Scale(0.0, 1.08 * max(ends) or 1.0, EDGE, width - EDGE)


def side_by_side(one: StationTimed) -> float:
    """Pieces that a station works on at once; a task is timed piece by piece."""
    return one.per_h * one.mean_s / 3600 if one.per_h is not None else 1.0


def draw_time_bar(scale: Scale, one: StationTimed, said: str) -> str:
    """A station's time for each piece that leaves it; the line is the takt, beyond it is shaded.

    Thin: up to the time that nine pieces in ten stay below. Tick: what is planned.
    """
    y, by = HEIGHT / 2, side_by_side(one)
    inside = [level("base", scale.start, scale.end, y, LINE, 0.8)]
    found = one.times
    if found is None:
        return svg(
            "pilot-bar", scale.end + EDGE, HEIGHT, said,
            [*inside, draw_mark(Verdict.NOT_SHOWN, scale.at(one.mean_s / by), y)],
        )  # fmt: skip
    if found.takt_s is not None:
        x = scale.at(found.takt_s / by)
        inside += [_shaded(x, scale.end), upright("limit", x, 3, HEIGHT - 3, INK, 1.2)]
    inside.append(upright("plan", scale.at(found.plan_s / by), HEIGHT - 8, HEIGHT - 1, QUIET, 1.6))
    inside.append(level("spread", scale.at(one.mean_s / by), scale.at(found.slow_s / by), y, INK, 1))
    verdict = found.against_takt or found.against_plan
    interval = Interval(
        low=found.interval_s.low / by, high=found.interval_s.high / by, confidence=found.interval_s.confidence
    )
    inside += _found(scale, one.mean_s / by, interval, verdict, plain=False)
    return svg("pilot-bar", scale.end + EDGE, HEIGHT, said, inside)


def cost_scale(defects: Sequence[RankedDefect], *, width: float = WIDTH) -> Scale:
    """One scale for what all defects cost."""
    most = max((one.cost_interval.high for one in defects), default=1.0)
    return Scale(0.0, 1.05 * most or 1.0, EDGE, width - EDGE)


def draw_cost_bar(scale: Scale, one: RankedDefect, said: str) -> str:
    """What a defect cost, and between what ends it may lie."""
    y = HEIGHT / 2
    left, right = scale.at(0.0), scale.at(one.cost)
    place = f'x="{at(left)}" y="6" width="{at(max(right - left, 0.0))}" height="{at(HEIGHT - 12)}"'
    low, high = scale.at(one.cost_interval.low), scale.at(one.cost_interval.high)
    return svg(
        "pilot-bar",
        scale.end + EDGE,
        HEIGHT,
        said,
        [
            f'<rect class="cost" {place} fill="{MARK}"/>',
            level("spread", low, high, y, DOUBT, 1.4),
            *(upright("spread", end, y - 4, y + 4, DOUBT, 1.4) for end in (low, high)),
        ],
    )

"""Good pieces day by day after the start: the middle as a line in its band, the quantity that is wanted."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from math import ceil, inf

from offtool.core.pilot.ramp import Ramp, RampDay
from offtool.reports.axes import Scale, draw_values_axis, text
from offtool.reports.colours import INK, MARK, OUTSIDE, QUIET
from offtool.reports.drawing import at, level, svg, upright
from offtool.reports.words import day as day_in_words

WIDTH, HEIGHT = 720.0, 260.0
LEFT, RIGHT, TOP, BOTTOM = 60.0, 16.0, 18.0, 34.0
SOME_MORE = 1.15
MOST_DATES = 9


def draw_ramp(ramp: Ramp, days: Sequence[date], *, width: float = WIDTH) -> str:
    """Pieces up to the end of each working day, until a little past the latest day of the quantity."""
    right, bottom = width - RIGHT, HEIGHT - BOTTOM
    shown = shown_days(ramp)
    last = shown[-1].day
    y = Scale(0.0, 1.08 * max(ramp.quantity, shown[-1].total), bottom, TOP)
    x = Scale(0.0, float(last), LEFT, right)
    inside = [
        *draw_values_axis(y, LEFT, right),
        _band(shown, x, y),
        _middle(shown, x, y),
        level("limit", LEFT, right, y.at(ramp.quantity), INK, 1.2),
        text(f"wanted {ramp.quantity:,}", LEFT + 4, y.at(ramp.quantity) - 4, colour=INK),
        *_reached(ramp, x, y),
        *_dates(shown, days, x, bottom),
    ]
    return svg("ramp", width, HEIGHT, _in_words(ramp, days), inside)


def shown_days(ramp: Ramp) -> tuple[RampDay, ...]:
    """The days that are drawn."""
    end = ramp.latest_day if ramp.latest_day < inf else float(len(ramp.days))
    return ramp.days[: max(2, min(len(ramp.days), ceil(SOME_MORE * end)))]


def _points(shown: Sequence[RampDay], name: str, x: Scale, y: Scale) -> list[str]:
    start = f"{at(x.at(0.0))} {at(y.at(0.0))}"
    return [start, *(f"{at(x.at(one.day))} {at(y.at(getattr(one, name)))}" for one in shown)]


def _band(shown: Sequence[RampDay], x: Scale, y: Scale) -> str:
    outline = "L".join([*_points(shown, "high", x, y), *reversed(_points(shown, "low", x, y))])
    return f'<path class="band" d="M{outline}Z" fill="{OUTSIDE}" stroke="{QUIET}" stroke-width="0.6"/>'


def _middle(shown: Sequence[RampDay], x: Scale, y: Scale) -> str:
    line = "L".join(_points(shown, "total", x, y))
    return f'<path class="middle" d="M{line}" fill="none" stroke="{MARK}" stroke-width="2"/>'


def _reached(ramp: Ramp, x: Scale, y: Scale) -> Iterator[str]:
    """From the earliest to the latest day on which the quantity is there."""
    if ramp.middle_day == inf:
        return
    place = y.at(ramp.quantity)
    ends = [one for one in (ramp.earliest_day, ramp.latest_day) if one < inf]
    if len(ends) == 2:
        yield level("reach", x.at(ends[0]), x.at(ends[1]), place, MARK, 5)
    yield upright("reach", x.at(ramp.middle_day), place - 6, y.start, MARK, 1, ' stroke-dasharray="3 3"')


def _dates(shown: Sequence[RampDay], days: Sequence[date], x: Scale, bottom: float) -> Iterator[str]:
    step = max(1, ceil(len(shown) / MOST_DATES))
    for one in shown[::step]:
        place = x.at(one.day)
        yield upright("tick", place, bottom, bottom + 4, QUIET, 0.8)
        on = days[one.day - 1]
        yield text(f"{on.day} {on:%b}", place, bottom + 15, anchor="middle")
    yield text("end of each working day", x.end, bottom + 28, anchor="end")


def _in_words(ramp: Ramp, days: Sequence[date]) -> str:
    said = [f"good pieces by day, {ramp.quantity} wanted"]
    for name, day in (
        ("earliest", ramp.earliest_day),
        ("middle", ramp.middle_day),
        ("latest", ramp.latest_day),
    ):
        said.append(
            f"{name} {day_in_words(days[ceil(day) - 1])}" if day <= len(days) else f"{name} not reached"
        )
    return "; ".join(said)


def every_so_many_days(step: int) -> str:
    """Over a table of working days: each of them, or one in so many."""
    return "Day by day" if step == 1 else f"Every {step} working days"

"""What left a line hour by hour: columns, the planned rate as a line, the hours that do not count hatched."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from offtool.reports import words
from offtool.reports.axes import Scale, draw_values_axis, hovered, text
from offtool.reports.colours import INK, MARK, QUIET, WHITE
from offtool.reports.drawing import at, level, svg
from offtool.reports.hatch import hatch
from offtool.steps.pilot_found import HourSeen

WIDTH, HEIGHT = 560.0, 200.0
LEFT, RIGHT, TOP, BOTTOM = 46.0, 12.0, 16.0, 32.0
WIDEST = 56.0


def draw_pilot_hours(hours: Sequence[HourSeen], planned_per_h: float | None, *, width: float = WIDTH) -> str:
    """The good pieces of each hour, as a rate."""
    right, bottom = width - RIGHT, HEIGHT - BOTTOM
    most = max([*(one.per_h for one in hours), planned_per_h or 0.0, 1.0])
    y = Scale(0.0, 1.1 * most, bottom, TOP)
    step = (right - LEFT) / max(len(hours), 1)
    inside = [
        *draw_values_axis(y, LEFT, right),
        *(
            one
            for place, hour in enumerate(hours)
            for one in _column(hour, LEFT + step * (place + 0.5), step, y)
        ),
        *_planned(planned_per_h, y, right),
        text("hour", right, HEIGHT - 4, anchor="end"),
    ]
    return svg("pilot-hours", width, HEIGHT, _in_words(hours, planned_per_h), inside)


def hour_in_words(one: HourSeen) -> str:
    """hour 2: 112 good, 112 an hour."""
    why = f", does not count: {one.why_not}" if one.why_not else ""
    return f"hour {one.hour}: {one.good} good, {one.per_h:.0f} an hour{why}"


def _column(one: HourSeen, middle: float, step: float, y: Scale) -> Iterator[str]:
    wide = min(0.7 * step, WIDEST)
    left, top = middle - wide / 2, y.at(one.per_h)
    place = f'x="{at(left)}" y="{at(top)}" width="{at(wide)}" height="{at(y.start - top)}"'
    fill = WHITE if one.why_not else MARK
    field = f'<rect {place} fill="{fill}" stroke="{INK}" stroke-width="0.8"/>'
    lines = hatch(left, top, wide, y.start - top, QUIET) if one.why_not else ""
    yield hovered(field + lines, hour_in_words(one))
    yield text(words.number(one.per_h, 0), middle, top - 4, anchor="middle", colour=INK)
    yield text(str(one.hour), middle, y.start + 13, anchor="middle")


def _planned(planned: float | None, y: Scale, right: float) -> Iterator[str]:
    if planned is not None:
        place = y.at(planned)
        yield level("limit", LEFT, right, place, INK, 1.2)
        yield text(f"planned {planned:g}", LEFT + 3, place - 4, colour=INK)


def _in_words(hours: Sequence[HourSeen], planned: float | None) -> str:
    against = f", {planned:g} an hour planned" if planned is not None else ""
    return f"good pieces by hour{against}; " + "; ".join(map(hour_in_words, hours))

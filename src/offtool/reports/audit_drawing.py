"""Pieces pulled or turned hour by hour: smallest to largest, mean, limits, the alarm of the release."""

from __future__ import annotations

from collections.abc import Iterator

from offtool.core.pilot.yields import AuditsJudged, HourAudited
from offtool.reports import words
from offtool.reports.axes import Scale, draw_limits, draw_values_axis, hovered, text
from offtool.reports.colours import DOUBT, INK, MARK, NO, QUIET
from offtool.reports.drawing import at, level, svg, upright
from offtool.steps.pilot_found import AuditSeen

WIDTH, HEIGHT = 560.0, 180.0
LEFT, RIGHT, TOP, BOTTOM = 52.0, 12.0, 14.0, 30.0


def draw_audit(one: AuditSeen, judged: AuditsJudged, *, width: float = WIDTH) -> str:
    """A line an hour from its smallest to its largest reading; a cross where the hour raises an alarm."""
    right, bottom = width - RIGHT, HEIGHT - BOTTOM
    limits = [limit for limit in (judged.lower, judged.upper) if limit is not None]
    values = [end for hour in judged.hours for end in (hour.smallest, hour.largest)]
    y = Scale.around([*values, *limits], bottom, TOP)
    x = Scale.around([hour.hour for hour in judged.hours], LEFT + 14, right - 14)
    inside = [
        *draw_limits(y, judged.lower, judged.upper, LEFT, right),
        *draw_values_axis(y, LEFT, right),
        *(sign for hour in judged.hours for sign in _hour(hour, one, x, y)),
        text(f"hour; {one.unit}", right, HEIGHT - 4, anchor="end"),
    ]
    return svg("audit", width, HEIGHT, _in_words(one, judged), inside)


def hour_in_words(hour: HourAudited, one: AuditSeen) -> str:
    """hour 2: 4 read, mean 115 N, 112 to 118."""
    mean, ends = (
        words.number(hour.mean, one.decimals),
        words.ends(hour.smallest, hour.largest, one.decimals),
    )
    alarm = ", below what an unchanged weld gives" if hour.alarm else ""
    return f"hour {hour.hour}: {hour.readings} read, mean {mean} {one.unit}, {ends}{alarm}"


def _hour(hour: HourAudited, one: AuditSeen, x: Scale, y: Scale) -> Iterator[str]:
    place, mean = x.at(hour.hour), y.at(hour.mean)
    signs = upright("spread", place, y.at(hour.largest), y.at(hour.smallest), INK, 1.2)
    if hour.alarm:
        arms = "".join(
            f"M{at(place - 4)} {at(mean - 4 * t)}L{at(place + 4)} {at(mean + 4 * t)}" for t in (1, -1)
        )
        signs += f'<path class="dot" d="{arms}" stroke="{NO}" stroke-width="2"/>'
    else:
        signs += f'<circle class="dot" cx="{at(place)}" cy="{at(mean)}" r="3.2" fill="{MARK}"/>'
    if hour.alarm_below is not None and y.low <= hour.alarm_below <= y.high:
        signs += level(
            "alarm", place - 9, place + 9, y.at(hour.alarm_below), DOUBT, 1.2, ' stroke-dasharray="3 2"'
        )
    yield hovered(signs, hour_in_words(hour, one))
    yield text(str(hour.hour), place, y.start + 13, anchor="middle", colour=QUIET)


def _in_words(one: AuditSeen, judged: AuditsJudged) -> str:
    limits = words.between(judged.lower, judged.upper, decimals=one.decimals)
    said = "; ".join(hour_in_words(hour, one) for hour in judged.hours)
    return f"{one.name}, {one.measure} by hour, limits {limits} {one.unit}; {said}"

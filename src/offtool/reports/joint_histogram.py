"""The measure of a joint over the mix of cavities: a bar a class, by grade, between the limits."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import ceil

from offtool.core.joints.assembled import AssembledJoint, Bar, Grade
from offtool.reports import words
from offtool.reports.axes import Scale, hovered, text, tick_decimals
from offtool.reports.colours import INK, LINE, OUTSIDE, QUIET, WHITE
from offtool.reports.drawing import at, level, svg, upright
from offtool.reports.joint_shares_bar import draw_grade
from offtool.reports.joint_words import (
    GRADES,
    grades_in_words,
    limit_in_words,
    limits_in_words,
    measure_in_words,
)
from offtool.steps.joint_sentences import per_cent_of

WIDTH, TOP, HEIGHT, BELOW, LEFT, RIGHT = 520.0, 22.0, 130.0, 30.0, 44.0, 14.0
WORD = 10.5
"""Of text, in pixels: to be read on a phone."""
ROOM = 1.06
NARROWEST_CLASS = 3.0
"""Pixels of a class of the measure, at least."""
NARROWEST = 2.0
"""Joints that all turn freely have one torque: their bar is still to be seen."""


def draw_measure_histogram(
    assembled: AssembledJoint, *, decimals: int, unit: str, width: float = WIDTH
) -> str:
    """Joints by measure; what lies outside the limits is shaded, each limit a line with its number."""
    bars = _filled(assembled.histogram)
    bottom = TOP + HEIGHT
    limits = [one for one in (assembled.lower, assembled.upper) if one is not None]
    along = Scale.around(
        [*(end for bar in bars for end in (bar.low, bar.high)), *limits], LEFT, width - RIGHT
    )
    bars = _wide_enough(bars, along)
    up = Scale(0.0, ROOM * max((_whole(bar) for bar in bars), default=1.0), bottom, TOP)
    inside = [
        *_outside(assembled, along, bottom),
        *_shares_axis(up, width - RIGHT),
        *(_bar(bar, along, up, decimals, unit) for bar in bars),
        *_limits(assembled, along, bottom, decimals),
        *_measures_axis(along, bottom, f"{assembled.measure}, {unit}"),
    ]
    mix = assembled.mix
    said = (
        f"{assembled.measure}: {measure_in_words(mix, decimals=decimals, unit=unit)}; {grades_in_words(mix)}"
    )
    if limits:
        asked = limits_in_words(assembled.lower, assembled.upper, decimals=decimals)
        said += f"; asked {asked} {unit}"
    return svg("measure", width, bottom + BELOW, said, inside)


def bar_in_words(bar: Bar, *, decimals: int, unit: str) -> str:
    """0.040 to 0.044 N·m: 3.1 % of joints, good; with the grades where there are several."""
    ends = words.ends(bar.low, bar.high, decimals + 1)
    said = f"{ends} {unit}: {per_cent_of(_whole(bar))} of joints"
    there = [grade for grade in GRADES if _of(bar, grade) > 0]
    if len(there) == 1:
        return f"{said}, {there[0]}"
    return f"{said}: " + ", ".join(f"{per_cent_of(_of(bar, grade))} {grade}" for grade in there)


def _of(bar: Bar, grade: Grade) -> float:
    share: float = getattr(bar, grade.name.lower())
    return share


def _whole(bar: Bar) -> float:
    return sum(_of(bar, grade) for grade in GRADES)


def _filled(bars: Sequence[Bar]) -> Sequence[Bar]:
    """From the first bar with anything in it to the last."""
    there = [i for i, bar in enumerate(bars) if _whole(bar) > 0]
    return bars[there[0] : there[-1] + 1] if there else ()


def _wide_enough(bars: Sequence[Bar], along: Scale) -> Sequence[Bar]:
    """Neighbours put together until a bar is wide enough to be seen: far limits make bars thin."""
    if not bars:
        return bars
    thin = along.at(bars[0].high) - along.at(bars[0].low)
    several = max(ceil(NARROWEST_CLASS / thin), 1) if thin > 0 else len(bars)
    return [_together(bars[i : i + several]) for i in range(0, len(bars), several)]


def _together(bars: Sequence[Bar]) -> Bar:
    shares = {grade.name.lower(): sum(_of(bar, grade) for bar in bars) for grade in GRADES}
    return Bar(low=bars[0].low, high=bars[-1].high, **shares)


def _outside(assembled: AssembledJoint, along: Scale, bottom: float) -> Iterator[str]:
    for limit, edge in ((assembled.lower, along.start), (assembled.upper, along.end)):
        if limit is not None:
            x = along.at(limit)
            place = f'x="{at(min(x, edge))}" y="{at(TOP)}" width="{at(abs(edge - x))}"'
            yield f'<rect class="outside" {place} height="{at(bottom - TOP)}" fill="{OUTSIDE}"/>'


def _limits(assembled: AssembledJoint, along: Scale, bottom: float, decimals: int) -> Iterator[str]:
    for limit, anchor, off in ((assembled.lower, "end", -3), (assembled.upper, "start", 3)):
        if limit is None:
            continue
        x = along.at(limit)
        said = limit_in_words(limit, decimals=decimals)
        # beside the drawing's edge there is room on the inner side only
        if not LEFT + 30 < x < along.end - 30:
            anchor, off = ("start", 3) if x < along.end / 2 else ("end", -3)
        yield upright("limit", x, TOP - 8, bottom, INK, 1.4)
        yield text(said, x + off, TOP - 3, anchor=anchor, colour=INK, size=WORD)


def _shares_axis(up: Scale, right: float) -> Iterator[str]:
    places = up.ticks(3)
    decimals = tick_decimals([100 * one for one in places])
    for share in places:
        yield level("tick", LEFT, right, up.at(share), LINE, 0.7)
        yield text(words.percent(share, decimals), LEFT - 5, up.at(share) + 3.5, anchor="end", size=WORD)


def _measures_axis(along: Scale, bottom: float, says: str) -> Iterator[str]:
    places = along.ticks(5)
    decimals = tick_decimals(places)
    yield level("axis", along.start, along.end, bottom, INK, 0.9)
    for value in places:
        yield upright("tick", along.at(value), bottom, bottom + 4, QUIET, 0.8)
        yield text(words.number(value, decimals), along.at(value), bottom + 14, anchor="middle", size=WORD)
    yield text(says, along.end, bottom + 27, anchor="end", size=WORD)


def _bar(bar: Bar, along: Scale, up: Scale, decimals: int, unit: str) -> str:
    left = along.at(bar.low)
    right = max(along.at(bar.high), left + NARROWEST)
    fields, so_far = [], 0.0
    for grade in GRADES:
        share = _of(bar, grade)
        if share > 0:
            top, foot = up.at(so_far + share), up.at(so_far)
            fields.append(draw_grade(grade, left, top, right - left, foot - top))
            so_far += share
    rim = f'x="{at(left)}" y="{at(up.at(so_far))}" width="{at(right - left)}"'
    height = at(up.at(0.0) - up.at(so_far))
    colour = WHITE if bar.good == so_far else QUIET
    fields.append(
        f'<rect class="rim" {rim} height="{height}" fill="none" stroke="{colour}" stroke-width="0.6"/>'
    )
    return hovered("".join(fields), bar_in_words(bar, decimals=decimals, unit=unit))

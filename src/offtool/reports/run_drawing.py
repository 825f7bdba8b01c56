"""The readings of one size in the order of the shots: what counts, what had not settled, what is left out.

Told by the form of the mark: a filled dot, or the cavity's own number, counts; an open dot had not settled, a
cross is left out by a person; a ring points at a reading that lies far from its cavity's others.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence

from offtool.reports import words
from offtool.reports.axes import Scale, draw_limits, draw_values_axis, hovered, text
from offtool.reports.colours import DOUBT, INK, MARK, NO, QUIET, WHITE
from offtool.reports.drawing import at, svg, upright, xml
from offtool.steps.readings_seen import Counts, ReadingSeen

WIDTH, HEIGHT = 860.0, 250.0
LEFT, RIGHT, TOP, BOTTOM = 56.0, 34.0, 16.0, 26.0
MOST_MARKS = 1500
"""Beyond, the readings of a shot are drawn as one line from the smallest to the largest."""
LABEL_APART = 10.0
MOST_NUMBERED = 400
"""Readings drawn as the number of their cavity; more would lie on each other."""


Placed = tuple[int, ReadingSeen]
"""A reading and its place in the order: its shot, or where no shots are known its place in the file."""


def draw_run(
    readings: Sequence[ReadingSeen],
    *,
    lower: float | None,
    upper: float | None,
    settled_from: int | None,
    decimals: int,
    unit: str,
    width: float = WIDTH,
    height: float = HEIGHT,
) -> str:
    """The readings in order between their limits."""
    right, bottom = width - RIGHT, height - BOTTOM
    by_shot = all(one.shot is not None for one in readings)
    placed = [(one.shot if by_shot and one.shot is not None else i, one) for i, one in enumerate(readings, 1)]
    limits = [limit for limit in (lower, upper) if limit is not None]
    y = Scale.around([*(one.value for one in readings), *limits], bottom, TOP)
    x = Scale.around([order for order, _ in placed], LEFT + 6, right - 6)
    draw = _marks if len(placed) <= MOST_MARKS else _bands
    inside = [
        *draw_limits(y, lower, upper, LEFT, right),
        *draw_values_axis(y, LEFT, right),
        *_order_axis(x, bottom, by_shot=by_shot),
        *_settled_line(x, readings, settled_from if by_shot else None, bottom),
        *draw(placed, x, y, decimals, unit),
        *_cavity_labels(readings, y, right, bottom),
    ]
    return svg("run", width, height, _in_words(readings, lower, upper, settled_from, decimals, unit), inside)


def _order_axis(x: Scale, bottom: float, *, by_shot: bool) -> Iterator[str]:
    for tick in x.ticks(10):
        if tick == int(tick):
            yield text(f"{tick:.0f}", x.at(tick), bottom + 12, anchor="middle")
    yield text("shot" if by_shot else "in the order of the file", x.end, bottom + 23, anchor="end")


def _settled_line(
    x: Scale, readings: Sequence[ReadingSeen], settled_from: int | None, bottom: float
) -> Iterator[str]:
    if settled_from is not None and any(one.counts is Counts.UNSETTLED for one in readings):
        place = x.at(settled_from - 0.5)
        yield upright("settled", place, TOP - 6, bottom, QUIET, 1, ' stroke-dasharray="3 3"')
        yield text(f"settled from shot {settled_from}", place + 4, TOP - 5)


def _marks(placed: Sequence[Placed], x: Scale, y: Scale, decimals: int, unit: str) -> Iterator[str]:
    cavities = {one.cavity for _, one in placed}
    numbered = (
        len(cavities) > 1 and len(placed) <= MOST_NUMBERED and all(0 < len(one) <= 2 for one in cavities)
    )
    for order, one in placed:
        said = (
            f"{words.cavity(one.cavity)}: {words.number(one.value, decimals)} {unit}, {reading_in_words(one)}"
        )
        yield hovered(draw_reading(one, x.at(order), y.at(one.value), numbered=numbered), said)


def reading_in_words(one: ReadingSeen) -> str:
    """Where a reading was taken and whether it counts."""
    shot = f"shot {one.shot}, " if one.shot is not None else ""
    left_out = f", left out: {one.reason}" if one.reason else ""
    pointed = ", far from its cavity's others" if one.pointed_at else ""
    counts = f", {one.counts.value}" if one.counts is Counts.UNSETTLED else ""
    return f"{shot}{one.cell}{counts}{left_out}{pointed}"


def draw_reading(one: ReadingSeen, x: float, y: float, *, numbered: bool = False) -> str:
    """The sign of one reading: a dot, or the number of its cavity."""
    place = f'cx="{at(x)}" cy="{at(y)}"'
    ring = f'<circle class="pointed" {place} r="5.5" fill="none" stroke="{DOUBT}" stroke-width="1.4"/>'
    if one.counts is Counts.LEFT_OUT:
        arms = "".join(f"M{at(x - 3)} {at(y - 3 * tilt)}L{at(x + 3)} {at(y + 3 * tilt)}" for tilt in (1, -1))
        sign = f'<path class="left-out" d="{arms}" stroke="{NO}" stroke-width="1.6"/>'
    elif one.counts is Counts.UNSETTLED:
        sign = f'<circle class="unsettled" {place} r="2.2" fill="{WHITE}" stroke="{QUIET}" stroke-width="1"/>'
    elif numbered:
        style = f'font-size="8.5" font-weight="600" text-anchor="middle" fill="{MARK}"'
        sign = f'<text class="counts" x="{at(x)}" y="{at(y + 3)}" {style}>{xml(one.cavity)}</text>'
    else:
        sign = f'<circle class="counts" {place} r="2.2" fill="{MARK}"/>'
    return sign + (ring if one.pointed_at else "")


def _bands(placed: Sequence[Placed], x: Scale, y: Scale, decimals: int, unit: str) -> Iterator[str]:
    """A line a shot from its smallest to its largest reading; what is left out or pointed at stays a mark."""
    shots: dict[int, list[float]] = defaultdict(list)
    for order, one in placed:
        if one.counts is not Counts.LEFT_OUT:
            shots[order].append(one.value)
    for order, values in shots.items():
        low, high = min(values), max(values)
        ends = f"{words.number(low, decimals)} to {words.number(high, decimals)} {unit}"
        said = f"{order}: {len(values)} readings, {ends}"
        yield hovered(upright("band", x.at(order), y.at(high), y.at(low), MARK, 1.6), said)
    alone = [(at_, one) for at_, one in placed if one.pointed_at or one.counts is Counts.LEFT_OUT]
    yield from _marks(alone[:MOST_MARKS], x, y, decimals, unit)


def _cavity_labels(readings: Sequence[ReadingSeen], y: Scale, right: float, bottom: float) -> Iterator[str]:
    """Each cavity's label at the height of its mean, moved apart where they would lie on each other."""
    values: dict[str, list[float]] = defaultdict(list)
    for one in readings:
        if one.counts is Counts.YES and one.cavity:
            values[one.cavity].append(one.value)
    if len(values) < 2:
        return
    heights = sorted((y.at(sum(found) / len(found)), label) for label, found in values.items())
    place = TOP
    for i, (height, label) in enumerate(heights):
        place = max(place, min(height, bottom - LABEL_APART * (len(heights) - i - 1)))
        yield text(label[:4], right + 5, place + 3, colour=INK)
        place += LABEL_APART


def _in_words(
    readings: Sequence[ReadingSeen],
    lower: float | None,
    upper: float | None,
    settled_from: int | None,
    decimals: int,
    unit: str,
) -> str:
    used = [one.value for one in readings if one.counts is Counts.YES]
    limits = words.between(lower, upper, decimals=decimals)
    said = [f"{len(readings)} readings in order, limits {limits} {unit}"]
    if used:
        low, high = (words.number(end, decimals) for end in (min(used), max(used)))
        said.append(f"those used lie from {low} to {high}")
    if settled_from is not None:
        said.append(f"settled from shot {settled_from}")
    for counts in (Counts.UNSETTLED, Counts.LEFT_OUT):
        number = sum(one.counts is counts for one in readings)
        if number:
            said.append(f"{number} {counts}")
    return "; ".join(said)

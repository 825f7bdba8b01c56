"""The readings of one size in the order of the shots: what counts, what had not settled, what is left out.

Told by the form of the mark: a filled dot counts, an open dot had not settled, a cross is left out by
a person; a ring points at a reading that lies far from its cavity's others.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

from offtool.reports import words
from offtool.reports.axes import Scale, draw_limits, draw_values_axis, hovered, text
from offtool.reports.colours import DOUBT, INK, MARK, NO, QUIET, WHITE
from offtool.reports.drawing import at, svg, upright

WIDTH, HEIGHT = 860.0, 250.0
LEFT, RIGHT, TOP, BOTTOM = 56.0, 34.0, 16.0, 26.0
MOST_MARKS = 1500
"""Beyond, the readings of a shot are drawn as one line from the smallest to the largest."""
LABEL_APART = 10.0


class Counts(StrEnum):
    """Whether a reading is used."""

    YES = "counts"
    UNSETTLED = "not settled"
    LEFT_OUT = "left out"


@dataclass(frozen=True, slots=True, kw_only=True)
class RunMark:
    """One reading of the drawing; `order` is its shot, or its place in the file where no shot is known."""

    order: int
    value: float
    cavity: str
    counts: Counts
    pointed_at: bool
    said: str
    """Where it was read, and why it is left out."""


def draw_run(
    marks: Sequence[RunMark],
    *,
    lower: float | None,
    upper: float | None,
    settled_from: int | None,
    by_shot: bool,
    decimals: int,
    unit: str,
    width: float = WIDTH,
) -> str:
    """The readings in order between their limits."""
    right, bottom = width - RIGHT, HEIGHT - BOTTOM
    values = [mark.value for mark in marks]
    y = Scale.around([*values, *(limit for limit in (lower, upper) if limit is not None)], bottom, TOP)
    x = Scale.around([mark.order for mark in marks], LEFT + 6, right - 6)
    inside = [
        *draw_limits(y, lower, upper, LEFT, right),
        *draw_values_axis(y, LEFT, right),
        *_order_axis(x, bottom, by_shot=by_shot),
        *_settled_line(x, marks, settled_from, bottom),
        *(
            _marks(marks, x, y, decimals, unit)
            if len(marks) <= MOST_MARKS
            else _bands(marks, x, y, decimals, unit)
        ),
        *_cavity_labels(marks, y, right, bottom),
    ]
    return svg("run", width, HEIGHT, _in_words(marks, lower, upper, settled_from, decimals, unit), inside)


def _order_axis(x: Scale, bottom: float, *, by_shot: bool) -> Iterator[str]:
    for tick in x.ticks(10):
        if tick == int(tick):
            yield text(f"{tick:.0f}", x.at(tick), bottom + 12, anchor="middle")
    yield text("shot" if by_shot else "in the order of the file", x.end, bottom + 23, anchor="end")


def _settled_line(
    x: Scale, marks: Sequence[RunMark], settled_from: int | None, bottom: float
) -> Iterator[str]:
    if settled_from is not None and any(mark.counts is Counts.UNSETTLED for mark in marks):
        place = x.at(settled_from - 0.5)
        yield upright("settled", place, TOP - 6, bottom, QUIET, 1, ' stroke-dasharray="3 3"')
        yield text(f"settled from shot {settled_from}", place + 4, TOP - 5)


def _marks(marks: Sequence[RunMark], x: Scale, y: Scale, decimals: int, unit: str) -> Iterator[str]:
    for mark in marks:
        said = f"{words.cavity(mark.cavity)}: {words.number(mark.value, decimals)} {unit}, {mark.said}"
        yield hovered(draw_reading(mark, x.at(mark.order), y.at(mark.value)), said)


def draw_reading(mark: RunMark, x: float, y: float) -> str:
    """The sign of one reading."""
    place = f'cx="{at(x)}" cy="{at(y)}"'
    ring = f'<circle class="pointed" {place} r="5.5" fill="none" stroke="{DOUBT}" stroke-width="1.4"/>'
    if mark.counts is Counts.LEFT_OUT:
        arms = "".join(f"M{at(x - 3)} {at(y - 3 * tilt)}L{at(x + 3)} {at(y + 3 * tilt)}" for tilt in (1, -1))
        sign = f'<path class="left-out" d="{arms}" stroke="{NO}" stroke-width="1.6"/>'
    elif mark.counts is Counts.UNSETTLED:
        sign = f'<circle class="unsettled" {place} r="2.2" fill="{WHITE}" stroke="{QUIET}" stroke-width="1"/>'
    else:
        sign = f'<circle class="counts" {place} r="2.2" fill="{MARK}"/>'
    return sign + (ring if mark.pointed_at else "")


def _bands(marks: Sequence[RunMark], x: Scale, y: Scale, decimals: int, unit: str) -> Iterator[str]:
    """A line a shot from its smallest to its largest reading; what is left out or pointed at stays a mark."""
    shots: dict[int, list[float]] = defaultdict(list)
    for mark in marks:
        if mark.counts is not Counts.LEFT_OUT:
            shots[mark.order].append(mark.value)
    for order, values in shots.items():
        low, high = min(values), max(values)
        ends = f"{words.number(low, decimals)} to {words.number(high, decimals)} {unit}"
        said = f"{order}: {len(values)} readings, {ends}"
        yield hovered(upright("band", x.at(order), y.at(high), y.at(low), MARK, 1.6), said)
    alone = [mark for mark in marks if mark.pointed_at or mark.counts is Counts.LEFT_OUT]
    yield from _marks(alone[:MOST_MARKS], x, y, decimals, unit)


def _cavity_labels(marks: Sequence[RunMark], y: Scale, right: float, bottom: float) -> Iterator[str]:
    """Each cavity's label at the height of its mean, moved apart where they would lie on each other."""
    values: dict[str, list[float]] = defaultdict(list)
    for mark in marks:
        if mark.counts is Counts.YES and mark.cavity:
            values[mark.cavity].append(mark.value)
    if len(values) < 2:
        return
    heights = sorted((y.at(sum(found) / len(found)), label) for label, found in values.items())
    place = TOP
    for i, (height, label) in enumerate(heights):
        place = max(place, min(height, bottom - LABEL_APART * (len(heights) - i - 1)))
        yield text(label[:4], right + 5, place + 3, colour=INK)
        place += LABEL_APART


def _in_words(
    marks: Sequence[RunMark],
    lower: float | None,
    upper: float | None,
    settled_from: int | None,
    decimals: int,
    unit: str,
) -> str:
    used = [mark.value for mark in marks if mark.counts is Counts.YES]
    said = [f"{len(marks)} readings in order, limits {words.between(lower, upper, decimals=decimals)} {unit}"]
    if used:
        said.append(
            f"those used lie from {words.number(min(used), decimals)} to {words.number(max(used), decimals)}"
        )
    if settled_from is not None:
        said.append(f"settled from shot {settled_from}")
    for counts in (Counts.UNSETTLED, Counts.LEFT_OUT):
        number = sum(mark.counts is counts for mark in marks)
        if number:
            said.append(f"{number} {counts}")
    return "; ".join(said)

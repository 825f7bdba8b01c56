"""The way to the release over the weeks: a row for each step, its bar, and how much later it may end.

A step that decides the end is a filled bar and says so; another is hatched, with a thin line as far as it may
still end without moving the release. Weeks begin on Mondays.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from math import ceil

from offtool.reports.axes import hovered, text
from offtool.reports.colours import INK, LINE, MARK, NO, QUIET, WHITE
from offtool.reports.drawing import at, level, svg, upright
from offtool.reports.hatch import hatch
from offtool.reports.words import day
from offtool.steps.way_found import WayStep, WayToRelease

NAMES, WIDE, RIGHT = 178.0, 520.0, 62.0
"""Room for the names of the steps, for the weeks, and for the word after the last bar."""
TOP, ROW, BAR = 30.0, 22.0, 11.0
LEAST = 3.0
WEEK_WIDE = 46.0
"""The least room in which the day of a week can be written."""
A_WEEK = timedelta(days=7)
DECIDES = "decides"
SOONEST = 9
"""Room below the rows for the key."""


class _Weeks:
    """Places of days, from the Monday before the first to the end of the last week."""

    def __init__(self, first: date, last: date) -> None:
        self.first = first - timedelta(days=first.weekday())
        self.weeks = max((last - self.first).days // 7 + 1, 1)
        self.left, self.right = NAMES, NAMES + WIDE

    def at(self, when: date, *, evening: bool = False) -> float:
        days = (when - self.first).days + (1 if evening else 0)
        return self.left + (self.right - self.left) * min(max(days / (7 * self.weeks), 0.0), 1.0)

    def mondays(self) -> Iterator[tuple[date, bool]]:
        """Each Monday, and whether its day is written."""
        every = ceil(WEEK_WIDE * self.weeks / (self.right - self.left))
        for number in range(self.weeks):
            yield self.first + number * A_WEEK, number % every == 0


def draw_way(found: WayToRelease) -> str:
    """The way as SVG; steps in the order in which they begin."""
    last = max((one for step in found.steps for one in (step.ends, step.must_end)), default=found.on)
    weeks = _Weeks(found.on, max(last, min(found.due, last + 8 * A_WEEK)) if found.due else last)
    steps = sorted(found.steps, key=lambda one: (one.starts, one.ends, one.title))
    high = TOP + ROW * len(steps) + 30
    path = ", then ".join(found.of(one).title for one in found.path)
    said = f"Steps to the release over the weeks; {path or 'nothing'} decides the end"
    return svg("way", weeks.right + RIGHT, high, said, _inside(steps, found, weeks, high))


def _inside(steps: list[WayStep], found: WayToRelease, weeks: _Weeks, high: float) -> Iterator[str]:
    bottom = TOP + ROW * len(steps)
    for monday, written in weeks.mondays():
        x = weeks.at(monday)
        yield upright("week", x, TOP - 10, bottom, LINE, 0.7)
        if written:
            yield text(f"{monday.day} {monday:%b}", x + 2, TOP - 13, size=10)
    for row, step in enumerate(steps):
        yield _step(step, weeks, TOP + row * ROW)
    if found.due is not None and weeks.first <= found.due <= weeks.first + weeks.weeks * A_WEEK:
        x = weeks.at(found.due, evening=True)
        yield upright("due", x, TOP - 10, bottom, NO, 1.4)
        yield text("asked for", x - 3, bottom + 9, anchor="end", colour=INK)
    yield from _key(weeks.left, high)


def _step(step: WayStep, weeks: _Weeks, top: float) -> str:
    left, right = weeks.at(step.starts), weeks.at(step.ends, evening=True)
    wide, y = max(right - left, LEAST), top + (ROW - BAR) / 2
    place = f'x="{at(left)}" y="{at(y)}" width="{at(wide)}" height="{at(BAR)}"'
    name = text(step.title, 0, y + 9, colour=INK, size=11)
    if step.decides:
        bar = f'<rect class="decides" {place} fill="{MARK}"/>'
        after = text(DECIDES, left + wide + 4, y + 9, colour=INK, size=10)
    else:
        bar = f'<rect class="step" {place} fill="{WHITE}" stroke="{QUIET}" stroke-width="0.9"/>'
        bar += hatch(left, y, wide, BAR, QUIET, gap=5, stroke=0.6)
        after = level("float", left + wide, weeks.at(step.must_end, evening=True), y + BAR / 2, INK, 1.1)
    return hovered(name + bar + after, _said(step))


def _said(step: WayStep) -> str:
    later = DECIDES if step.decides else f"may end by {day(step.must_end)}"
    return f"{step.title}: {day(step.starts)} to {day(step.ends)}; {later}"


def _key(left: float, high: float) -> Iterator[str]:
    y = high - SOONEST
    yield f'<rect x="{at(left)}" y="{at(y - 9)}" width="16" height="10" fill="{MARK}"/>'
    yield text("decides the end", left + 21, y, colour=INK, size=10)
    yield hatch(left + 112, y - 9, 16, 10, QUIET, gap=5, stroke=0.6)
    yield level("float", left + 128, left + 150, y - 4, INK, 1.1)
    yield text("may end later, as far as the line", left + 155, y, colour=INK, size=10)

"""A line drawn as its stations, one below the other: the tasks of each in order, the cycle an upright line.

Words carry it: each row says the station, its people and its time; a task that finds no room for its name
says it when pointed at. Free time up to the cycle is hatched, time over it is drawn beyond the line.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from offtool.core.pilot.balance import LineBalance, PlacedTask, StationLoad
from offtool.handbook.terms import Side
from offtool.reports.axes import hovered, text
from offtool.reports.colours import INK, LINE, NO, QUIET, WHITE
from offtool.reports.drawing import at, svg, upright
from offtool.reports.hatch import hatch
from offtool.reports.plain_text import shorten

NAMES, WIDE, RIGHT = 168.0, 520.0, 112.0
TOP, ROW, HIGH, KEY = 24.0, 34.0, 22.0, 26.0
FACING_ROW = 46.0
LETTER = 5.2
"""About the width of a letter; a name that does not fit is left to the title and the tables."""
MOST_NAME = 29
ROOM = 1.06
"""What is drawn beyond the longer of the cycle and the slowest station."""
OVER = 1e-9


@dataclass(frozen=True, slots=True)
class _Scale:
    """From seconds to places."""

    end_s: float

    def at(self, time_s: float) -> float:
        return NAMES + WIDE * time_s / self.end_s


def draw_line(
    found: LineBalance, names: Mapping[int, str] | None = None, *, cycle_s: float | None = None
) -> str:
    """A balanced line as SVG. `names` says what its stations are called; `cycle_s` is the cycle to hold.

    Without a cycle that of the balance is drawn.
    """
    cycle = cycle_s or found.cycle_s
    scale = _Scale(ROOM * max(cycle, found.slowest.busy_s))
    called = names or {}
    rows = list(_rows(found.stations))
    high = TOP + sum(height for _, _, height in rows) + KEY
    said = "; ".join(_said(one, called, cycle) for one in found.stations)
    inside = _inside(rows, found, called, scale, cycle, high)
    return svg("line-drawing", NAMES + WIDE + RIGHT, high, f"The line, cycle {cycle:.4g} s: {said}", inside)


def _rows(stations: Sequence[StationLoad]) -> Iterator[tuple[StationLoad, float, float]]:
    """Each station with the top and the height of its row."""
    top = TOP
    for one in stations:
        height = FACING_ROW if one.two_sided else ROW
        yield one, top, height
        top += height


def name_of(one: StationLoad, called: Mapping[int, str]) -> str:
    """3 paint eyes; its number alone where it has no name."""
    name = called.get(one.station, "")
    return f"{one.station} {name}" if name and name != f"station {one.station}" else f"station {one.station}"


def _said(one: StationLoad, called: Mapping[int, str], cycle: float) -> str:
    tasks = ", ".join(placed.task for placed in one.tasks) or "nothing"
    over = f", {one.busy_s - cycle:.3g} s over the cycle" if one.busy_s > cycle * (1 + OVER) else ""
    return f"{name_of(one, called)}, {one.busy_s:.4g} s{over}: {tasks}"


def _inside(
    rows: Sequence[tuple[StationLoad, float, float]],
    found: LineBalance,
    called: Mapping[int, str],
    scale: _Scale,
    cycle: float,
    high: float,
) -> Iterator[str]:
    for one, top, height in rows:
        yield from _row(one, top, height, called, scale, cycle, is_slowest=one is found.slowest)
    x, bottom = scale.at(cycle), high - KEY
    yield upright("cycle", x, TOP - 6, bottom, INK, 1.4)
    yield text(f"cycle {cycle:.4g} s", x, TOP - 10, anchor="middle", colour=INK, size=10)
    yield upright("begin", NAMES, TOP - 2, bottom, LINE, 1)
    yield from _key(high)


def _row(
    one: StationLoad,
    top: float,
    height: float,
    called: Mapping[int, str],
    scale: _Scale,
    cycle: float,
    *,
    is_slowest: bool,
) -> Iterator[str]:
    name = shorten(name_of(one, called), MOST_NAME)
    people = "1 person" if one.people == 1 else f"{one.people} people"
    facing = ", face to face" if one.two_sided else ""
    yield text(name, 0, top + 12, colour=INK, size=11)
    yield text(f"{people}{facing}", 0, top + 23)
    y = top + 4
    if one.two_sided:
        lane = (height - 12) / 2
        for side, down in ((Side.LEFT, 0.0), (Side.RIGHT, lane + 2)):
            mine = [placed for placed in one.tasks if placed.side is side]
            yield from _lane(mine, y + down, lane, scale, cycle, fold=1.0)
    else:
        yield from _lane(one.tasks, y, HIGH, scale, cycle, fold=one.people)
    busy = f"{one.busy_s:.4g} s" if one.tasks else "nothing to do"
    over = one.busy_s - cycle
    word = f", {over:.3g} s over" if over > cycle * OVER else ", the slowest" if is_slowest else ""
    colour = NO if over > cycle * OVER else INK if is_slowest else QUIET
    yield text(f"{busy}{word}", NAMES + WIDE + 4, top + 18, colour=colour, size=10)


def _lane(
    tasks: Sequence[PlacedTask], top: float, high: float, scale: _Scale, cycle: float, *, fold: float
) -> Iterator[str]:
    """The tasks of one person, or of several who each have a piece of their own, and what is free."""
    done = 0.0
    for placed in tasks:
        begins, ends = placed.begins_s / fold, placed.ends_s / fold
        if begins > done + OVER:
            yield _free(scale.at(done), scale.at(begins), top, high)
        yield _task(placed, scale.at(begins), scale.at(ends), top, high)
        done = ends
    if done < cycle * (1 - OVER):
        yield _free(scale.at(done), scale.at(cycle), top, high)


def _task(placed: PlacedTask, left: float, right: float, top: float, high: float) -> str:
    wide = max(right - left, 1.0)
    place = f'x="{at(left)}" y="{at(top)}" width="{at(wide)}" height="{at(high)}"'
    box = f'<rect class="task" {place} fill="{WHITE}" stroke="{INK}" stroke-width="1"/>'
    room = int((wide - 6) / LETTER)
    name = shorten(placed.task, room) if room >= min(4, len(placed.task)) else ""
    label = text(name, left + 4, top + high / 2 + 3.3, colour=INK, size=9.5) if name else ""
    return hovered(box + label, f"{placed.task}, {placed.time_s:.4g} s")


def _free(left: float, right: float, top: float, high: float) -> str:
    return hatch(left + 2, top + 2, max(right - left - 2, 0.0), high - 4, LINE, gap=5, stroke=0.9)


def _key(high: float) -> Iterator[str]:
    y = high - 14
    yield f'<rect x="{at(NAMES)}" y="{at(y)}" width="14" height="10" fill="{WHITE}" stroke="{INK}"/>'
    yield text("a task", NAMES + 19, y + 9, colour=INK)
    yield hatch(NAMES + 70, y, 14, 10, QUIET, gap=5, stroke=0.7)
    yield text("free up to the cycle", NAMES + 89, y + 9, colour=INK)
    yield upright("key", NAMES + 192, y - 1, y + 11, INK, 1.4)
    yield text("the cycle", NAMES + 198, y + 9, colour=INK)

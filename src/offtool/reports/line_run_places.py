"""Where each station's time goes: a bar a station, from work to waiting, and the planned share of it.

The pieces of a bar are told apart by their order, their hatching and their words, not by colour alone.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from offtool.core.pilot.simulation import CountedUse
from offtool.reports.axes import hovered, text
from offtool.reports.colours import INK, LINE, MARK, NO, OUTSIDE, QUIET, WHITE
from offtool.reports.drawing import arrow_tip, at, svg, upright
from offtool.reports.hatch import hatch
from offtool.reports.line_run_words import Doing, parts_of, shares_in_words, shares_of
from offtool.reports.words import percent
from offtool.steps.line_run_found import LineRunFound
from offtool.steps.line_run_sentences import is_limit

WIDTH = 560.0
NAMES, RIGHT = 132.0, 8.0
TOP, ROW, DEEP = 44.0, 24.0, 15.0
LETTER = 5.2
ROOM = 26.0
"""A piece narrower than this carries no number; hovering and the table say it."""
LOOKS = {
    Doing.BUSY: (MARK, None, MARK),
    Doing.DOWN: (WHITE, 1, NO),
    Doing.STARVED: (WHITE, None, INK),
    Doing.BLOCKED: (WHITE, -1, QUIET),
    Doing.AWAY: (OUTSIDE, None, INK),
    Doing.IN_USE: (MARK, None, MARK),
    Doing.FREE: (WHITE, None, INK),
    Doing.TAKEN: (MARK, None, MARK),
    Doing.ASIDE: (WHITE, 1, LINE),
}
"""Ground, way of the hatching and its colour."""


@dataclass(frozen=True, slots=True)
class _Row:
    name: str
    shares: Mapping[Doing, float]
    limits: bool


def _of_counted(one: CountedUse, found: LineRunFound) -> _Row:
    used = min(one.used.value, 1.0)
    limits = is_limit(one.name, found.simulated)
    return _Row(one.name, {Doing.IN_USE: used, Doing.FREE: 1 - used}, limits)


def _row_in_words(row: _Row) -> str:
    return f"{row.name} {shares_in_words(row.shares)}"


def draw_places(found: LineRunFound, *, width: float = WIDTH) -> str:
    """The drawing as SVG."""
    rows = [_Row(one.name, shares_of(one.shares), one.limits) for one in found.stations]
    rows += [_Row(one.name, parts_of(one), one.limits) for one in found.presses]
    rows += [_of_counted(one, found) for one in found.simulated.counted]
    said = "where the time goes: " + "; ".join(map(_row_in_words, rows))
    high = TOP + ROW * len(rows) + 18
    return svg("line-places", width, high, said, _inside(rows, width, high))


def _inside(rows: list[_Row], width: float, high: float) -> Iterator[str]:
    yield from _key(limits=any(row.limits for row in rows))
    for quarter in range(5):
        x = NAMES + (width - NAMES - RIGHT) * quarter / 4
        yield upright("tick", x, TOP - 4, high - 16, LINE, 0.8)
        anchor = "start" if not quarter else "end" if quarter == 4 else "middle"
        yield text(percent(quarter / 4, 0), x, high - 4, anchor=anchor)
    for i, row in enumerate(rows):
        yield from _bar(row, TOP + ROW * i, width)


def _bar(row: _Row, top: float, width: float) -> Iterator[str]:
    name = row.name if len(row.name) * LETTER <= NAMES - 14 else row.name[: int((NAMES - 20) / LETTER)] + "…"
    if row.limits:
        yield hovered(_tip(4.0, top + DEEP / 2), f"{row.name} limits the line")
    yield text(name, NAMES - 6, top + 11, anchor="end", colour=INK, size=10)
    left, wide = NAMES, width - NAMES - RIGHT
    for what, share in row.shares.items():
        if share * wide >= 0.4:
            piece = _piece(what, left, top, share * wide, DEEP)
            label = _label(what, share, left, top, share * wide)
            yield hovered(piece + label, f"{row.name}: {what} {percent(share, 0)}")
        left += share * wide


def _tip(x: float, y: float) -> str:
    """Points at the station that limits the line."""
    return arrow_tip("limit", x + 8, y, 1, INK, half=5)


def _piece(what: Doing, left: float, top: float, wide: float, deep: float) -> str:
    ground, way, colour = LOOKS[what]
    place = f'x="{at(left)}" y="{at(top)}" width="{at(wide)}" height="{at(deep)}"'
    field = f'<rect {place} fill="{ground}" stroke="{INK}" stroke-width="0.7"/>'
    return field + (hatch(left, top, wide, deep, colour, way=way) if way is not None else "")


def _label(what: Doing, share: float, left: float, top: float, wide: float) -> str:
    """Its share, on a plain ground where it is hatched."""
    if wide < ROOM:
        return ""
    ground, way, _ = LOOKS[what]
    middle, foot = left + wide / 2, top + 11
    plain = f'<rect x="{at(middle - 11)}" y="{at(foot - 8)}" width="22" height="10" fill="{ground}"/>'
    colour = WHITE if ground == MARK else INK
    return (plain if way is not None else "") + text(
        percent(share, 0), middle, foot, anchor="middle", colour=colour
    )


def _key(*, limits: bool) -> Iterator[str]:
    x = 4.0
    for what in (Doing.BUSY, Doing.DOWN, Doing.STARVED, Doing.BLOCKED, Doing.AWAY):
        yield _piece(what, x, 4, 16, 11)
        yield text(what.value, x + 20, 13, colour=INK)
        x += 26 + LETTER * len(what.value) + 8
    if limits:
        yield _tip(6, 27)
        yield text("limits the line", 24, 30, colour=INK)

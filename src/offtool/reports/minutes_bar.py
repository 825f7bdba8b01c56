"""The bar of minutes: what the press is taken for, one piece of time after the other.

Pieces are told apart by their place, their hatching and their words, not by colour alone.
"""

from __future__ import annotations

from collections.abc import Iterator

from offtool.core.planning.shots import MinutesFor, TimeOn, TrialTime
from offtool.reports.axes import Scale, hovered, text
from offtool.reports.colours import INK, MARK, OUTSIDE, QUIET, WHITE
from offtool.reports.drawing import at, level, svg, upright
from offtool.reports.hatch import hatch
from offtool.reports.trial_words import duration, duration_span, time_in_words

WIDTH, HEIGHT = 560.0, 62.0
TOP, DEEP = 12.0, 20.0
LETTER_ROOM = 14.0
"""A piece narrower than this carries no letter; the table beside the bar has its words."""
LETTERS = {one: chr(ord("a") + place) for place, one in enumerate(TimeOn)}
LOOKS = {
    TimeOn.SET_UP: (OUTSIDE, None),
    TimeOn.COLOUR: (WHITE, 1),
    TimeOn.SETTLE: (WHITE, None),
    TimeOn.SHOTS: (MARK, None),
    TimeOn.COLOUR_BACK: (WHITE, -1),
    TimeOn.WAY_BACK: (OUTSIDE, -1),
}
"""Ground and way of the hatching of each: what serves the trial is full, the ways there and back are not."""


def draw_minutes_bar(found: TrialTime, *, width: float = WIDTH) -> str:
    """The bar from the last part of the job to its first good part again, with the least and most of all."""
    scale = Scale(0.0, max(found.most, 1.0), 1.0, width - 1.0)
    said = f"press time {time_in_words(found)}: " + ", ".join(map(line_in_words, found.lines))
    inside = [*_pieces(found, scale), *_ends(found, scale), *_axis(scale)]
    return svg("minutes-bar", width, HEIGHT, said, inside)


def draw_minutes_key(what: TimeOn) -> str:
    """One piece of time alone, for the table."""
    return svg("minutes-bar", 24, 14, str(what), [_piece(what, 0.5, 0.5, 23, 13)])


def line_in_words(one: MinutesFor) -> str:
    """hanging the tool 45 min; shots for the trial 33 min (21 to 48 min)."""
    said, span = duration(one.minutes), duration_span(one.least, one.most)
    return f"{one.what} {said}" if span == said else f"{one.what} {said} ({span})"


def _pieces(found: TrialTime, scale: Scale) -> Iterator[str]:
    begun = 0.0
    for one in found.lines:
        left, right = scale.at(begun), scale.at(begun + one.minutes)
        if right > left:
            yield hovered(_piece(one.what, left, TOP, right - left, DEEP), line_in_words(one))
        begun += one.minutes


def _piece(what: TimeOn, left: float, top: float, width: float, height: float) -> str:
    ground, way = LOOKS[what]
    place = f'x="{at(left)}" y="{at(top)}" width="{at(width)}" height="{at(height)}"'
    field = f'<rect {place} fill="{ground}" stroke="{INK}" stroke-width="0.8"/>'
    lines = hatch(left, top, width, height, QUIET, way=way) if way is not None else ""
    return field + lines + (_letter(what, left, top, width, height) if width >= LETTER_ROOM else "")


def _letter(what: TimeOn, left: float, top: float, width: float, height: float) -> str:
    """Its letter on a plain ground, so that no hatching runs through it."""
    ground, way = LOOKS[what]
    middle, foot = left + width / 2, top + height / 2 + 3.2
    plain = f'<rect x="{at(middle - 4.5)}" y="{at(foot - 8)}" width="9" height="10" fill="{ground}"/>'
    colour = WHITE if ground == MARK else INK
    return (plain if way is not None else "") + text(
        LETTERS[what], middle, foot, anchor="middle", colour=colour
    )


def _ends(found: TrialTime, scale: Scale) -> Iterator[str]:
    """From the least to the most that it may take."""
    if found.most > found.least:
        y = TOP - 6
        yield level("reach", scale.at(found.least), scale.at(found.most), y, INK, 1)
        for end in (found.least, found.most):
            yield upright("reach", scale.at(end), y - 3, y + 3, INK, 1)


def _axis(scale: Scale) -> Iterator[str]:
    y = TOP + DEEP
    for minutes in _round(scale.high):
        x = scale.at(minutes)
        yield upright("tick", x, y, y + 4, QUIET, 0.8)
        anchor = "start" if minutes == 0 else "end" if x > scale.end - 20 else "middle"
        yield text(duration(minutes), x, y + 15, anchor=anchor)


def _round(most: float) -> list[float]:
    """Round times up to the end: quarters of an hour, hours, or several of them."""
    step = next((one for one in (5, 10, 15, 30, 60, 120, 240, 480) if most / one <= 7), 1440)
    return [float(step * i) for i in range(int(most // step) + 1)]

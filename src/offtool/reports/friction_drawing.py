"""Measured torques beside those predicted: the friction is how steep the line through zero is."""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite

from offtool.core.joints.evidence import Span
from offtool.core.joints.friction import LearnedFriction, PairFit
from offtool.reports import words
from offtool.reports.axes import Scale, draw_values_axis, hovered, text, tick_decimals
from offtool.reports.colours import INK, MARK, NO, OUTSIDE, QUIET, WHITE
from offtool.reports.drawing import at, level, svg, upright
from offtool.reports.joint_words import FRICTION_DECIMALS, friction_in_words, pair_fit_in_words, span_in_words
from offtool.reports.plain_text import shorten

WIDTH, TOP, HEIGHT, BELOW, LEFT, RIGHT = 420.0, 34.0, 210.0, 32.0, 52.0, 16.0
WORD = 10.5
ROOM = 1.08
MOST_SIGNS = 18


def draw_friction(learned: LearnedFriction, *, decimals: int, width: float = WIDTH) -> str:
    """A mark a pair: filled where it fits the line, a cross with its name where it does not, a ring where
    that cannot be told. Light fan: what is usual. Fan with edges: where the friction lies."""
    bottom, right = TOP + HEIGHT, width - RIGHT
    far = ROOM * max(one.at_friction_one_nm for one in learned.pairs)
    high = ROOM * max(
        *(one.measured_nm for one in learned.pairs), far * learned.friction, *_finite_ends(learned, far)
    )
    along, up = Scale(0.0, far, LEFT, right), Scale(0.0, high, bottom, TOP)
    inside = [
        *_usual(learned.given, along, up),
        *draw_values_axis(up, LEFT, right),
        *_axis(along, bottom),
        *_line(learned, along, up),
        *_words(learned, right),
        *(_pair(one, along, up, decimals) for one in learned.pairs),
    ]
    pairs = [pair_fit_in_words(one, decimals=decimals) for one in learned.pairs]
    clear = [f"predicted loose: {', '.join(learned.predicted_clear)}"] if learned.predicted_clear else []
    said = "; ".join([f"friction {friction_in_words(learned)}", *pairs, *clear])
    return svg("friction", width, bottom + BELOW, said, inside)


def _finite_ends(learned: LearnedFriction, far: float) -> Iterator[float]:
    """The interval is shown whole unless it is so wide that it would flatten the readings."""
    ends = learned.interval
    if ends is not None and isfinite(ends.high) and ends.high <= 2 * learned.friction:
        yield ends.high * far


def _usual(given: Span | None, along: Scale, up: Scale) -> Iterator[str]:
    if given is not None:
        yield f'<path class="usual" d="{_fan(given.low, given.high, along, up)}" fill="{OUTSIDE}"/>'


def _fan(low: float, high: float, along: Scale, up: Scale) -> str:
    """The corner between two frictions, cut where it leaves the drawing."""
    spots = [(0.0, 0.0), *_to_edge(high, along, up)]
    if high * along.high > up.high > low * along.high:
        spots.append((along.high, up.high))
    spots += reversed(list(_to_edge(low, along, up)))
    return "M" + "L".join(f"{at(along.at(x))} {at(up.at(y))}" for x, y in spots) + "Z"


def _to_edge(friction: float, along: Scale, up: Scale) -> Iterator[tuple[float, float]]:
    """Where the line of a friction meets the edge of the drawing."""
    far = along.high if friction * along.high <= up.high else up.high / friction
    yield far, friction * far


def _axis(along: Scale, bottom: float) -> Iterator[str]:
    places = along.ticks(4)
    decimals = tick_decimals(places)
    yield level("axis", along.start, along.end, bottom, INK, 0.9)
    for value in places:
        yield upright("tick", along.at(value), bottom, bottom + 4, QUIET, 0.8)
        yield text(words.number(value, decimals), along.at(value), bottom + 14, anchor="middle", size=WORD)
    yield text("predicted at friction 1, N·m", along.end, bottom + 28, anchor="end", size=WORD)


def _line(learned: LearnedFriction, along: Scale, up: Scale) -> Iterator[str]:
    ends = learned.interval
    if ends is not None and isfinite(ends.high):
        fan = _fan(ends.low, ends.high, along, up)
        yield f'<path class="interval" d="{fan}" fill="{MARK}" fill-opacity="0.12"/>'
        for end in (ends.low, ends.high):
            yield _ray("end", end, along, up, 0.8, ' stroke-dasharray="4 3"')
    yield _ray("line", learned.friction, along, up, 1.6)


def _ray(name: str, friction: float, along: Scale, up: Scale, stroke: float, more: str = "") -> str:
    ((x, y),) = _to_edge(friction, along, up)
    path = f"M{at(along.at(0.0))} {at(up.at(0.0))}L{at(along.at(x))} {at(up.at(y))}"
    return f'<path class="{name}" d="{path}" stroke="{MARK}" stroke-width="{stroke:g}"{more}/>'


def _words(learned: LearnedFriction, right: float) -> Iterator[str]:
    number = words.number(learned.friction, FRICTION_DECIMALS)
    ends = f" ({words.span(learned.interval, FRICTION_DECIMALS)})" if learned.interval else ""
    yield text(f"friction {number}{ends}", LEFT, 12, colour=INK, size=WORD)
    if learned.given is not None:
        yield text(f"shaded: usual, {span_in_words(learned.given)}", right, 12, anchor="end", size=WORD)
    yield text("measured, N·m", LEFT, TOP - 7, size=WORD)


def _pair(one: PairFit, along: Scale, up: Scale, decimals: int) -> str:
    x, y = along.at(one.at_friction_one_nm), up.at(one.measured_nm)
    mark = _mark(one.fits, x, y)
    if one.fits is False:
        anchor, off = ("end", -7) if x > (along.start + along.end) / 2 else ("start", 7)
        mark += text(shorten(one.pair, MOST_SIGNS), x + off, y + 3.5, anchor=anchor, colour=NO, size=WORD)
    return hovered(mark, pair_fit_in_words(one, decimals=decimals))


def _mark(fits: bool | None, x: float, y: float) -> str:
    place = f'cx="{at(x)}" cy="{at(y)}"'
    if fits:
        return f'<circle class="fits" {place} r="3.4" fill="{MARK}" stroke="{WHITE}" stroke-width="1.2"/>'
    if fits is None:
        return f'<circle class="unsure" {place} r="3" fill="{WHITE}" stroke="{INK}" stroke-width="1.4"/>'
    arms = "".join(
        f"M{at(x - 3.4)} {at(y - 3.4 * tilt)}L{at(x + 3.4)} {at(y + 3.4 * tilt)}" for tilt in (1, -1)
    )
    rim = f'<path class="rim" d="{arms}" stroke="{WHITE}" stroke-width="4.4"/>'
    return f'{rim}<path class="misfit" d="{arms}" stroke="{NO}" stroke-width="2"/>'

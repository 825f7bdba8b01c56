"""The operating curve of a sampling plan: how often a lot passes, over how much of it is bad; both risks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from offtool.core.pilot.sampling import AttributePlan, VariablesPlan
from offtool.core.pilot.sampling.attribute import times_in_100
from offtool.reports.axes import Scale, draw_values_axis, text, tick_decimals
from offtool.reports.colours import DOUBT, INK, MARK, NO, QUIET, WHITE
from offtool.reports.drawing import at, level, svg, upright
from offtool.reports.words import number
from offtool.steps.sampling_sentences import in_per_cent

PHONE_WIDTH = 340.0
WIDTH, TOP, HEIGHT, BELOW, LEFT, RIGHT = 460.0, 44.0, 210.0, 36.0, 34.0, 16.0
WORD = 11.0
FEW = 30
"""Up to so many places the curve of a small lot is drawn with a dot at each."""
LETTER = 5.0
"""Width of a letter, about."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Curve:
    """What is drawn of either sort of plan; shares of one."""

    shares: Sequence[float]
    least: Sequence[float]
    most: Sequence[float]
    good: float
    bad: float
    refuses_good: float
    passes_bad: float
    counted: str
    of: str
    """What the shares are of: bad, outside."""
    dotted: bool


def draw_operating_curve(plan: AttributePlan | VariablesPlan, *, width: float = WIDTH) -> str:
    """The curve, the good share with how often it is refused, the bad one with how often it passes.

    With two limits a band: between the least and the most over how the share lies on the two sides. Empty
    for a plan by variables that keeps no risks.
    """
    curve = _counted(plan) if isinstance(plan, AttributePlan) else _measured(plan)
    if curve is None:
        return ""
    bottom, right = TOP + HEIGHT, width - RIGHT
    along = Scale(0.0, max(*curve.shares, curve.bad) or 1.0, LEFT, right)
    up = Scale(0.0, 1.0, bottom, TOP)
    inside = [
        *_axes(curve, along, up),
        *_curve(curve, along, up),
        *_good(curve, along, up),
        *_bad(curve, along, up),
    ]
    return svg("operating-curve", width, bottom + BELOW, _said(curve), inside)


def _counted(plan: AttributePlan) -> _Curve:
    chances = [one.passes for one in plan.curve]
    return _Curve(
        shares=[one.share for one in plan.curve],
        least=chances,
        most=chances,
        good=plan.good,
        bad=plan.bad,
        refuses_good=plan.refuses_good,
        passes_bad=plan.passes_bad,
        counted=plan.counted,
        of="bad" if plan.counted == "pieces" else "",
        dotted=plan.lot is not None and len(plan.curve) <= FEW,
    )


def _measured(plan: VariablesPlan) -> _Curve | None:
    if plan.refuses_good is None or plan.passes_bad is None:
        return None
    return _Curve(
        shares=[one.share for one in plan.curve],
        least=[one.passes_least for one in plan.curve],
        most=[one.passes_most for one in plan.curve],
        good=plan.good,
        bad=plan.bad,
        refuses_good=plan.refuses_good,
        passes_bad=plan.passes_bad,
        counted="pieces",
        of="outside",
        dotted=False,
    )


def _said(curve: _Curve) -> str:
    return f"Operating curve. {_good_words(curve)}; {_bad_words(curve)}."


def _good_words(curve: _Curve) -> str:
    share = f"{in_per_cent(curve.good, curve.counted)} {curve.of}".rstrip()
    return f"{share}: refused {times_in_100(curve.refuses_good)}"


def _bad_words(curve: _Curve) -> str:
    share = f"{in_per_cent(curve.bad, curve.counted)} {curve.of}".rstrip()
    return f"{share}: passes {times_in_100(curve.passes_bad)}"


def _axes(curve: _Curve, along: Scale, up: Scale) -> Iterator[str]:
    hundred = Scale(0.0, 100.0, up.start, up.end)
    yield from draw_values_axis(hundred, LEFT, along.end, ticks=5)
    yield level("axis", LEFT, along.end, up.start, INK, 0.9)
    per_cent = Scale(0.0, 100 * along.high, along.start, along.end)
    places = per_cent.ticks(6 if along.end > PHONE_WIDTH else 4)
    decimals = tick_decimals(places)
    for value in places:
        x = per_cent.at(value)
        yield upright("tick", x, up.start, up.start + 4, QUIET, 0.8)
        yield text(number(value, decimals), x, up.start + 16, anchor="middle", size=WORD)
    what = f"{curve.of} in the lot, %" if curve.of else "flaws on 100 pieces"
    yield text(what, along.end, up.start + 31, anchor="end", size=WORD)
    yield text("of 100 such lots pass", 4, TOP - 28, size=WORD)


def _curve(curve: _Curve, along: Scale, up: Scale) -> Iterator[str]:
    spots = [
        [(along.at(share), up.at(chance)) for share, chance in zip(curve.shares, side, strict=True)]
        for side in (curve.most, curve.least)
    ]
    if curve.least != curve.most:
        ring = "L".join(f"{at(x)} {at(y)}" for x, y in [*spots[0], *reversed(spots[1])])
        yield f'<path class="between" d="M{ring}Z" fill="{MARK}" fill-opacity="0.18"/>'
    for side in spots if curve.least != curve.most else spots[:1]:
        path = "L".join(f"{at(x)} {at(y)}" for x, y in side)
        yield f'<path class="line" d="M{path}" fill="none" stroke="{MARK}" stroke-width="1.8"/>'
    if curve.dotted:
        for x, y in spots[0]:
            yield f'<circle class="share" cx="{at(x)}" cy="{at(y)}" r="2.2" fill="{MARK}"/>'


def _good(curve: _Curve, along: Scale, up: Scale) -> Iterator[str]:
    """From the curve up to all: what is refused of good lots."""
    x = along.at(curve.good)
    yield upright("good", x, TOP - 8, up.start, QUIET, 0.8, ' stroke-dasharray="2 3"')
    yield upright("refused", x, TOP, up.at(1 - curve.refuses_good), DOUBT, 4)
    said = _good_words(curve)
    yield _label(said, x, TOP - 13, along, INK)


def _bad(curve: _Curve, along: Scale, up: Scale) -> Iterator[str]:
    """From none up to the curve: what passes of bad lots."""
    x, y = along.at(curve.bad), up.at(curve.passes_bad)
    yield upright("bad", x, TOP + 24, up.start, QUIET, 0.8, ' stroke-dasharray="2 3"')
    yield upright("passed", x, y, up.start, NO, 4)
    yield _label(_bad_words(curve), x, TOP + 18, along, INK)


def _label(said: str, x: float, y: float, along: Scale, colour: str) -> str:
    """Words at a place, moved inwards where they would leave the drawing, on a ground of their own."""
    wide = LETTER * len(said)
    left = min(max(x - wide / 2, along.start), along.end - wide)
    ground = f'x="{at(left - 2)}" y="{at(y - 10)}" width="{at(wide + 4)}" height="13"'
    behind = f'<rect class="ground" {ground} fill="{WHITE}" fill-opacity="0.85"/>'
    return behind + text(said, left, y, colour=colour, size=WORD)

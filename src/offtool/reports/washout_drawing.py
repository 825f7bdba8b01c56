"""How a colour comes in, shot by shot: how far it is off, its interval, the limit, and what was measured.

The difference stands on a logarithmic scale: it falls by the same share again and again.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import isfinite, log10

from offtool.core.planning.colour_change import Amount, ChangeCurve
from offtool.reports import words
from offtool.reports.axes import Scale, hovered, text
from offtool.reports.colours import INK, LINE, MARK, OUTSIDE, WHITE
from offtool.reports.drawing import at, level, svg, upright

WIDTH, TOP, HEIGHT, BELOW, LEFT, RIGHT = 560.0, 26.0, 170.0, 34.0, 40.0, 18.0
WORD = 10.5
TICKS = (0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0)
LEAST_DE = 0.15
"""Nearer is not told apart by any instrument; it stands at the foot."""


def draw_washout(
    curve: ChangeCurve,
    *,
    limit_de: float,
    passes_after: Amount,
    new_name: str,
    measured: Sequence[tuple[int, float]] = (),
    width: float = WIDTH,
) -> str:
    """The curve of one change; `passes_after` is how many shots are outside."""
    bottom, right = TOP + HEIGHT, width - RIGHT
    last = max([curve.shots[-1], *(shot for shot, _ in measured)])
    along = Scale(1.0, float(max(last, 2)), LEFT, right)
    highest = max([*curve.high, *(off for _, off in measured), 2 * limit_de])
    up = Scale(log10(LEAST_DE), log10(highest * 1.15), bottom, TOP)
    inside = [
        *_inside_limit(limit_de, up, right, bottom),
        _band(curve, along, up),
        *_axes(along, up, right, bottom),
        _line(curve, along, up),
        *_limit(limit_de, up, right),
        *_passes(passes_after, along, bottom),
        *(_dot(shot, off, along, up) for shot, off in measured),
        *_key(measured, right),
    ]
    return svg("washout", width, bottom + BELOW, _said(limit_de, passes_after, new_name, measured), inside)


def _said(limit_de: float, passes_after: Amount, new_name: str, measured: Sequence[tuple[int, float]]) -> str:
    said = f"{new_name} comes in: {shots_in_words(passes_after)} are outside ΔE {limit_de:g}"
    return f"{said}; {len(measured)} shots were measured" if measured else said


def shots_in_words(shots: Amount) -> str:
    """36 shots (25 to 52)."""
    if not isfinite(shots.value):
        return "all shots"
    high = words.number(shots.high, 0)
    return f"{words.number(shots.value, 0)} shots ({words.number(shots.low, 0)} to {high})"


def _place(off: float, up: Scale) -> float:
    return up.at(log10(max(off, LEAST_DE)))


def _inside_limit(limit_de: float, up: Scale, right: float, bottom: float) -> Iterator[str]:
    """What passes, shaded lightly."""
    y = _place(limit_de, up)
    if bottom - y > 0:
        yield (
            f'<rect class="passes" x="{at(LEFT)}" y="{at(y)}" width="{at(right - LEFT)}" '
            f'height="{at(bottom - y)}" fill="{OUTSIDE}" fill-opacity="0.55"/>'
        )


def _band(curve: ChangeCurve, along: Scale, up: Scale) -> str:
    upper = [f"{at(along.at(x))} {at(_place(y, up))}" for x, y in zip(curve.shots, curve.high, strict=True)]
    lower = [f"{at(along.at(x))} {at(_place(y, up))}" for x, y in zip(curve.shots, curve.low, strict=True)]
    path = f"M{'L'.join([*upper, *reversed(lower)])}Z"
    return f'<path class="interval" d="{path}" fill="{MARK}" fill-opacity="0.16"/>'


def _line(curve: ChangeCurve, along: Scale, up: Scale) -> str:
    spots = [
        f"{at(along.at(x))} {at(_place(y, up))}" for x, y in zip(curve.shots, curve.difference, strict=True)
    ]
    return f'<path class="line" d="M{"L".join(spots)}" fill="none" stroke="{MARK}" stroke-width="1.8"/>'


def _axes(along: Scale, up: Scale, right: float, bottom: float) -> Iterator[str]:
    for value in TICKS:
        if up.low < log10(value) < up.high:
            y = _place(value, up)
            yield level("tick", LEFT, right, y, LINE, 0.7)
            yield text(f"{value:g}", LEFT - 6, y + 3.5, anchor="end", size=WORD)
    yield level("axis", LEFT, right, bottom, INK, 0.9)
    for shot in dict.fromkeys(round(one) for one in (1.0, *along.ticks(6)) if one >= 1):
        x = along.at(shot)
        yield upright("tick", x, bottom, bottom + 4, INK, 0.9)
        yield text(f"{shot:g}", x, bottom + 15, anchor="middle", size=WORD)
    yield text("shot after the change", right, bottom + 29, anchor="end", size=WORD)


def _limit(limit_de: float, up: Scale, right: float) -> Iterator[str]:
    y = _place(limit_de, up)
    yield level("limit", LEFT, right, y, INK, 1.3)
    yield text(f"limit {limit_de:g}", right - 3, y - 4, anchor="end", colour=INK, size=WORD)


def _passes(shots: Amount, along: Scale, bottom: float) -> Iterator[str]:
    """Where it passes: a bar at the foot from the earliest to the latest, a mark between."""
    if not isfinite(shots.value) or shots.value <= 0:
        return
    first, usual, last = (along.at(one + 1) for one in (shots.low, shots.value, shots.high))
    bar = level("from-to", first, last, bottom, MARK, 5) + upright(
        "usual", usual, bottom - 9, bottom + 4, MARK, 2
    )
    yield hovered(bar, f"{shots_in_words(shots)} are outside")


def _dot(shot: int, off: float, along: Scale, up: Scale) -> str:
    spot = f'cx="{at(along.at(shot))}" cy="{at(_place(off, up))}"'
    ring = f'<circle class="measured" {spot} r="3" fill="{WHITE}" stroke="{INK}" stroke-width="1.2"/>'
    return hovered(ring, f"shot {shot}: ΔE {words.number(off, 1)}")


def _key(measured: Sequence[tuple[int, float]], right: float) -> Iterator[str]:
    yield text("ΔE from the new colour", LEFT, 14, size=WORD)
    told = "line: expected; band: nine of ten" + ("; rings: measured" if measured else "")
    yield text(told, right, 14, anchor="end", size=WORD)

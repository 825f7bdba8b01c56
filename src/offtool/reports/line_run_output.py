"""Good pieces against time: the mean of all runs, the band in which they lie, the plan, and the warm-up cut.

The plan is a broken line, the mean a full one; the warm-up is hatched.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from offtool.reports.axes import Scale, draw_values_axis, hovered, text
from offtool.reports.colours import INK, LINE, MARK, OUTSIDE, QUIET
from offtool.reports.drawing import at, level, svg, upright
from offtool.reports.hatch import hatch
from offtool.reports.words import number
from offtool.steps.line_run_found import LineRunFound

WIDTH, HEIGHT = 560.0, 250.0
LEFT, RIGHT, TOP, FOOT = 46.0, 12.0, 30.0, 214.0
WORD = 10


def draw_output(found: LineRunFound, *, width: float = WIDTH) -> str:
    """The drawing as SVG."""
    done = found.simulated
    across = Scale(0.0, done.hours, LEFT, width - RIGHT)
    most = max(done.output_most[-1], _planned_at_end(found), 1.0)
    up = Scale(0.0, most * 1.04, FOOT, TOP)
    said = (
        f"good pieces against time: {done.good.value:.0f} after {done.hours:g} h in the mean of {done.runs} "
        f"runs, {done.output_least[-1]:.0f} to {done.output_most[-1]:.0f} in all of them"
    )
    return svg("line-output", width, HEIGHT, said, _inside(found, across, up))


def _planned_at_end(found: LineRunFound) -> float:
    return (found.planned_per_h or 0.0) * _worked_h(found)


def _worked_h(found: LineRunFound) -> float:
    """Hours worked in the run: the rate is per hour worked, so breaks of all lift no plan."""
    return found.simulated.hours - sum(ends - begins for begins, ends in _stands(found))


def _stands(found: LineRunFound) -> list[tuple[float, float]]:
    """Stretches in which everybody is away, one after the other."""
    apart: list[tuple[float, float]] = []
    for one in sorted(found.simulated.line.breaks, key=lambda one: one.begins_h):
        if one.station or one.people is not None:
            continue
        begins = max(one.begins_h, apart[-1][1] if apart else 0.0)
        ends = min(one.ends_h, found.simulated.hours)
        apart += [(begins, ends)] if ends > begins else []
    return apart


def _inside(found: LineRunFound, across: Scale, up: Scale) -> Iterator[str]:
    done = found.simulated
    yield from draw_values_axis(up, LEFT, across.end)
    yield from _hours(across)
    for begins, ends in _stands(found):
        yield _away(across.at(begins), across.at(ends))
    if done.warm_up_h:
        wide = across.at(done.warm_up_h) - LEFT
        lines = hatch(LEFT, TOP, wide, FOOT - TOP, QUIET, gap=5, stroke=0.5)
        yield hovered(lines, f"warm-up, left out: {60 * done.warm_up_h:.0f} min")
    yield _band(done.at_h, done.output_least, done.output_most, across, up)
    yield from _plan(found, across, up)
    yield _curve("mean", done.at_h, done.output, across, up)
    yield level("foot", LEFT, across.end, FOOT, INK, 0.9)
    yield text("good pieces", 4, TOP - 16, size=WORD)
    yield from _key(found, across)


def _hours(across: Scale) -> Iterator[str]:
    for hour in across.ticks(8):
        x = across.at(hour)
        yield upright("tick", x, FOOT, FOOT + 4, QUIET, 0.8)
        yield text(f"{hour:g} h", x, FOOT + 15, anchor="start" if x < LEFT + 5 else "middle")


def _away(left: float, right: float) -> str:
    place = f'x="{at(left)}" y="{at(TOP)}" width="{at(max(right - left, 0.5))}" height="{at(FOOT - TOP)}"'
    return hovered(f'<rect class="away" {place} fill="{OUTSIDE}"/>', "break of everybody")


def _band(
    at_h: Sequence[float], least: Sequence[float], most: Sequence[float], across: Scale, up: Scale
) -> str:
    there = [f"{at(across.at(x))} {at(up.at(y))}" for x, y in zip(at_h, most, strict=True)]
    back = [f"{at(across.at(x))} {at(up.at(y))}" for x, y in zip(at_h, least, strict=True)]
    path = f"M{'L'.join([*there, *reversed(back)])}Z"
    shape = f'<path class="band" d="{path}" fill="{LINE}" stroke="{QUIET}" stroke-width="0.6"/>'
    return hovered(shape, f"all runs lie between: {least[-1]:.0f} to {most[-1]:.0f} at the end")


def _curve(name: str, xs: Sequence[float], ys: Sequence[float], across: Scale, up: Scale) -> str:
    spots = "L".join(f"{at(across.at(x))} {at(up.at(y))}" for x, y in zip(xs, ys, strict=True))
    line = f'<path class="{name}" d="M{spots}" fill="none" stroke="{MARK}" stroke-width="2"/>'
    return hovered(line, f"mean of all runs: {ys[-1]:.0f} at the end")


def _plan(found: LineRunFound, across: Scale, up: Scale) -> Iterator[str]:
    """The plan from the first minute, level while everybody is away."""
    planned = found.planned_per_h
    if planned is None:
        return
    spots, made, begun = [(0.0, 0.0)], 0.0, 0.0
    for begins, ends in _stands(found):
        made += planned * (begins - begun)
        spots += [(begins, made), (ends, made)]
        begun = ends
    spots.append((found.simulated.hours, made + planned * (found.simulated.hours - begun)))
    path = "L".join(f"{at(across.at(x))} {at(up.at(y))}" for x, y in spots)
    line = (
        f'<path class="plan" d="M{path}" fill="none" stroke="{INK}" stroke-width="1.3" '
        'stroke-dasharray="6 4"/>'
    )
    yield hovered(line, f"planned: {planned:g} an hour, {number(spots[-1][1], 0)} at the end")


def _key(found: LineRunFound, across: Scale) -> Iterator[str]:
    """What the strokes mean, in a row at the foot."""
    y, x = FOOT + 30, LEFT
    yield level("mean", x, x + 16, y - 3, MARK, 2)
    yield text("mean of the runs", x + 20, y, colour=INK)
    yield f'<rect x="{at(x + 108)}" y="{at(y - 8)}" width="16" height="9" fill="{LINE}" stroke="{QUIET}"/>'
    yield text("all runs", x + 128, y, colour=INK)
    if found.planned_per_h is not None:
        yield level("plan", x + 180, x + 200, y - 3, INK, 1.3, ' stroke-dasharray="6 4"')
        yield text(f"{found.planned_per_h:g} an hour planned", x + 204, y, colour=INK)
    if found.simulated.warm_up_h:
        yield hatch(x + 320, y - 8, 16, 9, QUIET, gap=5, stroke=0.5)
        yield text("warm-up, left out", x + 340, y, colour=INK)

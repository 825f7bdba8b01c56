"""Pulls on a Weibull plot: where they come from one, they lie on a straight line.

Across runs the pull, upwards the share of seams that lie below it, both as the plot straightens them.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from math import inf, isfinite, log, log1p

from offtool.core.welding.weibull import WeibullFit, WeibullLine, WeibullPoint
from offtool.reports import words
from offtool.reports.axes import Scale, hovered, text
from offtool.reports.colours import INK, LINE, MARK, NO, QUIET, WHITE
from offtool.reports.drawing import arrow_tip, at, level, svg, upright
from offtool.reports.seam_words import newton_span, newtons, newtons_asked, weaker_in_words, weibull_in_words
from offtool.steps.joint_sentences import per_cent_of

WIDTH, TOP, HEIGHT, BELOW, LEFT, RIGHT = 420.0, 24.0, 210.0, 46.0, 46.0, 22.0
WORD = 10.5
SHARES = (0.001, 0.01, 0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.99)
LOWEST, HIGHEST = 0.002, 0.99
"""The line is drawn between these shares; where there are many pulls, as far as they reach."""
WIDEST = 30.0
"""Bounds beyond so many times the middle pull are cut: two or three pulls leave them that wide."""
BETWEEN_TICKS = 38.0
STEPS = (1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0)


def draw_weibull(fit: WeibullFit, *, width: float = WIDTH) -> str:
    """A dot a seam that came apart, an arrow below for each pull that was stopped, the fitted line with its
    bounds, and the pull that is asked."""
    bottom, right = TOP + HEIGHT, width - RIGHT
    line = _drawn(fit)
    across = Scale.around((log(one) for one in _pulls(fit, line)), LEFT, right)
    up = Scale.around((_straight(share) for share in _shares(fit, line)), bottom, TOP)
    inside = [
        *_shares_axis(up, right),
        *_pulls_axis(across, bottom),
        *_band(line, across, up),
        *_line(line, across, up),
        *_asked(fit, across, bottom),
        *(_point(one, across, up) for one in fit.points),
        *_stopped(fit, across, bottom),
        text("% of seams weaker", LEFT, 12, size=WORD),
    ]
    said = [f"{fit.came_apart} of {fit.pulls} pulls came apart, {fit.stopped} stopped", weibull_in_words(fit)]
    said += [f"stopped at {', '.join(newtons(one) for one in fit.stopped_n)}"] if fit.stopped_n else []
    return svg("weibull", width, bottom + BELOW, "; ".join(said), inside)


def point_in_words(one: WeibullPoint) -> str:
    """came apart at 96.0 N, where 16 % are taken to be weaker."""
    return (
        f"came apart at {newtons(one.strength_n)}, where {per_cent_of(one.position)} are taken to be weaker"
    )


def _straight(share: float) -> float:
    """The scale on which a Weibull is straight: ln(-ln(1 - share))."""
    return log(-log1p(-share))


def _drawn(fit: WeibullFit) -> list[WeibullLine]:
    seen = [one.position for one in fit.points]
    low, high = min([LOWEST, *seen]), max([HIGHEST, *seen])
    return [one for one in fit.line if low / 2 <= one.position <= high]


def _pulls(fit: WeibullFit, line: list[WeibullLine]) -> Iterator[float]:
    """All pulls that must be seen; bounds only as far as they do not flatten the rest."""
    yield from (one.strength_n for one in fit.points)
    yield from (one for one in fit.stopped_n if one > 0)
    yield from (one.strength_n for one in line)
    if fit.required_n is not None and fit.required_n > 0:
        yield fit.required_n
    middle = fit.scale_n if fit.scale_n is not None else inf
    for one in line:
        for end in (one.interval.low, one.interval.high):
            if isfinite(middle) and middle / WIDEST < end < middle * WIDEST:
                yield end


def _shares(fit: WeibullFit, line: list[WeibullLine]) -> Iterator[float]:
    yield from (one.position for one in line)
    yield from (one.position for one in fit.points)
    yield from (0.01, 0.9)


def _shares_axis(up: Scale, right: float) -> Iterator[str]:
    for share in SHARES:
        if up.low <= (place := _straight(share)) <= up.high:
            yield level("tick", LEFT, right, up.at(place), LINE, 0.7)
            yield text(f"{100 * share:g}", LEFT - 5, up.at(place) + 3.5, anchor="end", size=WORD)


def _pulls_axis(across: Scale, bottom: float) -> Iterator[str]:
    yield level("axis", across.start, across.end, bottom, INK, 0.9)
    last = -inf
    for pull in (step * 10.0**power for power in range(-3, 8) for step in STEPS):
        if across.low <= log(pull) <= across.high:
            x = across.at(log(pull))
            yield upright("tick", x, bottom, bottom + 4, QUIET, 0.8)
            if x - last >= BETWEEN_TICKS:
                yield text(f"{pull:g}", x, bottom + 14, anchor="middle", size=WORD)
                last = x
    yield text("pull, N, logarithmic", across.end, bottom + 42, anchor="end", size=WORD)


def _band(line: list[WeibullLine], across: Scale, up: Scale) -> Iterator[str]:
    if len(line) < 2:
        return
    lower = [_spot(one.interval.low, one.position, across, up) for one in line]
    upper = [_spot(one.interval.high, one.position, across, up) for one in line]
    around = "L".join([*lower, *reversed(upper)])
    yield f'<path class="band" d="M{around}Z" fill="{MARK}" fill-opacity="0.1"/>'
    for edge in (lower, upper):
        yield (
            f'<path class="bound" d="M{"L".join(edge)}" fill="none" stroke="{MARK}" stroke-width="0.8" '
            'stroke-dasharray="4 3"/>'
        )


def _line(line: list[WeibullLine], across: Scale, up: Scale) -> Iterator[str]:
    if len(line) > 1:
        spots = "L".join(_spot(one.strength_n, one.position, across, up) for one in line)
        yield f'<path class="line" d="M{spots}" fill="none" stroke="{MARK}" stroke-width="1.6"/>'
    for one in line:
        said = f"{per_cent_of(one.position)} are weaker than {newtons(one.strength_n)}"
        x, y = across.at(_log(one.strength_n)), up.at(_straight(one.position))
        room = f'<circle class="room" cx="{at(x)}" cy="{at(y)}" r="4" fill="{MARK}" fill-opacity="0"/>'
        yield hovered(room, f"{said} ({newton_span(one.interval)})")


def _log(pull: float) -> float:
    return log(pull) if pull > 0 else -inf


def _spot(pull: float, share: float, across: Scale, up: Scale) -> str:
    return f"{at(across.at(_log(pull)))} {at(up.at(_straight(share)))}"


def _asked(fit: WeibullFit, across: Scale, bottom: float) -> Iterator[str]:
    if fit.required_n is None or not fit.required_n > 0:
        return
    x = across.at(log(fit.required_n))
    anchor, off = ("start", 4) if x < (across.start + across.end) / 2 else ("end", -4)
    yield upright("asked", x, TOP, bottom, INK, 1.4)
    yield text(
        f"asked {newtons_asked(fit.required_n)}", x + off, TOP + 10, anchor=anchor, colour=INK, size=WORD
    )
    if weaker_in_words(fit):
        most = words.percent(fit.share_at_most or 0.0, 1)
        yield text(f"at most {most} below", x + off, TOP + 22, anchor=anchor, colour=INK, size=WORD)


def _point(one: WeibullPoint, across: Scale, up: Scale) -> str:
    place = f'cx="{at(across.at(_log(one.strength_n)))}" cy="{at(up.at(_straight(one.position)))}"'
    dot = f'<circle class="dot" {place} r="3.4" fill="{MARK}" stroke="{WHITE}" stroke-width="1.2"/>'
    return hovered(dot, point_in_words(one))


def _stopped(fit: WeibullFit, across: Scale, bottom: float) -> Iterator[str]:
    """Arrows to the right: the seam held at least so much; equal ones are counted."""
    y = bottom + 26
    if fit.stopped:
        yield text(f"{fit.stopped} stopped:", LEFT - 5, y + 14, size=WORD)
    for pull, seams in Counter(fit.stopped_n).items():
        x = across.at(_log(pull))
        arrow = arrow_tip("stopped", x + 7, y - 2, 1, NO, length=7, half=3.5)
        mark = upright("stop", x, y - 6, y + 2, NO, 1.4) + arrow
        if seams > 1:
            mark += text(f"×{seams}", x - 3, y + 1, anchor="end", colour=INK)
        yield hovered(mark, f"{seams} stopped at {newtons(pull)}: held at least so much")

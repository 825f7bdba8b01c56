"""How a joint loosens: torque over the logarithm of time, from an hour to six weeks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import isfinite, log10

from offtool.core.joints.evidence import Span
from offtool.core.joints.relaxation import RelaxationFit, RelaxedTorque, TorqueAfter
from offtool.core.values import Interval
from offtool.reports import words
from offtool.reports.axes import Scale, draw_values_axis, hovered, text
from offtool.reports.colours import INK, LINE, MARK, OUTSIDE, QUIET, WHITE
from offtool.reports.drawing import at, level, svg, upright
from offtool.reports.joint_words import after_in_words, limit_in_words, relaxation_in_words

WIDTH, TOP, HEIGHT, BELOW, LEFT, RIGHT = 420.0, 26.0, 150.0, 32.0, 56.0, 30.0
WORD = 10.5
FIRST_H, LAST_H = 1.0, 1000.0
TICKS_H = ((1.0, "1 h"), (24.0, "a day"), (168.0, "a week"), (1000.0, "1,000 h"))
LEAST_ROOM = 14.0


def draw_relaxation(
    fit: RelaxationFit | None,
    relaxed: RelaxedTorque | None,
    *,
    lower: float | None,
    decimals: int,
    width: float = WIDTH,
) -> str:
    """The fitted line with its interval after a day and after 1,000 h, on the handbook's fan where there is
    one; broken beyond what was read. Empty where there is neither."""
    if fit is None and relaxed is None:
        return ""
    bottom, right = TOP + HEIGHT, width - RIGHT
    up = Scale.around([0.0, *_values(fit, relaxed), *([lower] if lower is not None else [])], bottom, TOP)
    first = min(FIRST_H, fit.first_hours) if fit is not None else FIRST_H
    last = max(LAST_H, fit.last_hours) if fit is not None else LAST_H
    along = Scale(log10(first), log10(last), LEFT, right)
    inside = [
        *(_fan(relaxed, along, up) if relaxed is not None else ()),
        *draw_values_axis(up, LEFT, right),
        *_hours(along, bottom),
        *(_least(lower, up, right, decimals) if lower is not None else ()),
        *(_fit(fit, along, up, decimals) if fit is not None else ()),
        *_key(fit, relaxed, right),
    ]
    said = "; ".join(relaxation_in_words(fit, relaxed, decimals=decimals))
    if lower is not None:
        said += f"; at least {limit_in_words(lower, decimals=decimals)} N·m is asked"
    return svg("relaxation", width, bottom + BELOW, said, inside)


def _values(fit: RelaxationFit | None, relaxed: RelaxedTorque | None) -> Iterator[float]:
    """All that must be seen; an end without interval adds nothing."""
    if relaxed is not None:
        yield relaxed.torque_1h_nm.high
        yield relaxed.torque_1000h_nm.low
    if fit is not None:
        yield fit.torque_1h_nm
        yield from (level_nm for _, level_nm in fit.piece_levels_nm)
        for one in fit.after:
            yield one.torque_nm
            if one.torque_interval is not None and one.torque_interval.high < 2 * fit.torque_1h_nm:
                yield one.torque_interval.high


def _fan(relaxed: RelaxedTorque, along: Scale, up: Scale) -> Iterator[str]:
    times: Sequence[tuple[float, Span]] = (
        (1.0, relaxed.torque_1h_nm),
        (24.0, relaxed.torque_24h_nm),
        (1000.0, relaxed.torque_1000h_nm),
    )
    upper = [f"{at(along.at(log10(hours)))} {at(up.at(left.high))}" for hours, left in times]
    lower = [f"{at(along.at(log10(hours)))} {at(up.at(left.low))}" for hours, left in reversed(times)]
    path = f"M{'L'.join([*upper, *lower])}Z"
    yield f'<path class="handbook" d="{path}" fill="{OUTSIDE}" stroke="{QUIET}" stroke-width="0.6"/>'


def _hours(along: Scale, bottom: float) -> Iterator[str]:
    yield level("axis", along.start, along.end, bottom, INK, 0.9)
    for hours, says in TICKS_H:
        x = along.at(log10(hours))
        yield upright("tick", x, TOP, bottom, LINE, 0.7)
        yield text(says, x, bottom + 14, anchor="middle", size=WORD)
    yield text("time since assembly, logarithmic", along.end, bottom + 28, anchor="end", size=WORD)


def _least(lower: float, up: Scale, right: float, decimals: int) -> Iterator[str]:
    y = up.at(lower)
    said = f"least, {limit_in_words(lower, decimals=decimals)}"
    yield level("least", LEFT, right, y, INK, 1.4)
    yield text(said, LEFT + 4, y + (12 if y < up.start - LEAST_ROOM else -4), colour=INK, size=WORD)


def _fit(fit: RelaxationFit, along: Scale, up: Scale, decimals: int) -> Iterator[str]:
    first, seen, last = along.low, log10(fit.last_hours), along.high
    yield _line(fit, along, up, "line", first, seen)
    if last > seen:
        yield _line(fit, along, up, "beyond", seen, last, ' stroke-dasharray="5 4"')
    for name, level_nm in fit.piece_levels_nm:
        said = f"piece {name}: {words.number(level_nm, decimals)} N·m after 1 h"
        place = f'cx="{at(along.at(0.0))}" cy="{at(up.at(level_nm))}"'
        ring = f'<circle class="piece" {place} r="2.4" fill="{WHITE}" stroke="{MARK}" stroke-width="1"/>'
        yield hovered(ring, said)
    for one in fit.after:
        yield hovered("".join(_after(one, along, up)), after_in_words(one, decimals=decimals))


def _line(
    fit: RelaxationFit, along: Scale, up: Scale, name: str, first: float, last: float, more: str = ""
) -> str:
    spots = (f"{at(along.at(x))} {at(up.at(_torque(fit, x)))}" for x in (first, last))
    return f'<path class="{name}" d="M{"L".join(spots)}" stroke="{MARK}" stroke-width="1.6"{more}/>'


def _torque(fit: RelaxationFit, decades: float) -> float:
    """The fitted law, as in `offtool.core.joints.relaxation`."""
    return max(fit.torque_1h_nm * (1 - fit.loss_per_decade * decades), 0.0)


def _after(one: TorqueAfter, along: Scale, up: Scale) -> Iterator[str]:
    x, y = along.at(log10(one.hours)), up.at(one.torque_nm)
    if (ends := one.torque_interval) is not None and isfinite(ends.high):
        yield from _interval(ends, x, up)
    yield f'<circle class="after" cx="{at(x)}" cy="{at(y)}" r="3.4" fill="{MARK}" stroke="{WHITE}"/>'


def _interval(ends: Interval, x: float, up: Scale) -> Iterator[str]:
    low, high = up.at(ends.low), up.at(ends.high)
    yield upright("interval", x, high, low, INK, 1.2)
    yield level("end", x - 4, x + 4, low, INK, 1.2)
    yield level("end", x - 4, x + 4, high, INK, 1.2)


def _key(fit: RelaxationFit | None, relaxed: RelaxedTorque | None, right: float) -> Iterator[str]:
    yield text("torque, N·m", LEFT, 14, size=WORD)
    told = ["line: as read" if fit is not None else "", "shaded: handbook" if relaxed is not None else ""]
    yield text(", ".join(filter(None, told)), right, 14, anchor="end", size=WORD)

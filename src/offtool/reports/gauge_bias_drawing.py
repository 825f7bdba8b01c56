"""Drawings of a gauge on parts of known size: its bias over the range, and its run on one reference part."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import isfinite

from offtool.core.inspection.gauge import BiasAt, LinearityStudy, ReferenceStudy
from offtool.reports import words
from offtool.reports.axes import Scale, draw_values_axis, hovered
from offtool.reports.colours import INK, LINE, MARK, OUTSIDE, QUIET, WHITE
from offtool.reports.drawing import at, level, svg, upright
from offtool.reports.gauge_words import word

WIDTH = 520
TOP, HEIGHT, BELOW, LEFT, RIGHT = 24, 150, 26, 58, 12
ROOM = 0.1
"""Half of the fifth of the tolerance that a gauge may take: common practice."""
READINGS_DRAWN = 200


def draw_linearity(study: LinearityStudy, *, decimals: int, unit: str = "", width: float = WIDTH) -> str:
    """Bias over the known size: the mean of each reference, the line through all, and its band."""
    ends = [end for one in study.points if one.band for end in (one.band.low, one.band.high)]
    bottom = TOP + HEIGHT
    up = Scale.around([0.0, *ends, *(one.mean_bias for one in study.points)], bottom, TOP)
    along = Scale.around([one.reference for one in study.points], LEFT, width - RIGHT)
    said = [bias_in_words(one, decimals, unit) for one in study.points]
    told = f", {unit}" if unit else ""
    signs = [
        *_band(study.points, along, up),
        *draw_values_axis(up, LEFT, width - RIGHT),
        level("zero", LEFT, width - RIGHT, up.at(0.0), INK, 0.9),
        _line(study.points, along, up),
        word(LEFT, TOP - 9, f"bias{told}"),
        *_references(study.points, along, bottom),
        word(LEFT - 5, bottom + 16, "size", anchor="end"),
        *(_point(one, along, up, words_) for one, words_ in zip(study.points, said, strict=True)),
    ]
    return svg("gauge-line", width, bottom + BELOW, "bias: " + "; ".join(said), signs)


def bias_in_words(point: BiasAt, decimals: int, unit: str) -> str:
    """at 10 mm it reads 0.0012 large; the line says 0.0010 (0.0004 to 0.0016)."""
    at_size = f"at {point.reference:g} {unit}".rstrip()
    side = "large" if point.mean_bias > 0 else "small"
    off = words.number(abs(point.mean_bias), decimals + 1)
    line = words.signed(point.line_bias, decimals + 1)
    band = f" ({words.span(point.band, decimals + 1)})" if point.band else ""
    return f"{at_size} it reads {off} {side}; the line says {line}{band}"


def _band(points: Sequence[BiasAt], along: Scale, up: Scale) -> Iterator[str]:
    banded = [(one.reference, one.band) for one in points if one.band and isfinite(one.band.high)]
    if len(banded) > 1:
        upper = [f"{at(along.at(x))} {at(up.at(band.high))}" for x, band in banded]
        lower = [f"{at(along.at(x))} {at(up.at(band.low))}" for x, band in reversed(banded)]
        yield f'<path class="band" d="M{"L".join([*upper, *lower])}Z" fill="{OUTSIDE}"/>'


def _line(points: Sequence[BiasAt], along: Scale, up: Scale) -> str:
    steps = [f"{at(along.at(one.reference))} {at(up.at(one.line_bias))}" for one in points]
    return f'<path class="line" d="M{"L".join(steps)}" fill="none" stroke="{MARK}" stroke-width="1.6"/>'


def _references(points: Sequence[BiasAt], along: Scale, bottom: float) -> Iterator[str]:
    """The known sizes under the drawing, each where there is room beside the one before."""
    last = -1e9
    for one in points:
        x = along.at(one.reference)
        yield upright("tick", x, bottom, bottom + 4, QUIET, 0.8)
        if x - last > 34:
            yield word(x, bottom + 16, f"{one.reference:g}", anchor="middle")
            last = x


def _point(point: BiasAt, along: Scale, up: Scale, said: str) -> str:
    place = f'cx="{at(along.at(point.reference))}" cy="{at(up.at(point.mean_bias))}"'
    dot = f'<circle class="dot" {place} r="3.4" fill="{MARK}" stroke="{WHITE}" stroke-width="1.2"/>'
    return hovered(dot, said)


def draw_reference_run(
    study: ReferenceStudy, run: Sequence[float], *, decimals: int, unit: str = "", width: float = WIDTH
) -> str:
    """The readings of the reference part in their order, with its known size and the mean.

    Dotted lines stand a tenth of the tolerance off the known size: the room that a gauge may take.
    """
    drawn = list(run[:READINGS_DRAWN])
    room = [] if study.tolerance is None else [study.reference + s * ROOM * study.tolerance for s in (-1, 1)]
    bottom = TOP + HEIGHT
    up = Scale.around([*drawn, study.reference, study.mean, *room], bottom, TOP)
    told = f", {unit}" if unit else ""
    signs = [
        *_bias_band(study, up, width),
        *draw_values_axis(up, LEFT, width - RIGHT),
        *(_room_line(end, up, width) for end in room),
        level("reference", LEFT, width - RIGHT, up.at(study.reference), INK, 1.1),
        level("mean", LEFT, width - RIGHT, up.at(study.mean), MARK, 1.3, ' stroke-dasharray="5 3"'),
        word(LEFT, TOP - 9, f"reading{told}; line: the known size, broken: the mean"),
        word(LEFT, bottom + 16, "first reading"),
        word(width - RIGHT, bottom + 16, f"reading {len(drawn)}", anchor="end"),
        *_run(drawn, up, width, decimals, unit),
    ]
    return svg("gauge-run", width, bottom + BELOW, run_in_words(study, decimals, unit), signs)


def run_in_words(study: ReferenceStudy, decimals: int, unit: str) -> str:
    """25 readings of a part of 6.0000 mm: mean 6.0012, standard deviation 0.0009."""
    known = f"{words.number(study.reference, decimals + 1)} {unit}".rstrip()
    mean = words.number(study.mean, decimals + 1)
    sd = words.number(study.sd, decimals + 1)
    return f"{study.readings} readings of a part of {known}: mean {mean}, standard deviation {sd}"


def _bias_band(study: ReferenceStudy, up: Scale, width: float) -> Iterator[str]:
    """Where the mean lies with 95 %."""
    if study.bias_interval is not None:
        high, low = (
            up.at(study.reference + end) for end in (study.bias_interval.high, study.bias_interval.low)
        )
        place = f'x="{LEFT}" y="{at(high)}" width="{at(width - RIGHT - LEFT)}" height="{at(low - high)}"'
        yield f'<rect class="band" {place} fill="{OUTSIDE}"/>'


def _room_line(end: float, up: Scale, width: float) -> str:
    return level("room", LEFT, width - RIGHT, up.at(end), QUIET, 0.9, ' stroke-dasharray="1.5 4"')


def _run(drawn: Sequence[float], up: Scale, width: float, decimals: int, unit: str) -> Iterator[str]:
    each = (width - LEFT - RIGHT) / max(len(drawn), 1)
    spots = [(LEFT + (i + 0.5) * each, up.at(value)) for i, value in enumerate(drawn)]
    if len(spots) > 1:
        steps = "L".join(f"{at(x)} {at(y)}" for x, y in spots)
        yield f'<path class="way" d="M{steps}" fill="none" stroke="{LINE}" stroke-width="1"/>'
    for number, ((x, y), value) in enumerate(zip(spots, drawn, strict=True), 1):
        said = f"reading {number}: {words.number(value, decimals)} {unit}".rstrip()
        dot = f'<circle class="dot" cx="{at(x)}" cy="{at(y)}" r="2.8" fill="{MARK}"/>'
        yield hovered(dot, said)

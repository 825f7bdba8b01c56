"""The shares of a gauge study: what each source takes of the tolerance, with its interval."""

from __future__ import annotations

from collections.abc import Iterator

from offtool.core.inspection.gauge import GaugeShare, GaugeStudy
from offtool.core.values import Interval
from offtool.reports.axes import Scale, hovered
from offtool.reports.colours import INK, LINE, MARK, QUIET, WHITE
from offtool.reports.drawing import at, chevron, level, svg, upright
from offtool.reports.gauge_words import word
from offtool.reports.words import percent_with_interval

WIDTH = 356
BORDERS = (0.10, 0.30)
"""Common practice: fit up to the first, not fit above the second."""
SAID = {
    "repeatability": "one person, again",
    "operator": "between people",
    "operator × part": "people differ by part",
    "gauge": "gauge altogether",
    "part": "parts themselves",
}
"""The shares that are drawn, in words; reproducibility is the sum of two of them, total of all."""
TOP, ROW, BAR, BELOW = 4, 30, 8, 22
FULL = 1.0


def draw_shares(study: GaugeStudy, *, width: float = WIDTH) -> str:
    """What each source takes of the tolerance, or of the spread where there is none, with its interval."""
    shown = [one for one in study.shares if one.source in SAID]
    bottom = TOP + ROW * len(shown)
    axis = Scale(0.0, FULL, 2.0, width - 10.0)
    rows = [
        _share_row(axis, TOP + ROW * i, one, by_tolerance=study.tolerance is not None)
        for i, one in enumerate(shown)
    ]
    said = "; ".join(share_in_words(one, by_tolerance=study.tolerance is not None) for one in shown)
    of = "tolerance" if study.tolerance is not None else "spread"
    return svg("gauge-shares", width, bottom + BELOW, f"share of the {of}: {said}", [
        *_borders(axis, bottom), *rows,
    ])  # fmt: skip


def share_in_words(share: GaugeShare, *, by_tolerance: bool) -> str:
    """one person, again: 15.0 % (13.6 to 19.6 %)."""
    value, interval = _of(share, by_tolerance=by_tolerance)
    return f"{SAID.get(share.source, share.source)}: {percent_with_interval(value, interval)}"


def _of(share: GaugeShare, *, by_tolerance: bool) -> tuple[float, Interval | None]:
    if by_tolerance and share.of_tolerance is not None:
        return share.of_tolerance, share.of_tolerance_interval
    return share.of_variation, share.of_variation_interval


def _borders(axis: Scale, bottom: float) -> Iterator[str]:
    """The numbers of the borders below the bars."""
    for border in (*BORDERS, FULL):
        yield upright("tick", axis.at(border), bottom, bottom + 4, QUIET, 0.8)
        anchor = "end" if border == FULL else "middle"
        yield word(axis.at(border), bottom + 16, f"{100 * border:.0f} %", anchor=anchor)


def _share_row(axis: Scale, y: float, share: GaugeShare, *, by_tolerance: bool) -> str:
    value, interval = _of(share, by_tolerance=by_tolerance)
    whole = share.source == "gauge"
    bar = y + 15
    fill = MARK if whole else LINE if share.source == "part" else QUIET
    place = f'x="{at(axis.start)}" y="{at(bar)}" width="{at(axis.at(value) - axis.start)}"'
    name = word(axis.start, y + 11, SAID[share.source], colour=INK)
    borders = [upright("border", axis.at(one), bar - 2, bar + BAR + 2, QUIET, 0.8) for one in BORDERS]
    signs = [
        f'<g font-weight="{600 if whole else 400}">{name}</g>',
        word(axis.end, y + 11, percent_with_interval(value, interval), anchor="end", colour=INK),
        f'<rect class="share" {place} height="{BAR}" fill="{fill}"/>',
    ]
    signs += borders
    if value > FULL:
        signs.append(chevron(axis.end + 6, bar + BAR / 2, 1, INK, size=3.5))
    if interval is not None:
        signs += _interval(axis, interval, bar + BAR / 2)
    return hovered("".join(signs), share_in_words(share, by_tolerance=by_tolerance))


def _interval(axis: Scale, interval: Interval, y: float) -> Iterator[str]:
    """A thin line with a white rim, so that it is seen on the bar and beside it."""
    left, right = axis.at(interval.low), axis.at(interval.high)
    yield level("rim", left, right, y, WHITE, 3.4)
    yield level("interval", left, right, y, INK, 1.2)
    yield upright("interval-end", left, y - 3, y + 3, INK, 1.2)
    if interval.high <= FULL:
        yield upright("interval-end", right, y - 3, y + 3, INK, 1.2)
    else:
        yield chevron(axis.end + 4, y, 1, INK, size=3)

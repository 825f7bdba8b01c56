"""The limit bar in signs: where the cavities of a size stand between its limits, one line a cavity.

    ·····│         ┊         │·····     outside, lower limit, target, upper limit, outside
    ·····│  ──━●━──┊         │·····     where parts fall, interval of the mean, the mean

Both limits stand at the same places for every size. The form of the mark tells the verdict, as on the pages.
A line that runs past the end of the bar ends in < or >.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import isfinite

from offtool.core.inspection import CavityFinding, SizeFinding
from offtool.core.values import Verdict
from offtool.reports.limit_scale import LimitScale

MARK = {Verdict.HOLDS: "●", Verdict.NOT_SHOWN: "○", Verdict.FAILS: "×"}
KEY = (
    "Mean of a cavity: ● holds, ○ not shown, × does not hold", "━ 95 % interval of the mean",
    "─ where 99.7 % of parts fall", "│ limits", "┊ target", "· outside",
)  # fmt: skip
PARTS, MEANS = "─", "━"
_CROSSING = {PARTS: "┼", MEANS: "┿"}
PARTS_WITHIN = 3.0
"""99.7 % of normal parts lie within three standard deviations of their mean."""


def limit_bars(finding: SizeFinding, cavities: Sequence[CavityFinding], *, columns: int) -> list[str]:
    """One bar of so many columns for each of the cavities, on the scale that the limits of the size set."""
    ends = [end for cavity in finding.cavities for end in (*_parts(cavity), cavity.mean, finding.target)]
    scale = LimitScale.of(finding.lower, finding.upper, ends, width=columns)
    return [_bar(finding, cavity, replace(scale, left=0.0, right=columns - 1.0)) for cavity in cavities]


def _parts(cavity: CavityFinding) -> tuple[float, float]:
    """Between which ends nearly all parts of a cavity fall; the mean alone where the spread is not known."""
    reach = PARTS_WITHIN * cavity.sd if isfinite(cavity.sd) else 0.0
    return cavity.mean - reach, cavity.mean + reach


def _bar(finding: SizeFinding, cavity: CavityFinding, scale: LimitScale) -> str:
    return bar(
        scale,
        (finding.lower, finding.upper),
        ((*_parts(cavity), PARTS), (cavity.interval.low, cavity.interval.high, MEANS)),
        target=finding.target,
        mark=(cavity.mean, MARK[cavity.verdict]),
    )


def bar(
    scale: LimitScale,
    limits: tuple[float | None, float | None],
    spans: Sequence[tuple[float, float, str]],
    *,
    mark: tuple[float, str],
    target: float | None = None,
) -> str:
    """One bar: each span from low to high in its sign, and the mark above them all.

    The scale runs from 0 to the last column.
    """
    lower, upper = limits
    columns = int(scale.right) + 1
    first = 0 if lower is None else round(scale.at(lower))
    last = columns - 1 if upper is None else round(scale.at(upper))
    signs = ["·" if not first <= column <= last else " " for column in range(columns)]
    if target is not None and not scale.beyond(target):
        signs[round(scale.at(target))] = "┊"
    lines = {round(scale.at(limit)) for limit in limits if limit is not None}
    for column in lines:
        signs[column] = "│"
    for low, high, sign in spans:
        for column in range(round(scale.at(low)), round(scale.at(high)) + 1):
            signs[column] = _CROSSING[sign] if column in lines else sign
        for end in (low, high):
            if beyond := scale.beyond(end):
                signs[round(scale.at(end))] = "<" if beyond < 0 else ">"
    value, sign = mark
    if not scale.beyond(value):
        signs[round(scale.at(value))] = sign
    return "".join(signs)

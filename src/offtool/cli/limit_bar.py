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
    columns = int(scale.right) + 1
    first = 0 if finding.lower is None else round(scale.at(finding.lower))
    last = columns - 1 if finding.upper is None else round(scale.at(finding.upper))
    signs = ["·" if not first <= column <= last else " " for column in range(columns)]
    if not scale.beyond(finding.target):
        signs[round(scale.at(finding.target))] = "┊"
    limits = {round(scale.at(limit)) for limit in (finding.lower, finding.upper) if limit is not None}
    for column in limits:
        signs[column] = "│"
    for low, high, sign, crossing in (
        (*_parts(cavity), "─", "┼"),
        (cavity.interval.low, cavity.interval.high, "━", "┿"),
    ):
        for column in range(round(scale.at(low)), round(scale.at(high)) + 1):
            signs[column] = crossing if column in limits else sign
        for end in (low, high):
            if beyond := scale.beyond(end):
                signs[round(scale.at(end))] = "<" if beyond < 0 else ">"
    if not scale.beyond(cavity.mean):
        signs[round(scale.at(cavity.mean))] = MARK[cavity.verdict]
    return "".join(signs)

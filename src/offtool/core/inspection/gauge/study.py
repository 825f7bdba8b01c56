"""What the crossed and the nested study have in common: from a split of the variance to the whole answer."""

from __future__ import annotations

from math import floor, sqrt

from offtool.core.inspection.gauge.judgement import Planned, judge
from offtool.core.inspection.gauge.results import (
    GAUGE,
    OPERATOR,
    AnovaRow,
    GaugeCell,
    GaugeGap,
    GaugeShare,
    GaugeStudy,
)
from offtool.core.inspection.gauge.shares import Split, categories, rooted, shares, whole
from offtool.core.values import Caution, Range

TOLERANCE = Range(
    meaning="upper less lower limit of the size; blank to judge by the variation of the parts",
    unit="as measured",
    above=0,
)
OPERATORS = Range(meaning="who measured, one name a reading")
FEWEST_OPERATORS, FEWEST_PARTS = 3, 5
PRACTICE = "common practice, no source"
WIDE = 4.0
"""An interval whose upper end is so many times the estimate is called wide."""


def study(
    split: Split,
    *,
    method: str,
    counts: tuple[int, int, int],
    planned: Planned,
    tolerance: float | None,
    gaps: tuple[GaugeGap, ...],
    anova: tuple[AnovaRow, ...],
    cells: tuple[GaugeCell, ...],
    interaction_pooled: bool = False,
    interaction_p: float | None = None,
    pooling_rule: str = "",
    cautions: tuple[Caution, ...] = (),
) -> GaugeStudy:
    """The answer, with the cautions that few parts, few operators and a coarse gauge call for."""
    found = shares(split, tolerance)
    count, interval = categories(split)
    judgement, reason = judge(split, tolerance, planned, counts)
    gauge_interval = split.variance_interval(GAUGE)
    return GaugeStudy(
        method=method,
        shares=found,
        not_separated=gaps,
        anova=anova,
        interaction_pooled=interaction_pooled,
        interaction_p=interaction_p,
        pooling_rule=pooling_rule,
        categories=count,
        distinct_categories=None if count is None else floor(count),
        distinct_categories_interval=whole(interval),
        gauge_sd=sqrt(split.variance(GAUGE)),
        gauge_sd_interval=gauge_interval and rooted(gauge_interval),
        gauge_freedom=split.gauge_freedom,
        cells=cells,
        judgement=judgement,
        reason=reason,
        parts=counts[0],
        operators=counts[1],
        repeats=counts[2],
        confidence=split.confidence,
        tolerance=tolerance,
        cautions=(*cautions, *_cautions(found, counts, seen=split.seen)),
    )


def _cautions(
    found: tuple[GaugeShare, ...], counts: tuple[int, int, int], *, seen: bool
) -> tuple[Caution, ...]:
    parts, operators, _ = counts
    said: list[Caution | None] = []
    if operators == 1:
        said.append(Caution("one operator: what differs between operators was not studied"))
    elif operators < FEWEST_OPERATORS:
        said.append(Caution(f"only {operators} operators: {FEWEST_OPERATORS} are usual", PRACTICE))
    if parts < FEWEST_PARTS:
        said.append(Caution(f"only {parts} parts: at least {FEWEST_PARTS}, better 10, are usual", PRACTICE))
    said.extend(_wide(share, operators) for share in found if share.source == OPERATOR)
    if not seen:
        said.append(Caution("repeated readings never differ: the gauge is too coarse to show its own spread"))
    return tuple(caution for caution in said if caution is not None)


def _wide(share: GaugeShare, operators: int) -> Caution | None:
    """With few operators, what differs between them is hardly known: said in numbers."""
    interval = share.sd_interval
    if interval is None or interval.high <= WIDE * share.sd:
        return None
    return Caution(
        f"{operators} operators say little of all operators: their standard deviation, {share.sd:.3g}, may "
        f"be {interval.low:.3g} to {interval.high:.3g}"
    )

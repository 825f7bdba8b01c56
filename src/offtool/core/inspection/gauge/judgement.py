"""What a gauge may be used for, as far as the intervals show it, and what would settle the rest."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from math import isfinite, log

from offtool.core.inspection.gauge.design import Design
from offtool.core.inspection.gauge.results import GAUGE, TOTAL, GaugeJudgement, GaugeReason
from offtool.core.inspection.gauge.shares import SPREAD, Split, categories, rooted, scaled, whole
from offtool.core.values import Interval

FIT_BELOW, NOT_FIT_ABOVE = 0.10, 0.30
"""Borders of six gauge deviations over the tolerance, or of gauge over total deviation; common practice."""
FEWEST_CATEGORIES = 5
"""That a gauge must tell apart to follow the spread of parts; common practice."""

Planned = Callable[[int, int, int], Design]
"""The design of a study with other numbers of parts, operators and repeats."""


def judge(
    split: Split, tolerance: float | None, planned: Planned, counts: tuple[int, int, int]
) -> tuple[GaugeJudgement, GaugeReason]:
    """By the tolerance where there is one, else by the variation of the parts in the study.

    By variation the categories count as much as the ratio. By tolerance they only narrow what a fit gauge is
    fit for: parts may be alike, and a gauge still fit to judge them against their limits.
    """
    name = "6 gauge standard deviations over the tolerance" if tolerance else "gauge over total deviation"
    value, interval = _deciding(split, tolerance)
    if interval is None:
        sentence = "repeated readings never differ: the gauge is too coarse to show its own spread"
        reason = GaugeReason(
            ratio=name,
            value=value,
            interval=None,
            sentence=sentence,
            settle="read one digit more, or use a finer gauge",
        )
        return GaugeJudgement.NOT_SHOWN, reason
    zone = _zone(interval)
    told = whole(categories(split)[1])
    judgement = _by_tolerance(zone, told) if tolerance else _by_variation(zone, told)
    reason = GaugeReason(
        ratio=name, value=value, interval=interval, sentence=_sentence(name, value, interval, told)
    )
    if judgement is GaugeJudgement.NOT_SHOWN:
        reason = replace(reason, settle=_settle(split, tolerance, planned, counts))
    return judgement, reason


def _deciding(split: Split, tolerance: float | None) -> tuple[float, Interval | None]:
    if tolerance is None:
        ratio = split.ratio_interval(GAUGE, TOTAL)
        return (split.variance(GAUGE) / split.variance(TOTAL)) ** 0.5, ratio and rooted(ratio)
    variance = split.variance_interval(GAUGE)
    factor = SPREAD / tolerance
    return factor * split.variance(GAUGE) ** 0.5, variance and scaled(rooted(variance), factor)


def _zone(interval: Interval) -> GaugeJudgement:
    if interval.high <= FIT_BELOW:
        return GaugeJudgement.FIT
    if interval.low > NOT_FIT_ABOVE:
        return GaugeJudgement.NOT_FIT
    if interval.low > FIT_BELOW and interval.high <= NOT_FIT_ABOVE:
        return GaugeJudgement.FIT_FOR_SOME
    return GaugeJudgement.NOT_SHOWN


def _by_tolerance(zone: GaugeJudgement, told: Interval | None) -> GaugeJudgement:
    enough = told is not None and told.low >= FEWEST_CATEGORIES
    return GaugeJudgement.FIT_FOR_SOME if zone is GaugeJudgement.FIT and not enough else zone


def _by_variation(zone: GaugeJudgement, told: Interval | None) -> GaugeJudgement:
    if told is None or told.high < FEWEST_CATEGORIES:
        return GaugeJudgement.NOT_FIT
    if told.low >= FEWEST_CATEGORIES or zone is GaugeJudgement.NOT_FIT:
        return zone
    return GaugeJudgement.NOT_SHOWN


def _sentence(name: str, value: float, interval: Interval, told: Interval | None) -> str:
    said = f"{name}: {percent(value)}, {span(interval)} with {percent(interval.confidence)} confidence"
    borders = f"fit up to {percent(FIT_BELOW)}, not fit above {percent(NOT_FIT_ABOVE)}"
    if told is None:
        return f"{said}; {borders}"
    high = f"{told.high:.0f}" if isfinite(told.high) else "many"
    return f"{said}; {borders}; categories told apart {told.low:.0f} to {high}, {FEWEST_CATEGORIES} wanted"


def _settle(split: Split, tolerance: float | None, planned: Planned, counts: tuple[int, int, int]) -> str:
    """Which of twice the parts, operators or repeats would narrow the deciding interval most."""
    p, o, r = counts
    choices = {
        f"more parts: with {2 * p} instead of {p}": (2 * p, o, r),
        f"more operators: with {2 * o} instead of {o}": (p, 2 * o, r),
        f"more repeats: with {2 * r} instead of {r}": (p, o, 2 * r),
    }
    if o == 1:
        return "let at least two more operators measure as well"
    found: Mapping[str, Interval] = {
        words: interval
        for words, planned_counts in choices.items()
        if (interval := _expected(split, tolerance, planned(*planned_counts))) is not None
    }
    words, interval = min(found.items(), key=lambda one: _width(one[1]))
    return f"{words} and the same variances the ratio would be known to {span(interval)}"


def _expected(split: Split, tolerance: float | None, design: Design) -> Interval | None:
    """The deciding interval of another design, were its mean squares what these variances make them."""
    return _deciding(
        replace(split, design=design, mean_squares=design.mean_squares_of(split.variances)), tolerance
    )[1]


def _width(interval: Interval) -> float:
    return log(max(interval.high, 1e-300)) - log(max(interval.low, 1e-300))


def percent(share: float) -> str:
    """A share in per cent with the digits that tell something."""
    return f"{100 * share:.3g} %" if isfinite(share) else "any size"


def span(interval: Interval) -> str:
    """Both ends in per cent."""
    return f"{percent(interval.low)} to {percent(interval.high)}"

"""A gauge on the terminal: is it fit, what to do, why, what it means for the sizes, what it rests on."""

from __future__ import annotations

from collections.abc import Sequence

from offtool.cli.shared_lines import bullets, cautions, counted, heading, sentence, steps
from offtool.cli.terminal import width
from offtool.cli.typeset import table
from offtool.core.inspection.gauge import GaugeStudy, LinearityStudy, ReferenceStudy
from offtool.core.values import Interval
from offtool.reports.gauge_bias_drawing import bias_in_words
from offtool.reports.gauge_words import (
    categories_in_words,
    exact_in_words,
    guard_in_words,
    hanging_in_words,
    index_in_words,
    share_of_spread,
)
from offtool.reports.words import day, number, percent_with_interval, span
from offtool.steps.gauge_studied import GaugesStanding, GaugeStudied, SizeWithGauge, StudyLine


def gauges_lines(found: GaugesStanding) -> list[str]:
    """A line or two for each gauge."""
    rows = [
        [
            one.code,
            one.name,
            f"step {one.resolution:g} {one.unit}".rstrip(),
            counted(one.sizes, "size"),
            one.says,
        ]
        for one in found.gauges
    ]
    return [*sentence(found.headline), "", *table(rows, width=width(), indent=2)]


def gauge_lines(found: GaugeStudied) -> list[str]:
    """All lines of a gauge and the study shown."""
    lines = [*sentence(found.headline), *sentence(_which(found))]
    if found.actions:
        lines += [*heading("What to do"), *steps([(one.do, one.because) for one in found.actions])]
    if found.result is not None:
        lines += _why(found)
    if found.sizes:
        lines += _sizes(found.sizes)
    if found.rests_on:
        rows = [[fact.about, fact.says] for fact in found.rests_on]
        lines += [*heading("What it rests on"), *table(rows, width=width(), indent=2)]
    if found.studies:
        lines += [*heading("Studies"), *bullets([_study(one) for one in found.studies])]
    return [*lines, *cautions(found.cautions)]


def _which(found: GaugeStudied) -> str:
    name = f"{found.gauge} ({found.gauge_name})" if found.gauge_name else found.gauge
    step = f"step {found.resolution:g} {found.unit}".rstrip()
    study = f", study {found.study.name}" if found.study else ""
    return f"{found.programme_title}, gauge {name}, {step}{study}."


def _why(found: GaugeStudied) -> list[str]:
    result, d = found.result, found.decimals
    if isinstance(result, GaugeStudy):
        return [*heading("Why"), *_shares(result, d), *_methods(result, found.by_ranges)]
    if isinstance(result, ReferenceStudy):
        return [*heading("Why"), *table(_reference(result, d), width=width(), indent=2)]
    if isinstance(result, LinearityStudy):
        return [*heading("Why"), *bullets([bias_in_words(one, d, found.unit) for one in result.points])]
    return []


def _shares(result: GaugeStudy, decimals: int) -> list[str]:
    by_tolerance = result.tolerance is not None
    head = ["", "deviation", "95 %", "of the tolerance" if by_tolerance else "of the spread"]
    rows = [
        [
            one.source,
            number(one.sd, decimals + 1),
            _interval(one.sd_interval, decimals + 1),
            percent_with_interval(one.of_tolerance, one.of_tolerance_interval)
            if one.of_tolerance is not None
            else percent_with_interval(one.of_variation, one.of_variation_interval),
        ]
        for one in result.shares
    ]
    return [
        *table([head, *rows], width=width(), sides="<>>>", indent=2),
        *bullets([f"{one.source}: {one.reason}" for one in result.not_separated]),
    ]


def _methods(result: GaugeStudy, other: GaugeStudy | None) -> list[str]:
    told = [("categories told apart", categories_in_words(result))]
    if other is not None:
        told.append(
            (f"gauge deviation by {other.method}", f"{other.gauge_sd:.4g}, here {result.gauge_sd:.4g}")
        )
    return table([[about, says] for about, says in told], width=width(), indent=2)


def _reference(result: ReferenceStudy, decimals: int) -> list[list[str]]:
    d = decimals + 1
    index = result.index_with_bias
    return [
        ["mean", number(result.mean, d), f"of a part of {number(result.reference, d)}"],
        ["bias", number(result.bias, d), _interval(result.bias_interval, d)],
        ["deviation", number(result.sd, d), _interval(result.sd_interval, d)],
        ["index with bias", number(index, 2) if index is not None else "none",
         _interval(result.index_with_bias_interval, 2)],
        ["standard uncertainty", number(result.standard_uncertainty, d), "of one reading"],
    ]  # fmt: skip


def _interval(interval: Interval | None, decimals: int) -> str:
    return span(interval, decimals) if interval is not None else "no interval"


def _sizes(sizes: Sequence[SizeWithGauge]) -> list[str]:
    head = ["", "guard band", "spread from gauge", "index", "with an exact gauge", "the verdict"]
    rows = [
        [
            f"{one.part} {one.number}, {one.tool} {one.trial}",
            guard_in_words(one),
            share_of_spread(one),
            index_in_words(one.observed, one.observed_interval),
            exact_in_words(one),
            f"{one.verdict}, {one.says}" if one.hangs_on_gauge else str(one.verdict),
        ]
        for one in sizes
    ]
    return [
        *heading("What it means for the sizes"),
        *sentence(hanging_in_words(sizes)),
        *table([head, *rows], width=width(), indent=2),
    ]


def _study(one: StudyLine) -> str:
    size = f", {one.size}" if one.size else ""
    when = f", {day(one.done_on)}" if one.done_on else ""
    counts = "counts" if one.counts else "does not count: a newer one does"
    state = f"set aside: {one.set_aside}" if one.set_aside else counts
    return f"{one.name}: {one.kind}{size}{when}, {counted(one.readings, 'reading')}; {state}"

"""The numbers behind a gauge study, each table folded away under what it is about."""

from __future__ import annotations

from dataclasses import dataclass

from offtool.core.inspection.gauge import AnovaRow, GaugeStudy, LinearityStudy, ReferenceStudy
from offtool.core.values import Interval
from offtool.reports import words
from offtool.reports.gauge_words import categories_in_words
from offtool.steps.gauge_studied import GaugeStudied


@dataclass(frozen=True, slots=True, kw_only=True)
class NumbersShown:
    """A table that is folded away: what it is about, its headings, its rows."""

    about: str
    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    says: str
    """A sentence below; empty for none."""


def numbers_shown(found: GaugeStudied) -> list[NumbersShown]:
    """The tables behind a study: shares, both methods, analysis of variance, uncertainty."""
    result, d = found.result, found.decimals
    shown: list[NumbersShown] = []
    if isinstance(result, GaugeStudy):
        shown.append(_shares(result, d))
        if found.by_ranges is not None:
            shown.append(_both_methods(result, found.by_ranges, d))
        if result.anova:
            shown.append(_anova(result))
    if isinstance(result, ReferenceStudy):
        shown.append(_reference(result, d))
    if isinstance(result, LinearityStudy):
        shown.append(_line(result, d))
    if found.uncertainty is not None:
        shown.append(_budget(found, d))
    return shown


def _interval(interval: Interval | None, decimals: int) -> str:
    return words.span(interval, decimals) if interval is not None else words.NONE


def _shares(result: GaugeStudy, decimals: int) -> NumbersShown:
    by_tolerance = result.tolerance is not None
    rows = [
        (
            one.source,
            words.number(one.sd, decimals + 1),
            _interval(one.sd_interval, decimals + 1),
            words.percent_with_interval(one.contribution, one.contribution_interval),
            words.percent_with_interval(one.of_variation, one.of_variation_interval),
            *(
                [words.percent_with_interval(one.of_tolerance, one.of_tolerance_interval)]
                if one.of_tolerance is not None
                else []
            ),
        )
        for one in result.shares
    ]
    gaps = "; ".join(f"{one.source}: {one.reason}" for one in result.not_separated)
    return NumbersShown(
        about="The shares in numbers",
        headings=("Source", "deviation", "95 %", "of the variance", "of the spread")
        + (("of the tolerance",) if by_tolerance else ()),
        rows=tuple(rows),
        says=f"Categories told apart: {categories_in_words(result)}." + (f" {gaps}." if gaps else ""),
    )


def _both_methods(result: GaugeStudy, other: GaugeStudy, decimals: int) -> NumbersShown:
    def row(source: str) -> tuple[str, ...]:
        both = (result.share(source), other.share(source))
        return (source, *(words.number(one.sd, decimals + 1) if one else words.NONE for one in both))

    sources = [one.source for one in result.shares]
    last = ("categories", categories_in_words(result), categories_in_words(other))
    return NumbersShown(
        about="Both methods side by side",
        headings=("Deviation", result.method, other.method),
        rows=(*map(row, sources), last),
        says="Ranges cannot see whether people differ from part to part; verdicts rest on the first.",
    )


def _anova(result: GaugeStudy) -> NumbersShown:
    def row(one: AnovaRow) -> tuple[str, ...]:
        numbers = (one.mean_square, one.f, one.p)
        shown = (f"{value:.4g}" if value is not None else "" for value in numbers)
        return (one.source, f"{one.sum_of_squares:.4g}", str(one.freedom), *shown)

    return NumbersShown(
        about="Analysis of variance",
        headings=("Source", "sum of squares", "freedom", "mean square", "F", "p"),
        rows=tuple(map(row, result.anova)),
        says=f"{result.pooling_rule}." if result.pooling_rule else "",
    )


def _reference(result: ReferenceStudy, decimals: int) -> NumbersShown:
    d = decimals + 1
    index, repeat = result.index_with_bias, result.repeatability_index
    return NumbersShown(
        about="In numbers",
        headings=("", "found", "95 %"),
        rows=(
            ("mean", words.number(result.mean, d), f"known {words.number(result.reference, d)}"),
            ("bias", words.signed(result.bias, d), _interval(result.bias_interval, d)),
            ("deviation", words.number(result.sd, d), _interval(result.sd_interval, d)),
            (
                "index of repeatability",
                words.number(repeat, 2) if repeat is not None else words.NONE,
                _interval(result.repeatability_index_interval, 2),
            ),
            (
                "index with bias",
                words.number(index, 2) if index is not None else words.NONE,
                _interval(result.index_with_bias_interval, 2),
            ),
        ),
        says="A fifth of the tolerance over six deviations; 1.33 is asked. Common practice.",
    )


def _line(result: LinearityStudy, decimals: int) -> NumbersShown:
    d = decimals + 1
    return NumbersShown(
        about="In numbers",
        headings=("Known size", "readings", "mean bias", "line", "95 % band"),
        rows=tuple(
            (
                f"{one.reference:g}",
                str(one.readings),
                words.signed(one.mean_bias, d),
                words.signed(one.line_bias, d),
                _interval(one.band, d),
            )
            for one in result.points
        ),
        says=f"Slope {result.slope.value:.3g}, scatter about the line {words.number(result.residual_sd, d)}.",
    )


def _budget(found: GaugeStudied, decimals: int) -> NumbersShown:
    known = found.uncertainty
    assert known is not None  # noqa: S101 asked before
    rows = [(one.source, words.number(one.standard_uncertainty, decimals + 1)) for one in known.parts]
    return NumbersShown(
        about="Uncertainty of one reading",
        headings=("From", "standard uncertainty"),
        rows=(*rows, ("together", words.number(known.value, decimals + 1))),
        says=f"{known.says[:1].upper()}{known.says[1:]}.",
    )

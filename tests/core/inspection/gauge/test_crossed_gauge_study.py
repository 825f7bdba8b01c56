"""The crossed gauge study: the printed case by both methods, R, laws, and what it refuses."""

from __future__ import annotations

from dataclasses import asdict
from math import isnan, sqrt
from typing import Any

import numpy as np
import pytest
from hypothesis import strategies as st

from offtool.core.inspection.gauge import GaugeJudgement, GaugeShare, GaugeStudy, crossed_gauge_study
from offtool.core.values import ImpossibleInput, NotEnoughData
from tests.core.inspection.gauge.worlds import drawn_study, published_study
from tests.core.laws import law
from tests.labels import independent, published

MANUAL = "AIAG, Measurement Systems Analysis, 4th ed."


def share(study: GaugeStudy, source: str) -> GaugeShare:
    found = study.share(source)
    assert found is not None, source
    return found


def mean_square(study: GaugeStudy, source: str) -> float:
    found = next(row.mean_square for row in study.anova if row.source == source)
    assert found is not None
    return found


def test_the_printed_analysis_of_variance() -> None:
    study = crossed_gauge_study(*published_study())
    source = f"{MANUAL}, ANOVA table"
    rows = {row.source: row for row in study.anova}
    for name, squares, freedom in (
        ("operator", "3.1673", 2),
        ("part", "88.3619", 9),
        ("operator × part", "0.3590", 18),
        ("repeatability", "2.7589", 60),
        ("total", "94.6471", 89),
    ):
        assert rows[name].sum_of_squares == published(squares, source=source)
        assert rows[name].freedom == freedom
    assert rows["operator × part"].f == published("0.434", source=source)
    assert study.interaction_p == published("0.974", source=source)
    # The manual prints F of the main effects over the mean square of the repeats, before pooling.
    equipment = mean_square(study, "repeatability")
    assert mean_square(study, "operator") / equipment == published("34.44", source=source)
    assert mean_square(study, "part") / equipment == published("213.52", source=source)


def test_main_effects_are_tested_against_what_the_interaction_was_pooled_into() -> None:
    study = crossed_gauge_study(*published_study())
    rows = {row.source: row for row in study.anova}
    pooled = rows["repeatability with interaction"]
    assert study.interaction_pooled
    assert pooled.freedom == 78
    assert rows["part"].f == mean_square(study, "part") / mean_square(study, pooled.source)
    # R 4.2: summary(aov(value ~ part + appraiser, d))[[1]]
    assert rows["operator"].f == independent(1.583631111 / (3.11791555556 / 78), way="R aov", rel=1e-8)


def test_the_printed_deviations_with_the_interaction_pooled() -> None:
    study = crossed_gauge_study(*published_study())
    source = f"{MANUAL}, ANOVA method, pooled"
    for name, sd, of_variation in (
        ("repeatability", "0.199933", "18.4"),
        ("reproducibility", "0.226838", "20.9"),
        ("operator", "0.226838", "20.9"),
        ("gauge", "0.302373", "27.9"),
        ("part", "1.042327", "96.0"),
    ):
        # The manual adds rounded variances: its sixth digit of the gauge is one too large.
        assert share(study, name).sd == pytest.approx(float(sd), abs=2e-6)
        assert 100 * share(study, name).of_variation == published(of_variation, source=source)
    assert share(study, "total").sd == published("1.085", source=source)
    assert study.distinct_categories == 4
    assert study.categories == published("4.86", source=source)


def test_the_variances_are_those_of_restricted_maximum_likelihood() -> None:
    """Balanced, none at zero: the two agree.

    R 4.2, lme4: as.data.frame(VarCorr(lmer(value ~ (1|part) + (1|appraiser), d)))
    """
    study = crossed_gauge_study(*published_study())
    for name, variance in (
        ("part", 1.0864465642319),
        ("operator", 0.0514552664904),
        ("repeatability", 0.0399732764196),
    ):
        assert share(study, name).variance == independent(variance, way="R lme4, REML", rel=1e-6)


def test_the_printed_average_and_range() -> None:
    study = crossed_gauge_study(*published_study(), method="average and range")
    # The manual rounds on the way: 3e-4 is what that can move (checks, row 2.1).
    for name, sd, of_variation in (
        ("repeatability", 0.20188, 17.62),
        ("reproducibility", 0.22963, 20.04),
        ("gauge", 0.30575, 26.68),
        ("part", 1.10456, 96.38),
        ("total", 1.14610, 100.0),
    ):
        assert share(study, name).sd == pytest.approx(sd, abs=3e-4)
        assert 100 * share(study, name).of_variation == pytest.approx(of_variation, abs=0.02)
    assert study.distinct_categories == 5
    assert study.categories == published("5.09", source=f"{MANUAL}, report sheet")


def test_one_operator_is_a_one_way_analysis() -> None:
    values, parts, operators = published_study()
    one = [i for i, who in enumerate(operators) if who == "A"]
    study = crossed_gauge_study(values[one], [parts[i] for i in one], ["A"] * len(one))
    table = values[one].reshape(3, 10)
    within = float(table.var(axis=0, ddof=1).mean())
    between = float(table.mean(axis=0).var(ddof=1)) - within / 3
    assert share(study, "repeatability").variance == independent(within, way="mean variance of the parts")
    assert share(study, "part").variance == independent(between, way="variance of the means")
    assert study.share("operator") is None
    assert {gap.source for gap in study.not_separated} == {"operator", "operator × part", "reproducibility"}
    assert any("one operator" in str(caution) for caution in study.cautions)


def test_one_repeat_leaves_the_interaction_in_repeatability() -> None:
    values, parts, operators = published_study()
    first = [i for i in range(90) if i % 30 < 10]  # the first trial of each operator
    study = crossed_gauge_study(values[first], [parts[i] for i in first], [operators[i] for i in first])
    table = values[first].reshape(3, 10)
    rest = table - table.mean(axis=0) - table.mean(axis=1)[:, None] + table.mean()
    expected = float((rest**2).sum() / 18)
    assert share(study, "repeatability").variance == independent(
        expected, way="residuals of rows and columns"
    )
    assert study.interaction_pooled
    assert study.interaction_p is None
    assert [gap.source for gap in study.not_separated] == ["operator × part"]
    assert any("one repeat" in str(caution) for caution in study.cautions)


def test_an_interaction_that_is_there_is_kept_and_said_where_ranges_cannot_see_it() -> None:
    values, parts, operators = drawn_study(7, parts=8, repeats=3)
    odd = np.array([part == "p2" and who == "o1" for part, who in zip(parts, operators, strict=True)])
    study = crossed_gauge_study(values + 3.0 * odd, parts, operators)
    assert not study.interaction_pooled
    assert share(study, "operator × part").sd > 0.3
    ranges = crossed_gauge_study(values + 3.0 * odd, parts, operators, method="average and range")
    assert any("interact" in str(caution) for caution in ranges.cautions)
    assert ranges.share("operator × part") is None


SEEDS = st.integers(0, 10_000)
SAME = ("judgement", "distinct_categories", "interaction_pooled")


def sizes(study: GaugeStudy) -> list[float]:
    """All deviations with their ends."""
    found = []
    for one in study.shares:
        assert one.sd_interval is not None
        found += [one.sd, one.sd_interval.low, one.sd_interval.high]
    return [*found, study.gauge_freedom]


def ratios(study: GaugeStudy) -> list[float]:
    """All shares with their ends."""
    found = []
    for one in study.shares:
        found += [one.contribution, one.of_variation]
        if one.contribution_interval and one.of_variation_interval:
            found += [one.contribution_interval.low, one.of_variation_interval.high]
    return found


@law(seed=SEEDS, shift=st.floats(-1000, 1000), examples=20)
def test_a_shift_moves_only_means(seed: int, shift: float) -> None:
    values, parts, operators = drawn_study(seed)
    one, other = (crossed_gauge_study(v, parts, operators) for v in (values, values + shift))
    assert sizes(other) == pytest.approx(sizes(one), rel=1e-6, abs=1e-6)
    assert [cell.mean - shift for cell in other.cells] == pytest.approx([cell.mean for cell in one.cells])


@law(
    seed=SEEDS,
    scale=st.floats(1e-3, 1e3),
    method=st.sampled_from(["analysis of variance", "average and range"]),
    examples=25,
)
def test_another_unit_scales_deviations_and_no_ratio(seed: int, scale: float, method: Any) -> None:
    values, parts, operators = drawn_study(seed)
    one = crossed_gauge_study(values, parts, operators, tolerance=5.0, method=method)
    other = crossed_gauge_study(scale * values, parts, operators, tolerance=5.0 * scale, method=method)
    assert [s.sd for s in other.shares] == pytest.approx([scale * s.sd for s in one.shares], rel=1e-9)
    assert ratios(other) == pytest.approx(ratios(one), rel=1e-5, abs=1e-7)
    assert [s.of_tolerance for s in other.shares] == pytest.approx([s.of_tolerance for s in one.shares])
    assert [getattr(other, name) for name in SAME] == [getattr(one, name) for name in SAME]


@law(seed=SEEDS, examples=20)
def test_other_names_and_another_order_change_nothing(seed: int) -> None:
    values, parts, operators = drawn_study(seed)
    order = np.random.default_rng(seed).permutation(values.size)
    renamed = {"o0": "z", "o1": "a", "o2": "m"}
    one = crossed_gauge_study(values, parts, operators)
    other = crossed_gauge_study(
        values[order], [parts[i] for i in order], [renamed[operators[i]] for i in order]
    )
    assert sizes(other) == pytest.approx(sizes(one), rel=1e-9, abs=1e-9)
    assert ratios(other) == pytest.approx(ratios(one), rel=1e-6, abs=1e-9)


@law(seed=SEEDS, method=st.sampled_from(["analysis of variance", "average and range"]), examples=25)
def test_the_shares_of_the_variance_add_up(seed: int, method: Any) -> None:
    study = crossed_gauge_study(*drawn_study(seed), method=method)
    single = [one for one in ("operator", "operator × part") if study.share(one)]
    reproducibility = sum(share(study, one).variance for one in single)
    assert share(study, "reproducibility").variance == pytest.approx(reproducibility)
    gauge = share(study, "repeatability").contribution + share(study, "reproducibility").contribution
    assert share(study, "gauge").contribution == pytest.approx(gauge)
    assert share(study, "gauge").contribution + share(study, "part").contribution == pytest.approx(1.0)


@law(seed=SEEDS, offset=st.floats(1, 50), examples=20)
def test_an_operator_who_reads_higher_raises_only_the_operator(seed: int, offset: float) -> None:
    values, parts, operators = drawn_study(seed, operator_sd=0.0)
    high = np.array([offset * (who == "o2") for who in operators])
    one, other = (crossed_gauge_study(v, parts, operators) for v in (values, values + high))
    for name in ("repeatability", "operator × part", "part"):
        assert share(other, name).variance == pytest.approx(share(one, name).variance, rel=1e-6, abs=1e-9)
    assert share(other, "operator").variance > share(one, "operator").variance


@law(seed=SEEDS, tolerance=st.floats(0.5, 50), examples=20)
def test_shares_of_variation_and_tolerance_are_the_same_numbers_in_other_units(
    seed: int, tolerance: float
) -> None:
    for one in crossed_gauge_study(*drawn_study(seed), tolerance=tolerance).shares:
        assert one.sd_interval is not None
        assert one.of_tolerance_interval is not None
        assert one.of_tolerance == pytest.approx(6 * one.sd / tolerance)
        assert one.of_tolerance_interval.high == pytest.approx(6 * one.sd_interval.high / tolerance)
        assert one.of_variation == pytest.approx(sqrt(one.contribution))
        if one.contribution_interval and one.of_variation_interval:
            assert one.of_variation_interval.low == pytest.approx(sqrt(one.contribution_interval.low))
            assert one.contribution_interval.low <= one.contribution <= one.contribution_interval.high <= 1


def steady(operators: int, *, gauge: float) -> tuple[np.ndarray, list[str], list[str]]:
    """20 parts, many operators who read alike."""
    rng = np.random.default_rng(5)
    shape = (20, operators, 3)
    part, who = (axis.ravel().astype(str).tolist() for axis in np.indices(shape)[:2])
    values = rng.normal(0, 1, (20, 1, 1)) + gauge * rng.normal(0, 1, (1, operators, 1))
    return (values + gauge * rng.normal(0, 1, shape)).ravel(), part, who


@pytest.mark.parametrize(
    ("gauge", "tolerance", "judgement"),
    [
        (0.02, None, GaugeJudgement.FIT),
        (0.12, None, GaugeJudgement.FIT_FOR_SOME),
        (0.80, None, GaugeJudgement.NOT_FIT),
        (0.02, 6.0, GaugeJudgement.FIT),
        (0.12, 6.0, GaugeJudgement.FIT_FOR_SOME),
        (0.80, 6.0, GaugeJudgement.NOT_FIT),
        (0.80, 200.0, GaugeJudgement.FIT_FOR_SOME),  # parts too alike to be told apart, limits far away
    ],
)
def test_the_judgement_follows_the_borders_of_practice(
    gauge: float, tolerance: float | None, judgement: GaugeJudgement
) -> None:
    study = crossed_gauge_study(*steady(20, gauge=gauge), tolerance=tolerance)
    assert study.judgement == judgement
    assert "fit up to 10 %, not fit above 30 %" in study.reason.sentence


def test_three_operators_leave_the_judgement_open_and_the_reason_says_what_would_settle_it() -> None:
    study = crossed_gauge_study(*published_study())
    assert study.judgement is GaugeJudgement.NOT_SHOWN
    assert study.reason.interval is not None
    assert study.reason.interval.low < 0.30 < study.reason.interval.high
    assert study.reason.settle.startswith("more operators: with 6 instead of 3")
    assert any("3 operators say little" in str(caution) for caution in study.cautions)


def test_a_missing_reading_is_refused_by_part_and_operator() -> None:
    values, parts, operators = published_study()
    with pytest.raises(NotEnoughData, match="part 10 by operator C has 2, where others have 3"):
        crossed_gauge_study(values[:-1], parts[:-1], operators[:-1])


def test_several_missing_cells_are_counted() -> None:
    values, parts, operators = published_study()
    kept = [i for i in range(90) if not (operators[i] == "B" and int(parts[i]) > 4 and i < 40)]
    with pytest.raises(NotEnoughData, match=r"part 5 by operator B has 2, .* \(and 3 more\)"):
        crossed_gauge_study(values[kept], [parts[i] for i in kept], [operators[i] for i in kept])


@pytest.mark.parametrize(
    ("values", "parts", "operators", "said"),
    [
        ([], [], [], "no readings"),
        ([1.0, 1.1, 1.2, 1.1], ["1"] * 4, ["A", "A", "B", "B"], "one part"),
        ([1.0, 1.1, 1.2], ["1", "2", "3"], ["A"] * 3, "one operator read every part once"),
        ([1.0] * 8, ["1", "1", "2", "2"] * 2, ["A"] * 4 + ["B"] * 4, "all readings are equal"),
    ],
)
def test_too_little_is_refused_with_a_remedy(
    values: list[float], parts: list[str], operators: list[str], said: str
) -> None:
    with pytest.raises(NotEnoughData, match=said) as refused:
        crossed_gauge_study(values, parts, operators)
    assert refused.value.remedy


def test_lists_of_unequal_length_are_refused() -> None:
    with pytest.raises(ImpossibleInput, match="must name one for each of 2 readings"):
        crossed_gauge_study([1.0, 2.0], ["1"], ["A", "B"])


def test_repeats_that_never_differ_are_answered_with_a_caution_and_no_interval() -> None:
    values = [1.0, 1.0, 1.1, 1.1, 2.0, 2.0, 2.0, 2.0, 3.0, 3.0, 3.1, 3.1]
    parts = ["1"] * 4 + ["2"] * 4 + ["3"] * 4
    study = crossed_gauge_study(values, parts, ["A", "A", "B", "B"] * 3)
    assert study.judgement is GaugeJudgement.NOT_SHOWN
    assert study.gauge_sd_interval is None
    assert any("too coarse" in str(caution) for caution in study.cautions)


def test_a_gauge_without_any_spread_tells_no_number_of_categories() -> None:
    study = crossed_gauge_study(
        [1.0, 1.0, 2.0, 2.0, 3.0, 3.0], ["1", "1", "2", "2", "3", "3"], ["A", "B"] * 3
    )
    assert study.gauge_sd == 0
    assert study.distinct_categories is None


@law(
    values=st.lists(st.sampled_from([-1.0, 0.0, 1e-6, 0.02, 4.0, 1000.0]), min_size=12, max_size=12),
    shape=st.sampled_from([(2, 2, 3), (3, 2, 2), (6, 1, 2), (3, 4, 1), (2, 3, 2)]),
    method=st.sampled_from(["analysis of variance", "average and range"]),
    tolerance=st.sampled_from([None, 0.01, 5.0]),
    examples=120,
)
def test_any_full_table_is_answered_without_a_number_that_is_none(
    values: list[float], shape: tuple[int, int, int], method: Any, tolerance: float | None
) -> None:
    part, who = (axis.ravel().astype(str).tolist() for axis in np.indices(shape)[:2])
    try:
        study = crossed_gauge_study(values, part, who, method=method, tolerance=tolerance)
    except NotEnoughData:
        return
    assert not [one for one in flat(asdict(study)) if isinstance(one, float) and isnan(one)]


def flat(thing: Any) -> list[Any]:
    if isinstance(thing, dict):
        return [one for value in thing.values() for one in flat(value)]
    if isinstance(thing, (list, tuple)):
        return [one for value in thing for one in flat(value)]
    return [thing]

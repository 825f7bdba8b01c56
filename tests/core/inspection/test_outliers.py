"""Outliers: the handbook's two examples, printed critical values, false alarms, the gauge's step, laws."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import strategies as st
from scipy import stats

from offtool.core.inspection.outliers import (
    critical_distance,
    grubbs_test,
    outliers_by_group,
    outlying,
    point_at_outliers,
)
from offtool.core.values import ImpossibleInput, NotEnoughData
from tests.core.laws import law
from tests.core.simulated import chance
from tests.labels import independent, published, remembered
from tests.published import numbers

GRUBBS = "NIST/SEMATECH e-Handbook 1.3.5.17.1"
ROSNER = "NIST/SEMATECH e-Handbook 1.3.5.17.3, as printed in public transcriptions"
# Uranium isotope readings of Tietjen and Moore 1972, as in the handbook; from memory.
URANIUM = [199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57]


def test_the_handbook_example_of_grubbs() -> None:
    found = grubbs_test(URANIUM)
    (step,) = found.steps
    assert found.positions == (7,)
    assert step.value == 245.57
    # The handbook cuts 2.46876 to 2.4687.
    assert int(step.statistic * 10_000) == 24687
    assert step.critical == remembered("2.1266", source=GRUBBS)
    above = grubbs_test(URANIUM, sides="above")
    assert above.positions == (7,)
    assert above.steps[0].critical == remembered("2.032", source=GRUBBS)
    assert grubbs_test(URANIUM, sides="below").positions == ()


@pytest.mark.parametrize(
    ("readings", "printed"),
    [(10, "2.290"), (30, "2.908"), (40, "3.036")],
)
def test_two_sided_critical_values_are_the_printed_ones(readings: int, printed: str) -> None:
    """The printed table strays by up to 0.001 from Student's t elsewhere (1.155 at 3, 2.709 at 20)."""
    expected = remembered(printed, source="Grubbs' values at 5 % two-sided, as in ISO 5725-2, table 5")
    assert critical_distance(readings, 0.05) == expected


R = ["3.118", "2.942", "3.179", "2.810", "2.815", "2.848", "2.279", "2.310", "2.101", "2.067"]
LAMBDA = ["3.158", "3.151", "3.143", "3.136", "3.128", "3.120", "3.111", "3.103", "3.094", "3.085"]


def test_rosners_example_has_three_though_the_first_two_hide_each_other() -> None:
    found = point_at_outliers(numbers("rosner_54.txt"), most=10)
    assert len(found.steps) == 10
    # The handbook cuts to three digits, 3.1189 to 3.118; half a digit up is the middle of what it means.
    for step, statistic, critical in zip(found.steps, R, LAMBDA, strict=True):
        assert step.statistic - 0.0005 == published(statistic, source=ROSNER)
        assert step.critical - 0.0005 == published(critical, source=ROSNER)
    assert [step.exceeds for step in found.steps] == [False, False, True] + [False] * 7
    assert [numbers("rosner_54.txt")[at] for at in found.positions] == [6.01, 5.42, 5.34]
    assert grubbs_test(numbers("rosner_54.txt")).positions == ()


def test_nothing_is_dropped_and_the_result_says_so() -> None:
    readings = numbers("rosner_54.txt")
    found = point_at_outliers(readings, most=10)
    assert len(readings) == found.readings == 54
    assert "not dropped" in found.cautions[0].text
    assert grubbs_test([1.0, 2.0, 3.0, 4.0]).cautions == ()


def test_unless_told_a_tenth_may_stand_out_and_one_of_few() -> None:
    rng = np.random.default_rng(1)
    for readings, most in ((3, 1), (24, 1), (25, 2), (60, 6), (3000, 100)):
        assert point_at_outliers(rng.normal(0, 1, readings)).most == most


@law(some=st.lists(st.integers(-1000, 1000), min_size=3, max_size=24))
def test_one_at_most_is_grubbs(some: list[int]) -> None:
    readings = np.array(some, dtype=float)
    assert point_at_outliers(readings, most=1).positions == grubbs_test(readings).positions


@pytest.mark.parametrize("readings", [5, 12, 40])
@pytest.mark.parametrize(("sides", "ends"), [("both", 2), ("below", 1), ("above", 1)])
def test_clean_readings_are_pointed_at_as_often_as_allowed(readings: int, sides: str, ends: int) -> None:
    draws = 4000
    rng = np.random.default_rng(readings)
    alarms = [bool(grubbs_test(rng.normal(0, 1, readings), sides=sides).positions) for _ in range(draws)]  # type: ignore[arg-type]
    assert np.mean(alarms) == pytest.approx(0.05, abs=chance(0.05, draws))


@pytest.mark.parametrize("readings", [3, 5, 12, 30])
@pytest.mark.parametrize("step", [0.1, 0.5, 1.0, 2.0])
def test_the_steps_of_a_coarse_gauge_raise_no_false_alarms(readings: int, step: float) -> None:
    """Rounded to `step` standard deviations: a single reading one step off equal ones is no outlier."""
    rng = np.random.default_rng(7)
    draws = 1500
    rounded = np.round(rng.normal(0, 1, (draws, readings)) / step) * step
    for known in (None, step):
        alarms = sum(bool(grubbs_test(row, resolution=known).positions) for row in rounded)
        assert alarms / draws <= 0.05 + chance(0.05, draws)


def test_without_the_step_a_coarse_gauge_would_raise_many() -> None:
    """What the allowance is for: five readings rounded to their own deviation."""
    rng = np.random.default_rng(7)
    rounded = np.round(rng.normal(0, 1, (3000, 5)))
    exact = sum(bool(grubbs_test(row, resolution=1e-9).positions) for row in rounded)
    assert exact / 3000 > 0.05 + chance(0.05, 3000)


def test_one_step_off_equal_readings_is_nothing_and_many_steps_are() -> None:
    assert grubbs_test([4.01, 4.01, 4.01, 4.01, 4.02]).positions == ()
    assert grubbs_test([4.01, 4.01, 4.01, 4.01, 4.02], resolution=0.01).positions == ()
    assert grubbs_test([4.01, 4.01, 4.01, 4.01, 4.31], resolution=0.01).positions == (4,)


samples = st.lists(st.integers(-300, 300), min_size=25, max_size=40).filter(lambda some: len(set(some)) > 1)


@law(some=samples, scale=st.sampled_from([0.25, 0.5, 2.0, 64.0]), shift=st.integers(-4096, 4096))
def test_another_unit_and_another_zero_change_nothing(some: list[int], scale: float, shift: int) -> None:
    """Powers of two, so that no reading is rounded on the way."""
    readings = np.array(some, dtype=float)
    one, other = (point_at_outliers(each, most=5) for each in (readings, scale * readings + shift))
    assert one.positions == other.positions
    assert [step.statistic for step in one.steps] == pytest.approx([step.statistic for step in other.steps])


@law(some=samples)
def test_the_order_of_the_readings_changes_nothing(some: list[int]) -> None:
    readings = np.array(some, dtype=float) + np.arange(len(some)) / 1024  # no two alike
    shuffled = np.random.default_rng(0).permutation(len(some))
    one, other = point_at_outliers(readings, most=5), point_at_outliers(readings[shuffled], most=5)
    assert {readings[at] for at in one.positions} == {readings[shuffled][at] for at in other.positions}


def test_the_farther_it_lies_the_surer_it_is_pointed_at() -> None:
    readings = list(stats.norm.ppf((np.arange(30) + 0.5) / 30))
    found = [len(point_at_outliers([*readings, far]).positions) for far in (2.0, 3.0, 4.0, 8.0, 100.0)]
    assert found == sorted(found)
    assert (found[0], found[-1]) == (0, 1)


def test_a_group_is_judged_by_itself_at_the_shared_significance() -> None:
    rng = np.random.default_rng(3)
    values = rng.normal(np.repeat([4.0, 7.0, 90.0], 12), 0.01)
    values[17] += 0.2
    groups = [name for name in ("peg 1", "peg 2", "body") for _ in range(12)]
    found = outliers_by_group(values, groups)
    assert (found.positions, found.groups_tested) == ((17,), 3)
    for at, name in ((0, "peg 1"), (12, "peg 2"), (24, "body")):
        alone = grubbs_test(values[at : at + 12], significance=0.05 / 3)
        assert bool(alone.positions) == (name == "peg 2")


def test_over_many_groups_clean_readings_raise_an_alarm_as_often_as_allowed() -> None:
    rng = np.random.default_rng(11)
    codes = np.repeat(np.arange(50), 10)
    draws = 1500
    alarms = [outlying(rng.normal(0, 1, 500), codes, 50)[0].any() for _ in range(draws)]
    assert np.mean(alarms) == pytest.approx(0.05, abs=chance(0.05, draws))


@law(groups=st.lists(st.lists(st.integers(-50, 50), min_size=1, max_size=9), min_size=1, max_size=6))
def test_the_array_side_is_grubbs_group_by_group(groups: list[list[int]]) -> None:
    values = np.concatenate([np.array(group, dtype=float) for group in groups])
    codes = np.repeat(np.arange(len(groups)), [len(group) for group in groups])
    mask, tested = outlying(values, codes, len(groups))
    able = [len(group) >= 3 and len(set(group)) > 1 for group in groups]
    assert tested == sum(able)
    for code, group in enumerate(groups):
        alone = grubbs_test(group, significance=0.05 / tested).positions if able[code] else ()
        assert mask[codes == code].sum() == len(alone)


def test_groups_that_cannot_be_tested_are_passed_over() -> None:
    found = outliers_by_group([1.0, 9.0, 4.0, 4.0, 4.0], ["few", "few", "flat", "flat", "flat"])
    assert (found.positions, found.groups, found.groups_tested) == ((), 2, 0)
    assert outliers_by_group([], []).groups == 0
    with pytest.raises(ImpossibleInput, match="groups"):
        outliers_by_group([1.0, 2.0], ["a"])


def test_one_outlier_of_each_group_is_found_among_a_million_readings() -> None:
    rng = np.random.default_rng(5)
    codes = rng.integers(0, 3000, 1_000_000)
    values = rng.normal(4, 0.01, 1_000_000).round(3)
    values[::10_000] += 0.2
    mask, tested = outlying(values, codes, 3000)
    assert (tested, mask[::10_000].sum()) == (3000, len(set(codes[::10_000])))


def test_equal_readings_have_no_outlier() -> None:
    for found in (grubbs_test([4.0] * 5), point_at_outliers([4.0] * 30)):
        assert (found.positions, found.steps) == ((), ())
        assert "too coarse" in found.cautions[0].text


def test_too_few_or_too_many_are_refused_in_words() -> None:
    for few in ([], [4.0], [4.0, 4.1]):
        with pytest.raises(NotEnoughData, match="stands out"):
            grubbs_test(few)
        with pytest.raises(NotEnoughData, match="stands out"):
            point_at_outliers(few)
    with pytest.raises(ImpossibleInput, match="half"):
        point_at_outliers([float(one) for one in range(10)], most=6)
    with pytest.raises(ImpossibleInput, match="finite"):
        grubbs_test([1.0, float("nan"), 2.0])


@pytest.mark.parametrize("readings", [3, 10, 200])
def test_the_critical_value_is_students(readings: int) -> None:
    t2 = stats.t.isf(0.01 / (2 * readings), readings - 2) ** 2
    by_hand = (readings - 1) / np.sqrt(readings) * np.sqrt(t2 / (readings - 2 + t2))
    assert critical_distance(readings, 0.01) == independent(by_hand, way="scipy.stats.t")

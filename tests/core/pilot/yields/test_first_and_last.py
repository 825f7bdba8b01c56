"""First hour against last: R's tests, a printed interval, laws."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import strategies as st
from scipy import stats

from offtool.core.inspection.attributes import share_interval
from offtool.core.pilot.yields import FirstAndLast, first_hour_against_last
from offtool.core.pilot.yields.halves import newcombe, two_sided_p
from offtool.core.values import ImpossibleInput
from tests.core.laws import law
from tests.core.simulated import chance
from tests.labels import independent, remembered

FIRST_S, LAST_S = [41.0, 38.5, 44.2, 39.9, 36.1], [30.2, 31.8, 29.5, 33.0, 30.9]


def hours(tried: int, good: int, tried_last: int, good_last: int, **more: object) -> FirstAndLast:
    minutes = {"minutes_first": 60.0, "minutes_last": 60.0}
    return first_hour_against_last(tried, good, tried_last, good_last, **{**minutes, **more})  # type: ignore[arg-type]


def test_yield_and_times_are_compared_as_by_r() -> None:
    found = hours(48, 39, 71, 68, times_first_s=FIRST_S, times_last_s=LAST_S)
    # R 4.2.2: fisher.test(matrix(c(39, 9, 68, 3), 2))$p.value
    assert found.p_same == independent(0.01334082223271, way="R, fisher.test", rel=1e-9)
    assert found.times is not None
    # R 4.2.2: t.test(last, first)
    ends = (found.times.interval_s.low, found.times.interval_s.high)
    assert ends == independent((-12.537143607812, -5.182856392188), way="R, t.test", rel=1e-11)
    assert found.times.p_same == independent(0.001241445999324, way="R, t.test", rel=1e-9)
    assert found.times.degrees_of_freedom == independent(5.595162513193, way="R, t.test", rel=1e-11)
    assert (found.change, found.times.change) == ("better", "better")
    assert (found.rate_first_per_h, found.rate_last_per_h) == (48.0, 71.0)


def test_more_fisher_tests_of_r() -> None:
    # R 4.2.2: fisher.test(matrix(c(30, 2, 25, 9), 2)); fisher.test(matrix(c(300, 20, 250, 9), 2))
    assert two_sided_p(30, 32, 25, 34) == independent(0.04520679303148, way="R, fisher.test", rel=1e-9)
    assert two_sided_p(300, 320, 250, 259) == independent(0.1790096098686, way="R, fisher.test", rel=1e-9)


def test_the_printed_interval_of_a_difference() -> None:
    found = newcombe(share_interval(48, 80), share_interval(56, 70), 0.95)
    source = "Newcombe 1998, Statistics in Medicine 17:873, table II, method 10, 56/70 against 48/80"
    assert found.low == remembered("0.0524", source=source)
    assert found.high == remembered("0.3339", source=source)


@law(tried=st.integers(1, 80), good=st.floats(0, 1), tried_last=st.integers(1, 80), good_last=st.floats(0, 1))
def test_the_p_is_the_librarys(tried: int, good: float, tried_last: int, good_last: float) -> None:
    x, y = round(good * tried), round(good_last * tried_last)
    library = stats.fisher_exact([[x, tried - x], [y, tried_last - y]]).pvalue
    assert two_sided_p(x, tried, y, tried_last) == pytest.approx(library, rel=1e-7)


@law(tried=st.integers(1, 80), good=st.floats(0, 1), tried_last=st.integers(1, 80), good_last=st.floats(0, 1))
def test_the_hours_exchanged_mirror_the_answer(
    tried: int, good: float, tried_last: int, good_last: float
) -> None:
    x, y = round(good * tried), round(good_last * tried_last)
    one, other = hours(tried, x, tried_last, y), hours(tried_last, y, tried, x)
    assert one.p_same == pytest.approx(other.p_same)
    assert one.difference == pytest.approx(-other.difference)
    assert one.difference_interval.low == pytest.approx(-other.difference_interval.high)
    assert {one.change, other.change} in ({"better", "worse"}, {"not shown"})
    assert one.difference_interval.low - 1e-12 <= one.difference <= one.difference_interval.high + 1e-12


def test_a_change_is_seldom_said_where_there_is_none() -> None:
    drawn = np.random.default_rng(4).binomial(40, 0.9, (3000, 2))
    rows, counts = np.unique(drawn, axis=0, return_counts=True)
    said = [two_sided_p(int(x), 40, int(y), 40) <= 0.05 for x, y in rows]
    assert float(np.average(said, weights=counts)) <= 0.05 + chance(0.05, 3000)


def test_equal_times_differ_by_nothing_and_unequal_ones_by_all() -> None:
    same = hours(10, 9, 10, 9, times_first_s=[30.0, 30.0], times_last_s=[30.0, 30.0]).times
    assert same is not None
    assert (same.p_same, same.change, same.difference_s) == (1.0, "not shown", 0.0)
    other = hours(10, 9, 10, 9, times_first_s=[30.0, 30.0], times_last_s=[31.0, 31.0]).times
    assert other is not None
    assert (other.p_same, other.change, other.difference_s) == (0.0, "worse", 1.0)


def test_without_times_the_rate_is_one_reading_and_says_so() -> None:
    found = hours(48, 39, 71, 68)
    assert found.times is None
    assert "one reading of the rate" in found.cautions[0].text
    assert hours(48, 39, 71, 68, times_first_s=[40.0], times_last_s=LAST_S).times is None


@pytest.mark.parametrize(
    ("counts", "argument"), [((48, 49, 71, 68), "good_first"), ((48, 39, 71, 72), "good_last")]
)
def test_more_good_than_tried_is_refused_by_hour(counts: tuple[int, ...], argument: str) -> None:
    with pytest.raises(ImpossibleInput, match="at most the") as refused:
        hours(*counts)
    assert refused.value.argument == argument

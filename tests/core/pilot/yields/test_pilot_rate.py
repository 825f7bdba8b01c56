"""The rate of a pilot against Student's interval worked out by hand, and the laws it keeps."""

from __future__ import annotations

from math import inf, sqrt

import pytest
from hypothesis import strategies as st

from offtool.core.pilot import pilot_rate
from offtool.core.values import NotEnoughData, Verdict
from tests.core.laws import law
from tests.labels import independent, published

HOURS = st.lists(st.integers(0, 400), min_size=2, max_size=12)


def test_three_hours_have_the_interval_of_the_table_of_t() -> None:
    found = pilot_rate([28, 31, 33], planned_per_h=40.0)
    # mean 92 / 3, s = sqrt(19 / 3); NIST/SEMATECH e-Handbook 1.3.6.7.2: t(0.975, 2) = 4.303
    t = found.interval.half_width / sqrt(19 / 3 / 3)
    assert t == published("4.303", source="NIST/SEMATECH e-Handbook, table 1.3.6.7.2, 2 degrees of freedom")
    assert found.per_h == independent(92 / 3, way="by hand")
    assert found.verdict is Verdict.FAILS


def test_the_plan_holds_below_the_interval_and_is_open_inside_it() -> None:
    assert pilot_rate([28, 31, 33], planned_per_h=24.0).verdict is Verdict.HOLDS
    assert pilot_rate([28, 31, 33], planned_per_h=25.0).verdict is Verdict.NOT_SHOWN
    assert pilot_rate([28, 31, 33]).verdict is None


def test_one_hour_shows_nothing_either_way() -> None:
    found = pilot_rate([118], planned_per_h=1.0)
    assert found.verdict is Verdict.NOT_SHOWN
    assert found.interval.high == inf
    assert "one hour has no interval" in found.cautions[0].text
    with pytest.raises(NotEnoughData, match="no hour was counted"):
        pilot_rate([])


@law(hours=HOURS, more=st.integers(1, 50))
def test_as_many_more_in_each_hour_move_the_rate_by_that(hours: list[int], more: int) -> None:
    before, after = pilot_rate(hours), pilot_rate([one + more for one in hours])
    assert after.per_h - before.per_h == pytest.approx(more)
    assert after.interval.high - after.per_h == pytest.approx(before.interval.high - before.per_h)


@law(hours=HOURS)
def test_the_order_of_the_hours_says_nothing_of_their_mean(hours: list[int]) -> None:
    assert pilot_rate(hours).interval.high == pytest.approx(pilot_rate(hours[::-1]).interval.high)

"""Station times: R's answers, how often the limits hold, and what few times say."""

from __future__ import annotations

from math import inf

import numpy as np
import pytest
from hypothesis import strategies as st

from offtool.core.pilot.yields import station_times
from offtool.core.values import ImpossibleInput, NotEnoughData, Verdict
from tests.core.laws import law
from tests.core.simulated import chance
from tests.labels import independent

TEN = [23.1, 25.4, 22.8, 24.9, 31.2, 23.6, 24.4, 22.9, 26.0, 24.1]


def test_mean_and_nine_tenths_are_those_of_r() -> None:
    found = station_times(TEN, 24.0, takt_s=30.0)
    # R 4.2.2: t.test(x)$conf.int; quantile(x, .9)
    ends = (found.interval_s.low, found.interval_s.high)
    assert ends == independent((23.06606872006, 26.61393127994), way="R, t.test", rel=1e-11)
    assert found.slow_s == independent(26.52, way="R, quantile")
    assert (found.against_plan, found.against_takt) == (Verdict.NOT_SHOWN, Verdict.HOLDS)
    assert found.share_over_takt == 0.1
    assert found.cautions == ()


@pytest.mark.parametrize(
    ("plan", "verdict"), [(27.0, Verdict.HOLDS), (24.0, Verdict.NOT_SHOWN), (23.0, Verdict.FAILS)]
)
def test_a_plan_holds_when_the_whole_interval_does(plan: float, verdict: Verdict) -> None:
    assert station_times(TEN, plan).against_plan is verdict
    assert str(verdict) in station_times(TEN, plan).words


def test_one_time_judges_nothing_and_says_so() -> None:
    found = station_times([24.0], 30.0)
    assert (found.interval_s.low, found.interval_s.high) == (0.0, inf)
    assert found.against_plan is Verdict.NOT_SHOWN
    assert "one time has no interval" in found.cautions[0].text


def test_fewer_than_ten_are_said() -> None:
    assert "at least 10 cycles" in station_times(TEN[:9], 24.0).cautions[0].text


def test_no_time_is_no_answer() -> None:
    with pytest.raises(NotEnoughData, match="no times"):
        station_times([], 24.0)
    with pytest.raises(ImpossibleInput, match="must be above 0"):
        station_times([24.0, 0.0], 24.0)


@pytest.mark.parametrize("cycles", [10, 36, 80])
def test_the_nine_tenths_time_lies_within_its_limits_as_often_as_said(cycles: int) -> None:
    """Skewed times, whose nine-tenths time is known: e^1.2816 of the median."""
    drawn = np.random.default_rng(2).lognormal(0, 1, (3000, cycles))
    true = float(np.exp(1.2815515655446004))
    found = [station_times(row, 1.0).slow_interval_s for row in drawn]
    too_high = np.mean([one.low > true for one in found])
    too_low = np.mean([one.high < true for one in found])
    assert too_high <= 0.025 + chance(0.025, 3000)
    assert too_low <= 0.025 + chance(0.025, 3000)


def test_thirty_six_times_bound_the_slow_end_and_thirty_five_do_not() -> None:
    """0.9^35 = 0.0250 just above 0.025, 0.9^36 below: the largest of 36 is a high end at 95 %."""
    assert 0.9**35 > 0.025 > 0.9**36
    times = np.linspace(20, 30, 36)
    assert station_times(times[:35], 24.0).slow_interval_s.high == inf
    assert station_times(times, 24.0).slow_interval_s.high == 30.0


@law(
    times=st.lists(st.floats(5, 100), min_size=2, max_size=40),
    factor=st.floats(0.1, 10),
    plan=st.floats(5, 100),
)
def test_minutes_or_seconds_give_the_same_verdict(times: list[float], factor: float, plan: float) -> None:
    one = station_times(times, plan)
    other = station_times([factor * time for time in times], factor * plan)
    assert other.mean_s == pytest.approx(factor * one.mean_s)
    assert other.slow_s == pytest.approx(factor * one.slow_s)
    if min(abs(plan - one.interval_s.low), abs(plan - one.interval_s.high)) > 1e-6:
        assert one.against_plan is other.against_plan

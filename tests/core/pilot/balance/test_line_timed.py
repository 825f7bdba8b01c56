"""How sure the rate of a line is by its readings: against the textbook interval, against draws, and laws."""

from __future__ import annotations

from dataclasses import replace
from math import sqrt

import numpy as np
import pytest
from scipy import stats

from offtool.core.pilot.balance import (
    LineBalance,
    LineGiven,
    LineStation,
    LineTask,
    best_rate,
    line_as_placed,
    timed_rate,
)
from offtool.core.values import ImpossibleInput
from tests.labels import independent, remembered


def alone(time_s: float, spread_s: float | None, readings: int, people: int = 1) -> LineBalance:
    line = LineGiven(
        tasks=(LineTask(task="a", time_s=time_s, spread_s=spread_s, readings=readings),), people=people
    )
    return best_rate(line, stations=1, workers=1)


def test_one_task_has_the_interval_of_its_mean() -> None:
    found = timed_rate(alone(24.0, 2.0, 10), confidence=0.95)
    half = stats.t.ppf(0.975, 9) * 2.0 / sqrt(10)
    assert found.interval is not None
    assert found.interval.low == independent(3600 / (24 + half), way="t interval of a mean")
    assert found.interval.high == independent(3600 / (24 - half), way="t interval of a mean")


def test_the_t_value_is_the_printed_one() -> None:
    """The half width over s / sqrt(n) at 95 % and 9 degrees of freedom."""
    found = timed_rate(alone(24.0, 2.0, 10)).stations[0].interval
    assert found is not None
    source = "NIST/SEMATECH e-Handbook 1.3.6.7.2, critical values of Student's t, 9 degrees, 0.975"
    assert found.half_width / (2.0 / sqrt(10)) == remembered("2.262", source=source)


def test_two_tasks_have_the_interval_of_welch_and_satterthwaite() -> None:
    """A sum of two means has the standard error and freedom of a difference of two means."""
    rng = np.random.default_rng(3)
    first, second = rng.normal(10, 1, 8), rng.normal(14, 3, 12)
    tasks = tuple(
        LineTask(task=name, time_s=float(x.mean()), spread_s=float(x.std(ddof=1)), readings=len(x))
        for name, x in (("a", first), ("b", second))
    )
    found = timed_rate(best_rate(LineGiven(tasks=tasks), stations=1, workers=1)).stations[0].interval
    theirs = stats.ttest_ind(first, second, equal_var=False).confidence_interval(0.95)
    assert found is not None
    assert found.half_width == independent((theirs.high - theirs.low) / 2, way="scipy's Welch interval")


def test_the_interval_holds_the_true_rate_as_often_as_it_says() -> None:
    """Three stations of one task: all means drawn together 1,500 times."""
    rng, holds, draws, n = np.random.default_rng(5), 0, 1500, 6
    true, spread = np.array([20.0, 21.0, 19.0]), 2.0
    line = LineGiven(tasks=tuple(LineTask(task=str(i), time_s=t, station=i) for i, t in enumerate(true, 1)))
    placed = line_as_placed(line, rate_per_h=150, workers=1)
    for x in rng.normal(true, spread, (draws, n, 3)):
        tasks = tuple(
            replace(one, time_s=m, spread_s=s, readings=n)
            for one, m, s in zip(line.tasks, x.mean(0), x.std(0, ddof=1), strict=True)
        )
        loads = tuple(
            replace(one, busy_s=m, work_s=m) for one, m in zip(placed.stations, x.mean(0), strict=True)
        )
        found = timed_rate(replace(placed, line=replace(line, tasks=tasks), stations=loads))
        holds += found.interval is not None and 3600 / 21.0 in found.interval
    assert holds / draws >= 0.95 - 3 * sqrt(0.95 * 0.05 / draws)


def test_more_readings_make_it_surer_and_more_people_share_it() -> None:
    few, many = (timed_rate(alone(24.0, 2.0, n)).interval for n in (5, 50))
    assert few is not None
    assert many is not None
    assert few.low < many.low < many.high < few.high
    two = timed_rate(alone(24.0, 2.0, 10, people=2)).stations[0].interval
    one = timed_rate(alone(24.0, 2.0, 10)).stations[0].interval
    assert one is not None
    assert two is not None
    assert two.half_width == independent(one.half_width / 2, way="each person has every second piece")


@pytest.mark.parametrize(("spread", "readings"), [(None, 10), (2.0, 0), (2.0, 1)])
def test_without_spread_or_readings_there_is_none_and_the_task_is_named(
    spread: float | None, readings: int
) -> None:
    found = timed_rate(alone(24.0, spread, readings))
    assert found.interval is None
    assert found.not_timed == ("a",)


def test_a_task_that_never_varies_leaves_a_point() -> None:
    found = timed_rate(alone(24.0, 0.0, 10)).interval
    assert found is not None
    assert (found.low, found.high) == (150, 150)


def test_a_confidence_that_is_none_is_refused() -> None:
    with pytest.raises(ImpossibleInput):
        timed_rate(alone(24.0, 2.0, 10), confidence=1.0)


def test_a_placed_line_is_told_against_the_rate_asked_for() -> None:
    tasks = tuple(LineTask(task=n, time_s=t, station=k) for k, (n, t) in enumerate((("a", 12), ("b", 18)), 1))
    found = line_as_placed(LineGiven(tasks=tasks), rate_per_h=150, workers=1)
    assert (found.cycle_s, found.rate_per_h, found.value) == (24, 200, 18)
    assert [one.idle_s for one in found.stations] == [12, 6]
    slow = line_as_placed(LineGiven(tasks=tasks), rate_per_h=300, workers=1)
    assert (slow.cycle_s, slow.rate_per_h) == (12, 200)
    assert [one.idle_s for one in slow.stations] == [0, 0]


def test_a_placed_line_needs_all_places_and_keeps_the_order() -> None:
    free = LineGiven(tasks=(LineTask(task="a", time_s=3),))
    with pytest.raises(ImpossibleInput, match="station of a"):
        line_as_placed(free, rate_per_h=100)
    back = LineGiven(
        tasks=(
            LineTask(task="a", time_s=3, station=2),
            LineTask(task="b", time_s=3, station=1, after=("a",)),
        ),
        stations=(LineStation(station=1, people=1),),
    )
    with pytest.raises(ImpossibleInput, match="station of b"):
        line_as_placed(back, rate_per_h=100)

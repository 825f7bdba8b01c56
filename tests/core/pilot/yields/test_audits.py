"""Audits of a running line: slope and alarm against other ways to reckon them, verdicts, laws."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import strategies as st
from scipy import stats

from offtool.core.pilot import judge_audits
from offtool.core.pilot.yields.audits import LEAST_READINGS
from offtool.core.values import ImpossibleInput, NotEnoughData, Verdict
from tests.core.laws import law
from tests.labels import independent, practice

PULLS = [118.0, 121, 115, 112, 116, 109, 108, 104, 107, 101]
HOURS = [1, 1, 2, 2, 3, 3, 4, 4, 5, 5]
STEADY = [100.0, 103, 98, 101, 99, 102, 100, 97, 101, 99]


def test_the_drift_is_that_of_a_straight_line_through_the_readings() -> None:
    found = judge_audits(PULLS, hours=HOURS, lower=70.0).drift
    line = stats.linregress(HOURS, PULLS)
    assert found is not None
    assert found.per_hour == independent(line.slope, way="scipy.stats.linregress")
    assert found.p_none == independent(line.pvalue, way="scipy.stats.linregress")
    reach = stats.t.ppf(0.975, 8) * line.stderr
    assert found.interval.half_width == independent(reach, way="scipy.stats.t", rel=1e-9)
    assert found.change == "falls"
    at_end = line.intercept + 5 * line.slope
    assert found.hours_left == independent((70 - at_end) / line.slope, way="the line carried on to 70 N")


def test_the_alarm_is_raised_once_in_as_many_hours_as_said_while_nothing_changed() -> None:
    """Hours of four pulls drawn from the release itself."""
    random = np.random.default_rng(5)
    drawn = random.normal(117.0, 7.0, (4000, 4))
    hours = np.repeat(np.arange(1, 4001), 4)
    found = judge_audits(
        drawn.ravel(), hours=hours, lower=0.0, released_mean=117.0, released_sd=7.0,
        audits_between_false_alarms=50.0,
    )  # fmt: skip
    # 80 of 4000 are expected, with a standard deviation of 8.9
    assert len(found.alarms) == independent(80, way="4000 / 50, within four standard deviations", within=36)


def test_a_weaker_weld_is_told_by_the_hour_in_which_it_shows() -> None:
    found = judge_audits(PULLS, hours=HOURS, lower=70.0, released_mean=117.0, released_sd=7.0)
    assert [one.hour for one in found.alarms] == [5]
    # mean 104 of two against 117 - 2.5758 x 7 / sqrt(2), z of one in 200
    assert found.alarms[0].alarm_below == independent(117 - 2.575829304 * 7 / 2**0.5, way="by hand", rel=1e-9)
    assert found.verdict is Verdict.NOT_SHOWN


@pytest.mark.parametrize(
    ("values", "limits", "verdict"),
    [
        (STEADY, {"lower": 70.0}, Verdict.HOLDS),
        (STEADY, {"lower": 98.0}, Verdict.FAILS),
        (STEADY, {"upper": 102.5}, Verdict.FAILS),
        (STEADY, {"lower": 90.0, "upper": 110.0}, Verdict.HOLDS),
        (STEADY[:5], {"lower": 70.0}, Verdict.NOT_SHOWN),
    ],
)
def test_the_verdict_follows_what_lies_outside_and_how_many_there_are(
    values: list[float], limits: dict[str, float], verdict: Verdict
) -> None:
    assert judge_audits(values, **limits).verdict is verdict


def test_a_drift_away_from_the_only_limit_runs_out_of_nothing() -> None:
    found = judge_audits(PULLS, hours=HOURS, upper=200.0)
    assert found.drift is not None
    assert found.drift.hours_left is None
    assert found.verdict is Verdict.HOLDS


def test_few_readings_and_unsaid_hours_are_said() -> None:
    found = judge_audits(STEADY[:5], lower=70.0)
    assert [one.text for one in found.cautions] == [
        "5 readings: at least 10 over a run are usual",
        "the hours are not said: whether it drifts cannot be seen",
    ]
    assert practice("10") == LEAST_READINGS
    assert found.drift is None


@pytest.mark.parametrize(
    ("given", "error", "said"),
    [
        ({"values": [], "lower": 1.0}, NotEnoughData, "nothing was pulled or turned"),
        ({"values": [1.0]}, ImpossibleInput, "give at least one limit"),
        ({"values": [1.0], "lower": 2.0, "upper": 1.0}, ImpossibleInput, "must be below the upper limit"),
        ({"values": [1.0, 2.0], "hours": [1], "lower": 0.0}, ImpossibleInput, "one for each value"),
    ],
)
def test_what_cannot_be_is_named(given: dict[str, Any], error: type[Exception], said: str) -> None:
    with pytest.raises(error, match=said):
        judge_audits(**given)


@law(
    values=st.lists(st.floats(1, 500), min_size=3, max_size=30),
    shift=st.floats(-300, 300),
    seed=st.integers(0, 1000),
)
def test_limits_that_move_with_the_readings_change_nothing(
    values: list[float], shift: float, seed: int
) -> None:
    hours = np.random.default_rng(seed).integers(1, 6, len(values)).tolist()
    first = judge_audits(values, hours=hours, lower=50.0)
    moved = judge_audits([one + shift for one in values], hours=hours, lower=50.0 + shift)
    assert first.outside.seen == pytest.approx(moved.outside.seen, abs=1)  # a reading at the limit may round
    assert moved.mean - first.mean == pytest.approx(shift, abs=1e-9)
    assert moved.sd == pytest.approx(first.sd, abs=1e-9)

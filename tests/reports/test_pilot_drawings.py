"""The drawings of a pilot: marks stand where their numbers are, and words say the same."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from offtool.core.pilot import judge_audits, ramp_up, rank_defects, rolled_yield, station_times
from offtool.core.values import Interval, Verdict
from offtool.reports.audit_drawing import draw_audit
from offtool.reports.axes import Scale
from offtool.reports.pilot_bars import (
    cost_scale,
    draw_cost_bar,
    draw_time_bar,
    draw_yield_bar,
    side_by_side,
    time_scale,
)
from offtool.reports.pilot_hours_drawing import draw_pilot_hours
from offtool.reports.ramp_drawing import draw_ramp, shown_days
from offtool.steps.pilot_found import AuditSeen, HourSeen, StationTimed
from tests.reports import drawn as taken

SCALE = Scale(0.5, 1.0, 6.0, 234.0)
HOURS = tuple(
    HourSeen(hour=hour, good=good, per_h=float(good), why_not="the line fills" if hour == 1 else "")
    for hour, good in enumerate((47, 112, 114, 115), start=1)
)
RAMP = ramp_up(
    20_000, start_per_h_low=52.0, start_per_h_high=60.0, planned_per_h=120.0, learning_low=0.82,
    learning_high=0.9, made_before=380, hours_per_day=8.0, start_yield_low=0.84, start_yield_high=0.92,
    planned_yield=0.98, days_to_half=4.0, days=60,
)  # fmt: skip
DAYS = [date(2026, 5, 4) + timedelta(days=day) for day in range(60)]


def timed(times: list[float], *, people: int = 1) -> StationTimed:
    mean = sum(times) / len(times)
    return StationTimed(
        station="paint", number=2, task="", people=people, cycles=len(times), mean_s=mean,
        times=station_times(times, 24.0, takt_s=30.0 * people), per_h=3600 / mean * people, operators=(),
    )  # fmt: skip


def test_a_yield_stands_on_its_interval_and_below_the_plan_is_shaded() -> None:
    yields = rolled_yield(["paint"], [125], [107], [15], planned_first=0.9)
    first = yields.first
    drawn = taken.drawn(draw_yield_bar(SCALE, first.share, first.interval, 0.9, first.verdict, "paint"))
    (mean,), (limit,), (outside,) = (drawn.named(name) for name in ("mean", "limit", "outside"))
    assert mean.left == pytest.approx(SCALE.at(first.interval.low), abs=0.1)
    assert mean.right == pytest.approx(SCALE.at(first.interval.high), abs=0.1)
    assert limit.middle == pytest.approx(SCALE.at(0.9), abs=0.1)
    assert outside.right == pytest.approx(limit.middle, abs=0.1)


@pytest.mark.parametrize("verdict", list(Verdict))
def test_each_verdict_has_a_mark_of_its_own(verdict: Verdict) -> None:
    ends = Interval(low=0.8, high=0.9, confidence=0.95)
    drawn = draw_yield_bar(SCALE, 0.85, ends, 0.88, verdict, "x")
    others = [draw_yield_bar(SCALE, 0.85, ends, 0.88, one, "x") for one in Verdict if one is not verdict]
    assert drawn not in others


def test_times_of_two_people_side_by_side_are_drawn_for_each_piece_that_leaves() -> None:
    one, two = timed([24.0, 26.0, 25.0]), timed([48.0, 52.0, 50.0], people=2)
    assert side_by_side(two) == pytest.approx(2.0)
    scale = time_scale([one, two])
    alone, both = (taken.drawn(draw_time_bar(scale, each, "x")).named("mean")[0] for each in (one, two))
    assert alone.middle == pytest.approx(both.middle, abs=0.1)


def test_what_a_defect_costs_is_as_long_as_its_cost() -> None:
    ranking = rank_defects(["a", "b"], [10, 5], [10, 5], [0, 0], piece_cost=1.0, minute_cost=0.0)
    scale = cost_scale(ranking.defects)
    long, short = (
        taken.drawn(draw_cost_bar(scale, one, one.defect)).named("cost")[0] for one in ranking.defects
    )
    assert long.right - long.left == pytest.approx(2 * (short.right - short.left), abs=0.3)


def test_hours_that_do_not_count_are_hatched_and_said() -> None:
    drawn = draw_pilot_hours(HOURS, 150.0)
    assert drawn.count('class="hatch"') == 1
    assert "hour 1: 47 good, 47 an hour, does not count: the line fills" in drawn
    assert "150 an hour planned" in drawn
    assert "planned" not in draw_pilot_hours(HOURS, None).split("aria-label")[1].split('"')[1]


def test_an_hour_with_an_alarm_is_crossed_and_a_sound_one_is_a_dot() -> None:
    judged = judge_audits(
        [118.0, 121, 115, 112, 116, 109, 108, 104, 107, 101], hours=[1, 1, 2, 2, 3, 3, 4, 4, 5, 5],
        lower=70.0, released_mean=117.0, released_sd=7.0,
    )  # fmt: skip
    seen = AuditSeen(
        kind="seam", code="torso", name="torso", measure="pull", unit="N", decimals=0, readings=10,
        judged=judged, why_not="",
    )  # fmt: skip
    drawn = draw_audit(seen, judged)
    assert drawn.count("<circle") == 4
    assert "hour 5: 2 read, mean 104 N, 101 to 107, below what an unchanged weld gives" in drawn


def test_the_band_of_a_ramp_holds_its_middle_and_ends_after_the_latest_day() -> None:
    drawn = taken.drawn(draw_ramp(RAMP, DAYS))
    (band,), (middle,) = drawn.named("band"), drawn.named("middle")
    assert band.left == pytest.approx(middle.left)
    assert band.right == pytest.approx(middle.right)
    tops = [min(y for x, y in band.places if x == place) for place, _ in middle.places]
    assert all(top <= y for top, (_, y) in zip(tops, middle.places, strict=True))
    assert len(shown_days(RAMP)) > RAMP.latest_day
    assert "earliest" in draw_ramp(RAMP, DAYS)


def test_no_drawing_leaves_its_view() -> None:
    judged = judge_audits([70.0, 118.0, 75.0], hours=[1, 1, 2], lower=90.0, upper=100.0)
    seen = AuditSeen(
        kind="joint", code="hip", name="hip", measure="torque", unit="N·m", decimals=2, readings=3,
        judged=judged, why_not="",
    )  # fmt: skip
    few = timed([24.0])
    for drawing in (
        draw_ramp(RAMP, DAYS),
        draw_pilot_hours(HOURS, 400.0),
        draw_audit(seen, judged),
        draw_time_bar(time_scale([few]), few, "x"),
    ):
        assert taken.drawn(drawing).leaves_its_view() == []

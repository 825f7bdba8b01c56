"""Press time and melt of a trial: sums that add up, and an hour in a practised shop."""

from __future__ import annotations

import pytest
from hypothesis import strategies as st

from offtool.core.planning.shots import TimeOn, press_time, shots_to_run, trial_material, trial_time
from offtool.core.planning.shots.press_time import NO_WAY_BACK, minutes_for
from offtool.core.values import ImpossibleInput
from tests.core.laws import law
from tests.labels import independent, practice


def test_a_tool_change_and_a_short_trial_take_about_an_hour_in_a_practised_shop() -> None:
    """About an hour: from three quarters to one and a half."""
    hour = practice("60").value
    for cycle_s in (10.0, 20.0, 30.0):
        run = shots_to_run(["first look"], cycle_s=cycle_s).shots
        minutes = trial_time(run, cycle_s=cycle_s, set_up_min=practice("45").value).minutes
        assert 0.75 * hour <= minutes <= 1.5 * hour


def test_a_set_up_that_nobody_gave_is_a_range_that_says_so() -> None:
    (line, *_) = trial_time(50, cycle_s=20.0).lines
    assert line.what is TimeOn.SET_UP
    assert line.least == practice("45")
    assert line.most == practice("120")
    assert "not given" in line.because


@law(
    shots=st.integers(1, 5000),
    cycle=st.floats(1, 200),
    minutes=st.lists(st.floats(0, 500), min_size=4, max_size=4),
)
def test_the_minutes_are_the_sum_of_what_they_are_spent_on(
    shots: int, cycle: float, minutes: list[float]
) -> None:
    set_up, there, back, way_back = minutes
    found = trial_time(
        shots,
        cycle_s=cycle,
        set_up_min=set_up,
        colour_there_min=there,
        colour_back_min=back,
        way_back_min=way_back,
    )
    by_hand = set_up + there + back + way_back + shots * cycle / 60
    assert found.minutes == independent(by_hand, way="sum by hand")
    assert found.hours == independent(by_hand / 60, way="sum by hand")
    assert found.least <= found.minutes <= found.most
    assert all(one.most > 0 for one in found.lines)


def test_a_way_back_that_is_not_counted_is_said() -> None:
    assert NO_WAY_BACK in trial_time(50, cycle_s=20.0).cautions
    assert NO_WAY_BACK not in trial_time(50, cycle_s=20.0, way_back_min=45.0).cautions


def test_the_slowest_cycle_gives_the_longest_trial() -> None:
    found = trial_time(60, cycle_s=20.0, slowest_cycle_s=30.0, set_up_min=0.0)
    assert (found.minutes, found.most) == (independent(20, way="by hand"), independent(30, way="by hand"))
    with pytest.raises(ImpossibleInput, match="slowest_cycle_s"):
        trial_time(60, cycle_s=20.0, slowest_cycle_s=10.0)


def test_lines_without_time_are_left_out() -> None:
    assert press_time([minutes_for(TimeOn.COLOUR, 0.0)]).lines == ()


@law(shots=st.integers(1, 10_000), shot=st.floats(0.1, 2000), purge=st.floats(0, 50), times=st.integers(2, 9))
def test_melt_is_in_proportion_to_the_shots_and_what_is_purged_comes_on_top(
    shots: int, shot: float, purge: float, times: int
) -> None:
    once = trial_material(shots, shot_g=shot, purge_kg=purge)
    more = trial_material(shots * times, shot_g=shot, purge_kg=purge)
    assert more.shots_kg == independent(once.shots_kg * times, way="in proportion")
    assert once.kg == independent(shots * shot / 1000 + purge, way="by hand")

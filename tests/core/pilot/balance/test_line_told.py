"""What a balanced line says: how often a station is over, which times are weak, what is empty or open."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from offtool.core.pilot.balance import LineEquipment, LineGiven, LineStation, LineTask, Side
from offtool.core.pilot.balance.overrun import either_over, share_over
from tests.core.pilot.balance.graphs import changed, plain, published_line
from tests.core.pilot.balance.small import best_rate, fewest_stations
from tests.labels import independent

TIMED = plain([12, 9, 14, 8], b="a", c="b", d="c")
for _name, _spread in zip("abcd", (1.5, 1.0, 2.0, 0.5), strict=True):
    TIMED = changed(TIMED, _name, spread_s=_spread, readings=20)


def task(spread_s: float | None, readings: int = 0) -> LineTask:
    return LineTask(task="a", time_s=10, spread_s=spread_s, readings=readings)


def test_a_sum_of_tasks_is_over_as_often_as_the_normal_says() -> None:
    found = share_over([task(1.5), task(2.0)], 20.0, 23.0)
    assert found == independent(stats.norm.sf(23, 20, 2.5), way="scipy.stats.norm")


def test_few_readings_count_as_the_mean_not_being_known() -> None:
    """Drawn: a mean of 5 readings and then the next piece, both about the true mean."""
    rng = np.random.default_rng(8)
    mean = rng.normal(10, 2, (400_000, 5)).mean(axis=1)
    over = float((rng.normal(10, 2, mean.size) - mean > 3).mean())
    found = share_over([task(2.0, readings=5)], 10.0, 13.0)
    assert found == independent(over, way="400,000 draws", within=4 * (over / mean.size) ** 0.5)


def test_without_spread_it_is_known_or_not() -> None:
    assert share_over([task(0.0)], 10.0, 10.0) == 0
    assert share_over([task(0.0)], 10.1, 10.0) == 1
    assert share_over([task(None), task(1.0)], 10.0, 12.0) is None
    assert share_over([], 0.0, 12.0) == 0
    assert either_over([0.1, None]) is None
    assert either_over([0.1, 0.2]) == independent(1 - 0.9 * 0.8, way="neither is over")


def test_the_slowest_station_of_the_best_rate_is_over_for_every_second_piece() -> None:
    found = best_rate(TIMED, stations=2)
    assert found.slowest.over == independent(0.5, way="a normal is above its mean")
    assert "over in about 50 % of pieces" in found.slowest.words
    assert any("approximation" in one.text for one in found.cautions)


def test_two_people_with_a_piece_each_have_two_cycles_for_it() -> None:
    found = best_rate(replace(TIMED, people=2), stations=1)
    variance = sum((one.spread_s or 0) ** 2 * (1 + 1 / 20) for one in TIMED.tasks)
    share = stats.norm.sf(2 * found.cycle_s, 43, variance**0.5)
    assert found.stations[0].over == independent(share, way="scipy.stats.norm")


def test_either_of_two_who_face_each_other_may_be_over() -> None:
    line = replace(plain([10, 8]), two_sided=True)
    for name in "ab":
        line = changed(line, name, spread_s=1.0)
    found = fewest_stations(line, rate_per_h=3600 / 11)
    one, other = stats.norm.sf(11, 10, 1), stats.norm.sf(11, 8, 1)
    assert found.stations[0].over == independent(1 - (1 - one) * (1 - other), way="scipy.stats.norm")


def test_estimates_and_few_readings_are_named() -> None:
    said = [one.text for one in best_rate(changed(TIMED, "b", readings=3), stations=2).cautions]
    assert "the time of task b rests on fewer than 10 readings" in said
    many = [one.text for one in best_rate(plain([1, 2, 3, 4, 5, 6, 7]), stations=2).cautions]
    assert "the time of tasks a, b, c, d, e and 2 more is an estimate: time it" in many


def test_a_missing_spread_is_said_and_not_guessed() -> None:
    found = best_rate(changed(TIMED, "b", spread_s=None), stations=2)
    assert found.of("b").over is None
    assert "is not known: not every task has a spread" in found.of("b").words


def test_rounded_times_are_said() -> None:
    exact = [one.text for one in best_rate(plain([1.5, 2.25]), stations=2).cautions]
    assert not any("rounded up" in one for one in exact)
    third = [one.text for one in best_rate(plain([1 / 3, 2.0]), stations=2).cautions]
    assert any("rounded up" in one for one in third)


def test_sides_without_a_two_sided_station_are_said_to_play_no_part() -> None:
    line = changed(TIMED, "a", side=Side.LEFT)
    assert any("sides play no part" in one.text for one in best_rate(line, stations=2).cautions)
    facing = best_rate(replace(line, two_sided=True), stations=2)
    assert not any("sides play no part" in one.text for one in facing.cautions)


def test_empty_stations_stay_on_the_line_and_are_said() -> None:
    line = changed(plain([3, 3], b="a"), "b", station=4)
    found = fewest_stations(line, rate_per_h=1200)
    assert len(found.stations) == 4
    assert [one.words for one in found.stations if not one.tasks] == ["stands empty"] * 2
    assert any("needs nobody" in one.text for one in found.cautions)


def test_equipment_brings_its_caution_and_stands_where_it_is_used() -> None:
    line = replace(changed(TIMED, "b", equipment=("welder",)), equipment=(LineEquipment(equipment="welder"),))
    found = best_rate(line, stations=2)
    assert found.of("b").equipment == ("welder",)
    assert any("local rules decide" in one.text for one in found.cautions)
    assert not any("local rules decide" in one.text for one in best_rate(TIMED, stations=2).cautions)


@pytest.mark.parametrize(("at_most", "is_short"), [(1, True), (3, True), (4, False), (None, False)])
def test_people_who_share_too_little_equipment_are_said_to_wait_for_it(
    at_most: int | None, is_short: bool
) -> None:
    line = LineGiven(
        tasks=(LineTask(task="weld", time_s=40, equipment=("welder",)),),
        stations=(LineStation(station=1, people=4),),
        equipment=(LineEquipment(equipment="welder", at_most=at_most),),
    )
    said = [str(one) for one in best_rate(line, stations=1).cautions]
    assert any("4 people at station 1 need it" in one for one in said) is is_short


def test_a_search_that_is_cut_short_says_what_is_open() -> None:
    """A published line whose bound is not closed by hand, with almost no time to search."""
    line = published_line("WARNECKE.IN2")
    found = fewest_stations(line, rate_per_h=3600 / 54, seconds=0.01)
    assert not found.is_proved
    assert found.bound < 31 <= found.value
    assert found.gap == (found.value - found.bound) / found.value
    assert "is not shown" in found.words
    best = best_rate(line, stations=25, seconds=0.01)
    assert not best.is_proved
    assert "is not shown" in best.words


@pytest.mark.parametrize(("stations", "words"), [(1, "1 station makes"), (2, "2 stations make")])
def test_the_verdict_is_a_sentence(stations: int, words: str) -> None:
    found = best_rate(TIMED, stations=stations)
    assert found.words.startswith(words)
    assert found.words.endswith("no line of so many makes more")

"""Bounds: by hand, against packings of all kinds, and none above the other way round."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

from hypothesis import strategies as st

from offtool.core.pilot.balance.bounds import (
    by_halves,
    by_order,
    by_packing,
    by_sides,
    by_thirds,
    by_windows,
    by_work,
    station_bounds,
)
from offtool.core.pilot.balance.given import LineGiven
from offtool.core.pilot.balance.problem import Problem, problem_of, whole_steps
from offtool.core.pilot.balance.relaxed import relaxed_cycle
from offtool.core.pilot.balance.windows import tails, windows_of
from offtool.handbook.terms import Side
from tests.core.laws import law
from tests.core.pilot.balance.graphs import backwards, changed, orders, plain, published_line
from tests.labels import independent

TIMES = st.lists(st.integers(1, 10), min_size=1, max_size=6)


def of(times: list[int], **after: str) -> Problem:
    return problem_of(plain([float(one) for one in times], **after))


def fewest_bins(times: list[int], room: int) -> int:
    for bins in range(1, len(times) + 1):
        for choice in product(range(bins), repeat=len(times)):
            if all(sum(t for t, b in zip(times, choice, strict=True) if b == k) <= room for k in range(bins)):
                return bins
    raise AssertionError("a task is longer than the room")


@law(examples=100, times=TIMES, room=st.integers(10, 20))
def test_no_bound_of_packing_is_above_the_best_packing(times: list[int], room: int) -> None:
    problem, bins = of(times), fewest_bins(times, room)
    cycle = room * problem.ticks[0] // times[0]
    for bound in (by_work, by_halves, by_thirds, by_packing, by_order):
        assert bound(problem, cycle) <= bins


def test_work_is_rounded_up_to_whole_stations() -> None:
    assert [by_work(of([5, 5, 5]), cycle) for cycle in (5, 7, 8, 15)] == [3, 3, 2, 1]


def test_work_counts_the_people_of_each_station() -> None:
    problem = problem_of(replace(plain([5, 5, 5, 4]), people=2))
    assert by_work(problem, problem.cycle(5)) == 2


def test_tasks_longer_than_half_need_a_station_each_and_two_halves_share_one() -> None:
    assert by_halves(of([6, 6, 6]), 10) == 3
    assert by_halves(of([6, 5, 5]), 10) == 2
    assert by_halves(of([6, 5, 5, 5]), 10) == 3


def test_tasks_between_the_thirds_go_two_to_a_station() -> None:
    assert by_thirds(of([5, 5, 5, 5, 5]), 12) == 3
    assert by_thirds(of([4, 4, 4, 8]), 12) == 2
    assert by_thirds(of([9, 9, 5]), 12) == 3


def test_short_tasks_count_only_where_they_find_no_place_beside_the_long_ones() -> None:
    """Room 10: beside 7 and 7 are 3 s each, so that three tasks of 4 s need rooms of their own."""
    assert by_packing(of([7, 7, 4, 4, 4]), 10) == 4
    assert (by_work(of([7, 7, 4, 4, 4]), 10), by_halves(of([7, 7, 4, 4, 4]), 10)) == (3, 2)
    assert by_packing(of([7, 7, 3, 3]), 10) == 2


def test_the_order_gives_more_stations_than_the_work() -> None:
    """Three tasks of 6 s in a chain, room 10: 18 s are two stations, but no two fit one."""
    chain = of([6, 6, 6], b="a", c="b")
    assert (by_work(chain, 10), by_order(chain, 10)) == (2, 3)
    assert tails(chain, 10) == [20, 10, 0]
    assert tails(chain, 10, heads=True) == [0, 10, 20]


def test_windows_lie_between_what_is_before_and_behind() -> None:
    chain = of([6, 6, 6], b="a", c="b")
    found = windows_of(chain, 10, 4)
    assert found is not None
    assert found.places == ((1, 2), (2, 3), (3, 4))
    assert windows_of(chain, 10, 2) is None
    assert by_windows(chain, 10) == 3


def test_the_work_of_one_side_bounds_a_line_of_two() -> None:
    line = replace(plain([5, 5, 5, 1]), two_sided=True)
    for name in "abc":
        line = changed(line, name, side=Side.LEFT)
    problem = problem_of(line)
    cycle = problem.cycle(6)
    assert (by_work(problem, cycle), by_sides(problem, cycle)) == (2, 3)


def test_divisible_tasks_without_order_share_the_work_evenly() -> None:
    problem = of([7, 5, 3, 2])
    assert relaxed_cycle(problem, 17, 3) == independent(17 / 3, way="work over stations", rel=1e-6)


@law(examples=25, line=orders(), cycle=st.integers(9, 30))
def test_most_bounds_are_the_same_for_a_line_built_backwards(line: LineGiven, cycle: int) -> None:
    there, back = problem_of(line), problem_of(backwards(line))
    found = station_bounds(there, there.cycle(cycle)), station_bounds(back, back.cycle(cycle))
    assert found[0] == found[1]


def test_bounds_of_a_published_line_are_those_its_table_prints() -> None:
    """The sum bound of the table: 324 s at a cycle of 27 s are 12 stations."""
    problem = problem_of(published_line("BUXEY.IN2"))
    assert by_work(problem, problem.cycle(27)) == 12
    assert problem.work == problem.cycle(324)


def test_times_are_counted_in_the_largest_step_that_is_exact() -> None:
    assert whole_steps([3, 12, 7]) == (1, [3, 12, 7], False)
    assert whole_steps([30, 120]) == (10, [3, 12], False)
    step, counted, rounded = whole_steps([1.25, 3.5])
    assert (counted, rounded) == ([125, 350], False)
    assert step == independent(0.01, way="two decimals")


def test_times_without_an_exact_step_are_rounded_up() -> None:
    step, counted, rounded = whole_steps([1 / 3, 2 / 3])
    assert rounded
    assert all(one * step >= time for one, time in zip(counted, [1 / 3, 2 / 3], strict=True))
    assert counted[0] * step == independent(1 / 3, way="a third", rel=1e-4)

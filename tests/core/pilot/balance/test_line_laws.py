"""Laws of a balanced line: what must follow when times, names, order, people or stations change."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import strategies as st

from offtool.core.pilot.balance import LineGiven, LineTask, Side
from tests.core.laws import law
from tests.core.pilot.balance.graphs import backwards, orders, plain
from tests.core.pilot.balance.small import best_rate, fewest_stations
from tests.labels import independent


def scaled(line: LineGiven, factor: float) -> LineGiven:
    return replace(line, tasks=tuple(replace(one, time_s=one.time_s * factor) for one in line.tasks))


@law(
    examples=25,
    line=orders(),
    stations=st.integers(1, 4),
    factor=st.sampled_from([0.001, 0.1, 0.37, 1.7, 3.14159, 60.0, 1e4]),
)
def test_times_in_another_unit_give_the_same_line(line: LineGiven, stations: int, factor: float) -> None:
    found, other = best_rate(line, stations=stations), best_rate(scaled(line, factor), stations=stations)
    assert other.value == independent(found.value * factor, way="the same line in seconds", rel=1e-4)
    rate = min(found.rate_per_h * 0.999, 1000 * factor)
    assert fewest_stations(scaled(line, factor), rate_per_h=rate / factor).value == (
        fewest_stations(line, rate_per_h=rate).value
    )


@law(examples=25, line=orders(), stations=st.integers(1, 4))
def test_names_play_no_part(line: LineGiven, stations: int) -> None:
    name = {one.task: f"task {9 - n}" for n, one in enumerate(line.tasks)}
    renamed = replace(
        line,
        tasks=tuple(
            replace(one, task=name[one.task], after=tuple(name[other] for other in one.after))
            for one in reversed(line.tasks)
        ),
    )
    assert best_rate(renamed, stations=stations).value == best_rate(line, stations=stations).value


@law(examples=25, line=orders(), stations=st.integers(1, 4))
def test_a_line_built_backwards_is_as_fast(line: LineGiven, stations: int) -> None:
    there, back = best_rate(line, stations=stations), best_rate(backwards(line), stations=stations)
    assert there.value == back.value
    rate = there.rate_per_h * 0.9
    assert fewest_stations(line, rate_per_h=rate).value == (
        fewest_stations(backwards(line), rate_per_h=rate).value
    )


@law(examples=25, line=orders(), stations=st.integers(1, 4))
def test_one_more_station_never_slows_the_line(line: LineGiven, stations: int) -> None:
    more = best_rate(line, stations=stations + 1)
    assert more.value <= best_rate(line, stations=stations).value


@law(examples=25, line=orders(), stations=st.integers(1, 3))
def test_a_second_person_on_a_piece_of_their_own_halves_the_cycle(line: LineGiven, stations: int) -> None:
    found = best_rate(line, stations=stations)
    assert best_rate(replace(line, people=2), stations=stations).value == found.value / 2


@law(examples=25, line=orders(), stations=st.integers(1, 3))
def test_two_who_face_each_other_are_between_one_and_two_with_a_piece_each(
    line: LineGiven, stations: int
) -> None:
    facing = best_rate(replace(line, two_sided=True), stations=stations)
    assert facing.value <= best_rate(line, stations=stations).value
    assert facing.value >= best_rate(replace(line, people=2), stations=stations).value


@law(examples=25, line=orders(), stations=st.integers(1, 4))
def test_the_order_only_costs(line: LineGiven, stations: int) -> None:
    free = replace(line, tasks=tuple(replace(one, after=()) for one in line.tasks))
    assert best_rate(free, stations=stations).value <= best_rate(line, stations=stations).value


@law(examples=25, line=orders(), cycle=st.integers(9, 40))
def test_a_slower_rate_never_needs_more_stations(line: LineGiven, cycle: int) -> None:
    slower = fewest_stations(line, rate_per_h=3600 / (cycle + 3))
    assert slower.value <= fewest_stations(line, rate_per_h=3600 / cycle).value


@law(examples=25, line=orders(), cycle=st.integers(9, 40))
def test_the_rate_of_the_fewest_stations_needs_as_many(line: LineGiven, cycle: int) -> None:
    """There and back: what so many stations can make is made by no fewer."""
    found = fewest_stations(line, rate_per_h=3600 / cycle)
    assert found.rate_per_h >= 3600 / cycle * (1 - 1e-9)
    best = best_rate(line, stations=int(found.value))
    assert best.value == found.evenness.largest_s
    assert fewest_stations(line, rate_per_h=best.rate_per_h).value == found.value


@law(examples=25, line=orders(), cycle=st.integers(9, 40))
def test_work_and_idle_time_make_up_the_peoples_time(line: LineGiven, cycle: int) -> None:
    found = fewest_stations(line, rate_per_h=3600 / cycle)
    work = sum(one.work_s for one in found.stations)
    assert work == found.work_s == sum(one.time_s for one in line.tasks)
    idle = sum(one.idle_s for one in found.stations)
    whole = found.people * found.cycle_s
    assert work + idle == independent(whole, way="people times the cycle")
    assert found.efficiency == independent(work / whole, way="work over people's time")
    assert found.slowest.busy_s == max(one.busy_s for one in found.stations)


@law(examples=25, line=orders(), stations=st.integers(1, 4))
def test_the_same_question_has_the_same_answer(line: LineGiven, stations: int) -> None:
    assert best_rate(line, stations=stations).value == best_rate(line, stations=stations).value


def test_one_station_takes_all_work_and_a_station_each_the_longest_task() -> None:
    line = plain([7, 2, 5, 4])
    assert best_rate(line, stations=1).value == 18
    assert best_rate(line, stations=4).value == 7
    assert best_rate(line, stations=9).value == 7


def test_three_people_at_one_station_have_the_rate_of_a_third_of_the_work() -> None:
    line = replace(plain([7, 3]), people=3)
    found = best_rate(line, stations=1)
    assert found.value == independent(10 / 3, way="work over people", rel=1e-9)
    assert found.is_proved
    assert found.people == 3


def test_two_who_face_each_other_work_at_once_but_not_against_the_order() -> None:
    """a and b are done at once, b after a one after the other; on one side one after the other too."""
    assert best_rate(replace(plain([4, 3]), two_sided=True), stations=1).value == 4
    assert best_rate(replace(plain([4, 3], b="a"), two_sided=True), stations=1).value == 7
    one_side = LineGiven(
        tasks=(
            LineTask(task="a", time_s=4, side=Side.LEFT),
            LineTask(task="b", time_s=3, side=Side.LEFT),
        ),
        two_sided=True,
    )
    assert best_rate(one_side, stations=1).value == 7


def test_a_wait_inside_a_two_sided_station_counts() -> None:
    """Left: a 2 s, then c 5 s after b; right: b 6 s. The left side waits for b and ends after 11 s."""
    line = LineGiven(
        tasks=(
            LineTask(task="a", time_s=2, side=Side.LEFT),
            LineTask(task="b", time_s=6, side=Side.RIGHT),
            LineTask(task="c", time_s=5, side=Side.LEFT, after=("a", "b")),
        ),
        two_sided=True,
    )
    found = best_rate(line, stations=1)
    assert found.value == 11
    assert found.stations[0].work_s == 13
    assert [(one.task, one.begins_s) for one in found.stations[0].tasks] == [("a", 0), ("b", 0), ("c", 6)]

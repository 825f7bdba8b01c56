"""Rework, racks, fixtures, presses, breaks and learning, each where its answer can be worked out by hand."""

from __future__ import annotations

from dataclasses import replace
from math import log2

import numpy as np
import pytest
from hypothesis import strategies as st

from offtool.core.pilot.simulation import (
    Arrivals,
    Break,
    Intake,
    Learning,
    Line,
    LineSimulated,
    MouldingPress,
    PressCavity,
    StationGiven,
    Stoppage,
    constant_time,
    exponential_time,
    simulate_line,
)
from offtool.core.pilot.simulation.reading import worked_h
from offtool.core.pilot.simulation.run import LineAtWork
from offtool.core.pilot.simulation.working import BLOCKED, BUSY, DOWN
from offtool.core.values import Caution
from tests.core.laws import law
from tests.core.pilot.simulation.lines import ALONE_PER_H, MEAN_S, in_a_row, station
from tests.core.simulated import chance
from tests.labels import independent, remembered


def run(line: Line, hours: float = 10.0) -> LineSimulated:
    return simulate_line(line, hours=hours, runs=1, warm_up_h=0)


def scrap_of(found: LineSimulated) -> float:
    assert found.scrap_share is not None
    return found.scrap_share.value


def test_a_piece_that_may_be_sent_back_once_is_scrap_when_it_fails_twice() -> None:
    fails = 0.3
    found = run(
        Line(stations=(station("paint", endless=True, fails=fails, rework_to="paint", rounds=1),)), 100
    )
    pieces = found.counts.good + found.counts.scrapped
    assert scrap_of(found) == independent(fails**2, way="fails twice", within=chance(fails**2, pieces))
    assert pieces / found.hours == independent(
        ALONE_PER_H / (1 + fails), way="1 + p works for each piece", within=5 * ALONE_PER_H / pieces**0.5
    )


@pytest.mark.parametrize("rounds", [1, 2, 3])
def test_a_rework_station_of_its_own_gives_back_into_the_same_stream(rounds: int) -> None:
    fails, missed = 0.4, 0.2
    line = Line(
        stations=(
            station("weld", endless=True, gives="body"),
            station(
                "check", takes=(Intake(item="body", places=2),), fails=fails, rework_to="mend", rounds=rounds
            ),
            station("mend", fails=missed, gives="body", people=3),
        )
    )
    found = run(line, 100)
    pieces = found.counts.good + found.counts.scrapped
    # A piece passes the check, or fails and is mended and comes again, up to `rounds` times.
    again = fails * (1 - missed)
    good = (1 - fails) * sum(again**k for k in range(rounds + 1))
    assert 1 - scrap_of(found) == independent(good, way="sum over rounds", within=chance(good, pieces))


def test_without_rework_what_fails_at_each_station_is_gone() -> None:
    line = in_a_row([constant_time(10)] * 3, (1, 1))
    line = Line(stations=tuple(station_with(one, 0.1) for one in line.stations))
    found = run(line, 60)
    left = found.counts.good + found.counts.scrapped
    assert 1 - scrap_of(found) == independent(0.9**3, way="rolled yield", within=chance(0.9**3, left))


def station_with(one: StationGiven, fails: float) -> StationGiven:
    return StationGiven(
        name=one.name, time=one.time, people=one.people, takes=one.takes, endless=one.endless, fails=fails
    )


@pytest.mark.parametrize("places", [3, 12, 40])
def test_a_rack_gives_no_more_than_its_places_over_the_cure(places: int) -> None:
    line = Line(
        stations=(
            station("paint", endless=True),
            station("pack", constant_time(2), takes=(Intake(item="paint", places=places, cure_s=200),)),
        )
    )
    found = run(line, 20)
    least = min(places / 200, 1 / MEAN_S) * 3600
    assert found.per_h.value == independent(least, way="places over cure, or the painter", rel=0.02)
    assert found.time_inside_s is not None
    assert found.time_inside_s.value >= MEAN_S + 200 + 2
    assert found.stores[0].most <= places
    (rack,) = found.counted
    assert rack.used.value == independent(
        found.per_h.value / 3600 * 200 / places, way="Little: pieces that cure = rate × cure", rel=0.02
    )
    assert found.limited_by == (("rack before pack",) if places < 20 else ("paint",))
    said = any("limits the line" in str(one) for one in found.cautions)
    assert said is (places / 200 < 1 / 2)
    short = any("for the planned 360 it needs 20 places" in str(one) for one in told_with_plan(line, 360.0))
    assert short is (places < 20)


def told_with_plan(line: Line, planned_per_h: float) -> tuple[Caution, ...]:
    return simulate_line(replace(line, planned_per_h=planned_per_h), hours=0.2, runs=1).cautions


@pytest.mark.parametrize("fixtures", [1, 4, 30])
def test_fixtures_go_round_with_the_piece_until_it_is_taken_out(fixtures: int) -> None:
    line = Line(
        stations=(
            station("glue", endless=True, fixtures=fixtures),
            station("pack", constant_time(2), takes=(Intake(item="glue", places=None, cure_s=100),)),
        )
    )
    found = run(line, 20)
    round_trip = MEAN_S + 100
    assert found.per_h.value == independent(
        min(fixtures / round_trip, 1 / MEAN_S) * 3600, way="fixtures over their round trip", rel=0.01
    )
    (used,) = found.counted
    assert used.used.value * fixtures == independent(
        found.per_h.value / 3600 * round_trip, way="Little: fixtures under way = rate × round trip", rel=0.02
    )
    assert found.limited_by == (("fixtures of glue",) if fixtures < 11 else ("glue",))


def test_a_rack_that_is_full_because_nobody_takes_from_it_limits_nothing() -> None:
    glue = station("glue", endless=True, fixtures=40)
    pack = station("pack", constant_time(20), takes=(Intake(item="glue", places=30, cure_s=100),))
    found = run(Line(stations=(glue, pack)), 20)
    assert found.stores[0].mean.value > 29
    assert found.limited_by == ("pack",)
    assert "pack limits it" in found.words


def test_a_fixture_comes_back_from_a_piece_that_fails() -> None:
    fails = 0.5
    line = Line(
        stations=(
            station("glue", endless=True, fixtures=20, fails=fails, rework_to="glue", rounds=1),
            station("pack", constant_time(2), takes=(Intake(item="glue", places=None),)),
        )
    )
    found = run(line, 20)
    pieces = found.counts.good + found.counts.scrapped
    assert pieces / found.hours == independent(
        ALONE_PER_H / (1 + fails), way="never short of fixtures", within=5 * ALONE_PER_H / pieces**0.5
    )


def test_time_inside_is_that_of_the_oldest_part() -> None:
    """Arms come every 5 s and are used every 10 s: the n-th is joined to a body of 10 (n - 1) s at 10 n s."""
    line = Line(
        stations=(
            station("body", endless=True),
            station(
                "join",
                constant_time(1),
                takes=(Intake(item="body", places=1), Intake(item="arm", places=None)),
            ),
        ),
        arrivals=(Arrivals(item="arm", every=constant_time(5)),),
    )
    found = run(line, 1)
    assert found.time_inside_s is not None
    left = [10 * n + 1 - min(10 * (n - 1), 5 * n) for n in range(1, found.counts.good + 1)]
    assert found.time_inside_s.value == independent(float(np.mean(left)), way="counted by hand")


def test_a_press_gives_each_part_by_its_cavities_and_assembly_takes_one_of_each() -> None:
    line = Line(
        stations=(
            station(
                "join", constant_time(1),
                takes=(Intake(item="left arm", places=None), Intake(item="right arm", places=None)),
            ),
        ),
        presses=(
            MouldingPress(
                name="P1",
                cycle=constant_time(30),
                cavities=(
                    PressCavity(label="1", part="left arm"),
                    PressCavity(label="2", part="left arm", rejects=0.5),
                    PressCavity(label="3", part="right arm", rejects=0.1),
                ),
            ),
        ),
    )  # fmt: skip
    found = run(line, 100)
    cycles = 100 * 3600 // 30 - 1  # the cycle that ends with the run is not counted
    made = cycles * 0.9
    assert found.counts.good == independent(made, way="the scarcer part", within=4 * (cycles * 0.09) ** 0.5)
    assert found.counts.rejected == independent(
        0.6 * cycles, way="0.5 and 0.1 a cycle", within=4 * (cycles * 0.34) ** 0.5
    )
    assert 0 <= found.counts.joined - found.counts.good <= 1  # one may be in hand
    assert found.stores[0].mean.value > 100


def test_a_press_stands_where_its_box_is_full() -> None:
    line = Line(
        stations=(station("trim", constant_time(20), takes=(Intake(item="arm", places=4),)),),
        presses=(
            MouldingPress(
                name="P1",
                cycle=constant_time(30),
                cavities=tuple(PressCavity(label=str(i), part="arm") for i in range(3)),
            ),
        ),
    )
    found = run(line)
    press = found.places[1]
    assert press.name == "P1"
    assert found.per_h.value == independent(180.0, way="the trimmer is never starved", rel=0.01)
    assert press.busy.value == independent(0.5, way="3 parts last 60 s, made in 30 s", rel=0.02)
    assert press.blocked.value == independent(0.5, way="the rest", rel=0.02)


@pytest.mark.parametrize("cycle_s", [8, 40])
def test_a_press_that_runs_on_lays_aside_what_finds_no_room_and_limits_only_what_waits(
    cycle_s: float,
) -> None:
    cavities = (PressCavity(label="1", part="arm"), PressCavity(label="2", part="leg"))
    press = MouldingPress(name="P1", cycle=constant_time(cycle_s), cavities=cavities, runs_on=True)
    takes = tuple(Intake(item=item, places=20) for item in ("arm", "leg"))
    found = run(Line(stations=(station("fit", constant_time(20), takes=takes),), presses=(press,)), 20)
    assert found.per_h.value == independent(3600 / max(20, cycle_s), way="the slower of the two", rel=0.01)
    _, moulds = found.places
    assert moulds.busy.value == independent(1.0, way="it never waits", rel=1e-6)
    assert moulds.needed.value == independent(
        min(cycle_s / 20, 1.0), way="parts taken of those made", rel=0.02
    )
    assert found.limited_by == (("fit",) if cycle_s < 20 else ("P1",))
    assert found.stores[0].most <= 20 + 1
    counts = found.counts
    assert counts.came == counts.joined + counts.good + counts.scrapped + counts.inside


def test_people_finish_what_is_in_hand_and_come_back_on_the_minute() -> None:
    line = Line(
        stations=(station("pack", constant_time(7), endless=True),),
        breaks=(Break(begins_h=1, ends_h=1.5), Break(begins_h=3, ends_h=3.25)),
    )
    found = run(line, 4)
    begun = [1.0 * 3600, 1.5 * 3600, 0.75 * 3600]  # stretches of work; the last piece of each ends after it
    pieces = int(begun[0] // 7) + 1 + int(begun[1] // 7) + 1 + int((begun[2] - 1e-9) // 7)
    assert found.counts.good == independent(pieces, way="counted by hand")
    assert found.per_h.value == independent(pieces / 3.25, way="per hour worked")
    away = found.places[0].away.value
    assert away == independent(
        0.75 / 4, way="the breaks less what was finished in them", within=7 * 2 / 14400
    )


def test_nothing_is_handed_to_someone_who_is_away() -> None:
    line = Line(
        stations=(
            station("weld", constant_time(10), endless=True),
            station("pack", constant_time(2), takes=(Intake(item="weld", places=0),)),
        ),
        breaks=(Break(begins_h=15 / 3600, ends_h=95 / 3600, station="pack"),),
    )
    at_work = LineAtWork(line, seed=1, run=0)
    at_work.run_to(94)
    assert (at_work.book.came, at_work.book.good) == (2, 1)  # the second is in the welder's hands
    assert at_work.stores[0].level == 0
    at_work.run_to(98)
    assert (at_work.book.came, at_work.book.good) == (3, 2)


@pytest.mark.parametrize(
    ("breaks", "worked"),
    [
        ([(1.0, 2.0)], 3.0),
        ([(1.0, 2.0), (1.5, 2.5)], 2.5),
        ([(1.0, 3.0), (1.5, 2.0)], 2.0),
        ([(3.5, 9.0), (0.0, 0.5)], 3.0),
    ],
)
def test_of_breaks_that_overlap_each_minute_counts_once(
    breaks: list[tuple[float, float]], worked: float
) -> None:
    line = Line(
        stations=(station("pack", endless=True),),
        breaks=tuple(Break(begins_h=begins, ends_h=ends) for begins, ends in breaks),
    )
    at = np.linspace(0, 4, 241)
    assert worked_h(line, at)[-1] == independent(worked, way="counted by hand")
    away = np.array([any(begins <= one < ends for begins, ends in breaks) for one in at + 1e-9])
    assert np.diff(worked_h(line, at)).sum() == independent(
        float((~away[:-1]).sum()) / 60, way="minute by minute"
    )
    assert run(line, 4).per_h.value == independent(ALONE_PER_H, way="as many in each hour worked", rel=0.005)


def test_half_the_people_away_is_half_the_rate() -> None:
    line = Line(
        stations=(station("pack", endless=True, people=2),),
        breaks=(Break(begins_h=0, ends_h=2, station="pack", people=1),),
    )
    found = run(line, 4)
    assert found.first_hour_per_h.value == independent(ALONE_PER_H, way="one person", within=2)
    assert found.last_hour_per_h.value == independent(2 * ALONE_PER_H, way="two people", within=2)
    assert found.last_less_first_per_h.value > 0


def test_two_who_are_called_away_during_a_break_are_two_people() -> None:
    called = Break(begins_h=1.5, ends_h=3.0, station="pack", people=1)
    line = Line(
        stations=(station("pack", endless=True, people=3),),
        breaks=(Break(begins_h=1, ends_h=2), called, called),
    )
    at_work = LineAtWork(line, seed=1, run=0)
    good = []
    for hour in (1, 2, 3, 4):
        at_work.run_to(3600.0 * hour + 0.5)
        good.append(at_work.book.good)
    made = np.diff([0, *good])
    assert made == pytest.approx(ALONE_PER_H * np.array([3, 0, 1, 3]), abs=4)


def test_a_press_moulds_through_the_breaks_of_people_unless_it_is_named() -> None:
    def moulded(*breaks: Break) -> int:
        press = MouldingPress(
            name="P1", cycle=constant_time(30), cavities=(PressCavity(label="1", part="arm"),)
        )
        line = Line(
            stations=(station("trim", constant_time(1), takes=(Intake(item="arm", places=None),)),),
            presses=(press,),
            breaks=breaks,
        )
        return run(line, 2).counts.came

    pause = {"begins_h": 0.5, "ends_h": 1.0}
    assert moulded() == moulded(Break(**pause)) == 2 * 120 - 1
    assert moulded(Break(**pause, station="P1")) == 2 * 120 - 1 - 60


@pytest.mark.parametrize(("pieces", "cumulative"), [(10, "6.315"), (20, "10.485")])
def test_an_operator_learns_as_the_printed_table_says(pieces: int, cumulative: str) -> None:
    source = "80 % learning table, as in operations textbooks"
    done_s = 100 * float(sum(n ** log2(0.8) for n in range(1, pieces + 1)))
    assert done_s / 100 == remembered(cumulative, source=source)
    line = Line(
        stations=(
            station("sew", constant_time(100), endless=True, learning=Learning(rate=0.8, time_of_piece=1)),
        )
    )
    at_work = LineAtWork(line, seed=1, run=0)
    at_work.run_to(done_s - 0.1)
    assert at_work.book.good == pieces - 1
    at_work.run_to(done_s + 0.1)
    assert at_work.book.good == pieces


def test_learning_counts_what_was_made_before_and_ends_where_it_is_said_to() -> None:
    learning = Learning(rate=0.8, time_of_piece=100, made_before=50, until_piece=100)
    line = Line(stations=(station("sew", constant_time(20), endless=True, learning=learning),))
    at_work = LineAtWork(line, seed=1, run=0)
    slow = float(sum((n / 100) ** log2(0.8) for n in range(51, 101)))
    at_work.run_to(20 * slow + 20 * 30 + 1)
    assert at_work.book.good == 50 + 30
    found = run(line, 1)
    assert any("still learning" in str(one) for one in found.cautions)


def physically_inside(at_work: LineAtWork) -> int:
    """Pieces counted where they lie: in stores, in boxes, in hands."""
    held = sum(store.level + len(store.held) for store in at_work.stores)
    boxes = sum(len(one.rework) for one in at_work.stations.values())
    hands = sum(place.wanted in (BUSY, DOWN) for one in at_work.stations.values() for place in one.places)
    blocked = sum(place.wanted == BLOCKED for one in at_work.all for place in one.places)
    assert blocked == sum(len(store.held) for store in at_work.stores)
    return held + boxes + hands


@law(
    examples=40,
    seed=st.integers(0, 10_000),
    places=st.lists(st.none() | st.integers(0, 4), min_size=2, max_size=4),
    people=st.integers(1, 3),
    fails=st.sampled_from([0.0, 0.05, 0.4]),
    back=st.integers(1, 3),
    cure=st.sampled_from([0.0, 45.0]),
    fixtures=st.none() | st.integers(1, 5),
    stops=st.booleans(),
)
def test_what_came_has_left_was_joined_or_is_still_inside(
    seed: int, places: list[int | None], people: int, fails: float, back: int, cure: float,
    fixtures: int | None, stops: bool,
) -> None:  # fmt: skip
    stoppage = Stoppage(works_s=exponential_time(300), stands_s=exponential_time(60)) if stops else None
    stations = [station("1", exponential_time(10), endless=True, fixtures=fixtures)]
    for i, between in enumerate(places, start=2):
        room = 1 if cure and between == 0 else between
        takes = [Intake(item=str(i - 1), places=room, cure_s=cure if i == 2 else 0)]
        if i == 3:
            takes.append(Intake(item="arm", places=6))
        stations.append(
            station(
                str(i), exponential_time(9), people=people, takes=tuple(takes), fails=fails,
                rework_to=str(min(back, i)), rounds=2, stoppage=stoppage,
            )
        )  # fmt: skip
    press = MouldingPress(
        name="P1",
        cycle=exponential_time(25),
        cavities=(PressCavity(label="1", part="arm", rejects=0.1), PressCavity(label="2", part="arm")),
        stoppage=stoppage,
    )
    pause = (Break(begins_h=0.3, ends_h=0.4), Break(begins_h=0.35, ends_h=0.5, station="2", people=1))
    at_work = LineAtWork(Line(stations=tuple(stations), presses=(press,), breaks=pause), seed=seed, run=0)
    for minute in range(1, 61, 7):
        at_work.run_to(60.0 * minute + 0.123)
        assert physically_inside(at_work) == at_work.book.inside
        for store in at_work.stores:
            assert store.level <= store.places + people
        spent = np.array(at_work.spent())
        there = [60.0 * minute + 0.123] * (len(stations) + 1)
        assert spent.sum(axis=1) == pytest.approx(np.array(there) * [1, *[people] * len(places), 1])
    assert at_work.book.good > 0 or fails == 0.4 or fixtures is not None

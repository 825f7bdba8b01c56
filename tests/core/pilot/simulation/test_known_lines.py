"""The simulation against queues and lines whose answer is known in closed form or by an exact chain."""

from __future__ import annotations

import numpy as np
import pytest

from offtool.core.pilot.simulation import (
    Estimated,
    Line,
    RandomTime,
    Stoppage,
    TimeShape,
    constant_time,
    exponential_time,
    simulate_line,
    station_queue,
)
from tests.core.pilot.simulation.lines import ALONE_PER_H, MEAN_S, in_a_row, queue, random_row, station
from tests.labels import independent, remembered

SURE = 0.9999
HUNT = "Hunt 1956, Operations Research 4:674"


def close(found: Estimated | None, to: float) -> float:
    """Half the width of an interval that misses once in ten thousand; it must be narrow enough to tell."""
    assert found is not None
    assert found.interval is not None
    assert found.interval.confidence == SURE
    assert found.interval.half_width < to * abs(found.value)
    return found.interval.half_width


@pytest.mark.parametrize("places", [0, 1, 3])
def test_two_random_stations_lose_what_the_places_between_them_leave(places: int) -> None:
    found = simulate_line(random_row(places), hours=12, runs=30, confidence=SURE)
    share = (places + 2) / (places + 3)
    assert found.per_h.value == independent(
        share * ALONE_PER_H, way=f"(B + 2) / (B + 3), {HUNT}, from memory", within=close(found.per_h, to=0.02)
    )
    assert found.places[1].starved.value == independent(
        1 - share,
        way="starved when not at work",
        within=close(found.places[1].starved, to=0.1),
    )


def test_three_random_stations_hand_in_hand() -> None:
    found = simulate_line(random_row(0, 0), hours=12, runs=30, confidence=SURE)
    assert found.per_h.value == independent(
        22 / 39 * ALONE_PER_H, way=f"22 / 39, {HUNT}, from memory", within=close(found.per_h, to=0.02)
    )


def test_the_exact_chain_is_that_of_the_printed_line() -> None:
    assert exact_rate((1.0, 1.0, 1.0), (0, 0)) == remembered(".56410", source=HUNT)


def exact_rate(rates: tuple[float, float, float], places: tuple[int, int]) -> float:
    """Pieces per unit of time of three random stations in a row, from the stationary chain.

    State: pieces that have passed station 1 and not 2, and 2 and not 3, those in blocked hands included.
    """
    b1, b2 = places
    states = [(i, j) for j in range(b2 + 3) for i in range(b1 + (2 if j == b2 + 2 else 3))]
    number = {state: k for k, state in enumerate(states)}
    flow = np.zeros((len(states), len(states)))
    for (i, j), here in number.items():
        blocked = j == b2 + 2
        moves = [
            (i < b1 + (1 if blocked else 2), rates[0], (i + 1, j)),
            (i > 0 and not blocked, rates[1], (i - 1, j + 1)),
            (j > 0, rates[2], (i, j - 1)),
        ]
        for works, rate, there in moves:
            if works:
                flow[here, number[there]] += rate
                flow[here, here] -= rate
    system = np.vstack([flow.T, np.ones(len(states))])
    share = np.linalg.lstsq(system, np.append(np.zeros(len(states)), 1.0), rcond=None)[0]
    return rates[2] * float(sum(share[k] for (_, j), k in number.items() if j > 0))


@pytest.mark.parametrize(
    ("means_s", "places"),
    [((10.0, 12.0, 9.0), (1, 2)), ((8.0, 8.0, 12.0), (0, 3)), ((14.0, 9.0, 9.0), (2, 0))],
)
def test_three_uneven_stations_give_what_the_exact_chain_gives(
    means_s: tuple[float, float, float], places: tuple[int, int]
) -> None:
    line = in_a_row([exponential_time(one) for one in means_s], places)
    found = simulate_line(line, hours=12, runs=20, confidence=SURE)
    rates = (3600 / means_s[0], 3600 / means_s[1], 3600 / means_s[2])
    assert found.per_h.value == independent(
        exact_rate(rates, places), way="stationary chain", within=close(found.per_h, to=0.03)
    )


@pytest.mark.parametrize(
    ("work", "people", "hours", "to"),
    [
        pytest.param(exponential_time(5.0), 1, 25, 0.05, id="M/M/1, half busy"),
        pytest.param(exponential_time(8.0), 1, 40, 0.15, id="M/M/1, 0.8 busy"),
        pytest.param(constant_time(7.0), 1, 25, 0.05, id="M/D/1"),
        pytest.param(
            RandomTime(shape=TimeShape.GAMMA, mean_s=6.0, spread_s=9.0), 1, 25, 0.15, id="M/G/1, gamma"
        ),
        pytest.param(exponential_time(21.0), 3, 20, 0.1, id="M/M/3"),
    ],
)
def test_pieces_wait_as_the_queueing_formulas_say(
    work: RandomTime, people: int, hours: float, to: float
) -> None:
    found = simulate_line(
        queue(work, comes_every_s=10.0, people=people), hours=hours, runs=20, confidence=SURE
    )
    deviation = {TimeShape.EXPONENTIAL: work.mean_s}.get(work.shape, work.spread_s)
    known = station_queue(work.mean_s, work_spread_s=deviation, comes_every_s=10.0, people=people)
    assert known.exact
    assert found.time_inside_s is not None
    assert found.time_inside_s.value == independent(
        known.time_there_s, way="closed form", within=close(found.time_inside_s, to)
    )
    assert found.stores[0].mean.value == independent(
        known.pieces_waiting, way="closed form", within=close(found.stores[0].mean, 2.5 * to)
    )
    assert found.places[0].busy.value == independent(
        known.share_busy, way="load over people", within=close(found.places[0].busy, to)
    )


@pytest.mark.parametrize("people", [1, 2])
def test_a_place_that_stops_gives_its_availability(people: int) -> None:
    """It ages by work alone, so that the mean times to stop and to repair say all, whatever the shapes."""
    stoppage = Stoppage(works_s=exponential_time(600), stands_s=RandomTime(
        shape=TimeShape.LOGNORMAL, mean_s=200, spread_s=150
    ))  # fmt: skip
    line = Line(stations=(station("weld", endless=True, stoppage=stoppage, people=people),))
    found = simulate_line(line, hours=24, runs=20, confidence=SURE)
    available = 600 / (600 + 200)
    assert found.per_h.value == independent(
        people * available * ALONE_PER_H, way="works / (works + stands)", within=close(found.per_h, to=0.05)
    )
    assert found.places[0].down.value == independent(
        1 - available, way="the rest", within=close(found.places[0].down, to=0.12)
    )


def test_stoppages_that_are_not_random_come_on_the_second() -> None:
    stoppage = Stoppage(works_s=constant_time(95), stands_s=constant_time(30))
    line = Line(stations=(station("weld", endless=True, stoppage=stoppage),))
    found = simulate_line(line, hours=125 * 40 / 3600, runs=1, warm_up_h=0)
    assert found.good.value == independent(40 * 95 / MEAN_S - 1, way="95 of 125 s; the last is in hand")
    assert found.places[0].down.value == independent(30 / 125, way="30 of 125 s")


def test_the_slowest_of_constant_times_sets_the_pace() -> None:
    line = in_a_row([constant_time(one) for one in (8.0, 12.0, 9.0)], (1, 1))
    found = simulate_line(line, hours=2, runs=1)
    assert found.per_h.value == independent(300.0, way="3600 / 12", within=1.0)
    assert found.limited_by == ("2",)
    assert found.places[0].blocked.value == independent(1 - 8 / 12, way="waits for the slowest", within=0.005)
    assert found.places[2].starved.value == independent(1 - 9 / 12, way="waits for the slowest", within=0.005)


def test_pieces_inside_are_rate_times_time_inside() -> None:
    line = in_a_row([exponential_time(one) for one in (10.0, 9.0, 11.0)], (3, 4))
    found = simulate_line(line, hours=200, runs=1, warm_up_h=1)
    assert found.time_inside_s is not None
    assert found.inside.value == independent(
        found.per_h.value / 3600 * found.time_inside_s.value, way="Little's law", rel=0.002
    )

"""One station alone: printed values of the simplest queues, an independent sum, and laws."""

from __future__ import annotations

from math import factorial

import pytest
from hypothesis import strategies as st

from offtool.core.pilot.simulation import RandomTime, TimeShape, simulate_line, station_queue
from offtool.core.values import ImpossibleInput
from tests.core.laws import law
from tests.core.pilot.simulation.lines import queue
from tests.labels import independent, remembered

TEXT = "any text on queues: arrivals 0.8, service 1"


def test_one_person_and_exponential_work_have_the_printed_lengths_and_waits() -> None:
    found = station_queue(1.0, work_spread_s=1.0, comes_every_s=1.25, people=1)
    assert found.pieces_there == remembered("4.0", source=TEXT)
    assert found.pieces_waiting == remembered("3.2", source=TEXT)
    assert found.time_there_s == remembered("5.0", source=TEXT)
    assert found.wait_s == remembered("4.0", source=TEXT)
    assert found.exact
    assert found.cautions == ()


def test_constant_work_waits_half_as_long_as_exponential_work() -> None:
    constant = station_queue(8.0, work_spread_s=0.0, comes_every_s=10.0, people=1)
    random = station_queue(8.0, work_spread_s=8.0, comes_every_s=10.0, people=1)
    assert constant.wait_s == independent(random.wait_s / 2, way="Pollaczek and Khinchine")


@law(people=st.integers(1, 30), busy=st.floats(0.01, 0.99))
def test_the_chance_that_all_are_busy_is_erlangs_sum(people: int, busy: float) -> None:
    load = busy * people
    last = load**people / factorial(people) / (1 - busy)
    chance = last / (sum(load**k / factorial(k) for k in range(people)) + last)
    found = station_queue(load * 10, work_spread_s=load * 10, comes_every_s=10.0, people=people)
    assert found.wait_s == independent(chance * load * 10 / (people * (1 - busy)), way="Erlang C as a sum")


@law(
    work=st.floats(0.1, 9),
    spread=st.floats(0, 20),
    comes=st.none() | st.floats(0, 20),
    unit=st.floats(0.1, 60),
)
def test_the_unit_of_time_does_not_matter_and_scatter_only_lengthens(
    work: float, spread: float, comes: float | None, unit: float
) -> None:
    found = station_queue(work, work_spread_s=spread, comes_every_s=10, comes_spread_s=comes, people=1)
    scaled = station_queue(
        work * unit, work_spread_s=spread * unit, comes_every_s=10 * unit, people=1,
        comes_spread_s=None if comes is None else comes * unit,
    )  # fmt: skip
    assert scaled.pieces_waiting == pytest.approx(found.pieces_waiting)
    more = station_queue(work, work_spread_s=spread + 1, comes_every_s=10, comes_spread_s=comes, people=1)
    assert more.wait_s > found.wait_s
    assert found.pieces_there == pytest.approx(found.pieces_waiting + found.share_busy)


def test_the_approximation_is_near_the_simulation_and_says_that_it_is_one() -> None:
    work = RandomTime(shape=TimeShape.GAMMA, mean_s=16, spread_s=8)
    known = station_queue(16, work_spread_s=8, comes_every_s=10, people=2)
    found = simulate_line(queue(work, comes_every_s=10, people=2), hours=40, runs=10)
    assert not known.exact
    assert "an approximation" in str(known.cautions[0])
    assert found.stores[0].mean.value == independent(known.pieces_waiting, way="Allen and Cunneen", rel=0.2)


def test_more_than_can_be_worked_is_refused() -> None:
    with pytest.raises(
        ImpossibleInput, match=r"work_s = 30.0 s: must be below 30 s: more comes than 3 can work"
    ):
        station_queue(30.0, work_spread_s=0.0, comes_every_s=10.0, people=3)

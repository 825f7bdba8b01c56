"""The rate of a simulated line whose true rate is known."""

from __future__ import annotations

import numpy as np

from offtool.core.pilot.simulation import Addition, Intake, Line, More, StationGiven, exponential_time
from offtool.core.pilot.simulation import simulate_line as simulate
from offtool.core.pilot.simulation import what_more_gives as compare
from tests.coverage.cases import covers

MEAN_S, PLACES = 10.0, 2
TRUE_PER_H = 3600 / MEAN_S * (PLACES + 2) / (PLACES + 3)
TRUE_GAIN = 3600 / MEAN_S * (PLACES + 3) / (PLACES + 4) - TRUE_PER_H
ROW = Line(
    stations=(
        StationGiven(name="1", time=exponential_time(MEAN_S), people=1, endless=True),
        StationGiven(
            name="2", time=exponential_time(MEAN_S), people=1, takes=(Intake(item="1", places=PLACES),)
        ),
    )
)


def _seed(rng: np.random.Generator) -> int:
    return int(rng.integers(2**31))


@covers("rate of two random stations with places between them, 6 runs of 1 h", worlds=600)
def random_row_of_known_rate(rng: np.random.Generator) -> bool:
    found = simulate(ROW, hours=1, runs=6, seed=_seed(rng))
    return found.per_h.interval is not None and TRUE_PER_H in found.per_h.interval


@covers("the same, 10 batches of one run of 10 h", worlds=400)
def one_long_run(rng: np.random.Generator) -> bool:
    found = simulate(ROW, hours=10, runs=1, seed=_seed(rng))
    return found.per_h.interval is not None and TRUE_PER_H in found.per_h.interval


@covers("what one more place gives, 6 runs of 2 h with common numbers", worlds=400)
def gain_of_a_place(rng: np.random.Generator) -> bool:
    place = Addition(more=More.PLACE, station="2", item="1")
    found = compare(ROW, [place], hours=2, runs=6, seed=_seed(rng)).gains[0].gain_per_h
    return found.interval is not None and TRUE_GAIN in found.interval

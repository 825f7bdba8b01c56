"""Random numbers: a stream for each run, station and purpose, so that a change elsewhere shifts none."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from enum import IntEnum
from itertools import repeat
from math import log, sqrt

import numpy as np
from numpy.typing import NDArray

from offtool.core.pilot.simulation.given import RandomTime, TimeShape

BLOCK = 256
"""Numbers drawn at once; a call of numpy for each would cost more than the event it is for."""


class Purpose(IntEnum):
    """What a stream is for."""

    WORK = 1
    FAILS = 2
    WORKS_UNTIL = 3
    STANDS = 4
    ARRIVES = 5
    REJECTS = 6


def stream(seed: int, run: int, who: str, purpose: Purpose, place: int = 0) -> np.random.Generator:
    """The stream of one station and purpose in one run: a child of the seed whose key holds them all."""
    key = (run, int(purpose), place, *who.encode())
    return np.random.Generator(np.random.PCG64(np.random.SeedSequence(seed, spawn_key=key)))


def times(time: RandomTime, rng: np.random.Generator) -> Iterator[float]:
    """Times of that shape, one after the other, without end."""
    if time.shape is TimeShape.CONSTANT or (time.shape in _SPREAD and not time.spread_s):
        return repeat(time.mean_s)
    return _blocks(_DRAW[time.shape](time, rng))


def uniform(rng: np.random.Generator) -> Iterator[float]:
    """Numbers between 0 and 1."""
    return _blocks(rng.random)


def _blocks(draw: Callable[[int], NDArray[np.float64]]) -> Iterator[float]:
    while True:
        yield from draw(BLOCK).tolist()


Draw = Callable[[int], NDArray[np.float64]]


def _lognormal(time: RandomTime, rng: np.random.Generator) -> Draw:
    variance = log(1 + (time.spread_s / time.mean_s) ** 2)  # of the logarithm
    middle, sd = log(time.mean_s) - variance / 2, sqrt(variance)
    return lambda count: rng.lognormal(middle, sd, count)


def _gamma(time: RandomTime, rng: np.random.Generator) -> Draw:
    scale = time.spread_s**2 / time.mean_s
    return lambda count: rng.gamma(time.mean_s / scale, scale, count)


def _exponential(time: RandomTime, rng: np.random.Generator) -> Draw:
    return lambda count: rng.exponential(time.mean_s, count)


def _measured(time: RandomTime, rng: np.random.Generator) -> Draw:
    readings = np.asarray(time.readings_s, dtype=float)
    return lambda count: readings[rng.integers(0, readings.size, count)]


_SPREAD = (TimeShape.LOGNORMAL, TimeShape.GAMMA)
_DRAW: dict[TimeShape, Callable[[RandomTime, np.random.Generator], Draw]] = {
    TimeShape.LOGNORMAL: _lognormal,
    TimeShape.GAMMA: _gamma,
    TimeShape.EXPONENTIAL: _exponential,
    TimeShape.MEASURED: _measured,
}

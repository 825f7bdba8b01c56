"""Heat leaving a wall in time: finite volumes across it, implicit steps of second order, nothing lost."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from offtool.core.planning.cycle.wall_heat import HeatTables
from offtool.core.values import OfftoolError

Array = NDArray[np.float64]

CELLS = 41
"""Odd, so that one lies in the middle; four times as many move the time by less than 1 in 1000."""
LAYER = 1 - 1 / sqrt(2)
"""Of a step, what each of its two stages is ahead: second order, and the shock at the skin dies out."""
CHANGE = 0.02
"""Of the difference between melt and steel, by how much the wall may change in one step."""
FIRST_STEP = 2e-4
"""Of the time that heat needs across the wall."""
GROWS, SHRINKS = 1.35, 0.5
ROUNDS = 25
SETTLED = 1e-9
"""Of the whole enthalpy, where the rounds of a stage stop."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WallInMould:
    """A wall between two halves: temperatures of the steel, and what hinders heat at each side in m²K/W."""

    wall_mm: float
    steel_c: tuple[float, float]
    hinders: tuple[float, float]


@dataclass(frozen=True, slots=True)
class Moment:
    """The wall at one time: temperatures from the one skin to the other, and the heat given off so far."""

    time_s: float
    temperature: Array
    enthalpy: Array
    given_off: tuple[float, float]
    """J/m² into each half since the start."""

    @property
    def mean_enthalpy(self) -> float:
        """J/m³ over the cells; the two skins hold none."""
        return float(self.enthalpy[1:-1].mean())


def places_mm(wall_mm: float, cells: int = CELLS) -> Array:
    """Where the temperatures of a moment stand: skin, middles of the cells, skin."""
    middles = (np.arange(cells) + 0.5) / cells
    return wall_mm * np.concatenate([[0.0], middles, [1.0]])


def cool(wall: WallInMould, melt_c: float, table: HeatTables, *, cells: int = CELLS) -> Iterator[Moment]:
    """The moments from the end of filling on, without end; each step as long as the change allows."""
    solver = _Solver(wall, table, cells)
    enthalpy = np.full(cells + 2, np.interp(melt_c, table.temperature, table.enthalpy))
    time, given = 0.0, (0.0, 0.0)
    span = melt_c - min(wall.steel_c)
    # s² / a: the time that heat needs across
    across = (wall.wall_mm / 1000) ** 2 * float(table.enthalpy[-1] / table.conduction[-1])
    step = FIRST_STEP * across
    temperature = solver.temperature(enthalpy)
    yield Moment(time, temperature, enthalpy, given)
    while True:
        enthalpy, out = solver.step(enthalpy, step)
        time, given = time + step, (given[0] + out[0], given[1] + out[1])
        before, temperature = temperature, solver.temperature(enthalpy)
        yield Moment(time, temperature, enthalpy, given)
        moved = float(np.abs(temperature[1:-1] - before[1:-1]).mean()) / span
        step *= min(max(CHANGE / max(moved, 1e-12), SHRINKS), GROWS)


class _Solver:
    """One wall: the stages of a step are solved by Newton's rule, a band of three a round."""

    def __init__(self, wall: WallInMould, table: HeatTables, cells: int) -> None:
        from scipy.linalg.lapack import dgtsv

        self.table, self.cells = table, cells
        self.width = wall.wall_mm / 1000 / cells
        self.apart = np.full(cells + 1, self.width)
        self.apart[[0, -1]] /= 2
        self.hinders = np.array(wall.hinders)
        self.steel = np.array(wall.steel_c)
        self.small = SETTLED * float(table.enthalpy[-1])
        self.solve = dgtsv

    def temperature(self, enthalpy: Array) -> Array:
        return self._read(enthalpy)[0]

    def step(self, enthalpy: Array, seconds: float) -> tuple[Array, tuple[float, float]]:
        """The enthalpy after a step, and the heat that went into each half."""
        ahead = LAYER * seconds
        first = self._stage(enthalpy, enthalpy, ahead)
        flow = self._flow(first)
        known = enthalpy.copy()
        known[1:-1] += (1 - LAYER) * seconds * np.diff(flow) / self.width
        second = self._stage(known, first, ahead)
        last = self._flow(second)
        through = seconds * ((1 - LAYER) * flow + LAYER * last)
        return second, (float(through[0]), float(-through[-1]))

    def _read(self, enthalpy: Array) -> tuple[Array, Array, Array, Array]:
        """Temperature, conduction, and their slopes over enthalpy."""
        table = self.table
        row = table.rows(enthalpy)
        beyond = enthalpy - table.enthalpy[row]
        by_temperature, by_conduction = table.temperature_slope[row], table.conduction_slope[row]
        return (
            table.temperature[row] + beyond * by_temperature,
            table.conduction[row] + beyond * by_conduction,
            by_temperature,
            by_conduction,
        )

    def _flow(self, enthalpy: Array) -> Array:
        """Heat that goes towards the first side between neighbours, W/m²."""
        flow: Array = np.diff(self._read(enthalpy)[1]) / self.apart
        return flow

    def _stage(self, known: Array, guess: Array, ahead: float) -> Array:
        """Cells: enthalpy = known + ahead × what flows in; skins: what arrives passes into the steel."""
        found = guess.copy()
        for _ in range(ROUNDS):
            temperature, conduction, by_temperature, by_conduction = self._read(found)
            flow = np.diff(conduction) / self.apart
            off = np.empty_like(found)
            off[1:-1] = found[1:-1] - known[1:-1] - ahead * np.diff(flow) / self.width
            arrives = np.array([flow[0], -flow[-1]])
            off[[0, -1]] = temperature[[0, -1]] - self.steel - self.hinders * arrives
            change = self._solved(off, by_temperature, by_conduction, ahead)
            found -= change
            if np.abs(change).max() < self.small:
                return found
        raise OfftoolError(
            "the wall cannot be cooled with these values",
            remedy="compare heat and temperatures with the ranges",
        )

    def _solved(self, off: Array, by_temperature: Array, by_conduction: Array, ahead: float) -> Array:
        pull = ahead / self.width / self.apart
        below, above = np.empty(self.cells + 1), np.empty(self.cells + 1)
        below[:-1] = -pull[:-1] * by_conduction[:-2]
        above[1:] = -pull[1:] * by_conduction[2:]
        middle = np.empty(self.cells + 2)
        middle[1:-1] = 1 + (pull[:-1] + pull[1:]) * by_conduction[1:-1]
        skin = self.hinders / self.apart[[0, -1]]
        middle[[0, -1]] = by_temperature[[0, -1]] + skin * by_conduction[[0, -1]]
        above[0], below[-1] = -skin[0] * by_conduction[1], -skin[1] * by_conduction[-2]
        *_, change, flaw = self.solve(below, middle, above, off)
        if flaw:
            raise OfftoolError(
                "the wall cannot be cooled with these values", remedy="compare them with the ranges"
            )
        return np.asarray(change)

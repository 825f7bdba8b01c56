"""What the sizes of a part say, by the law of the world: the part of the bound that integrates."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from tests.virtual_archive.lost import Lost
from tests.virtual_archive.observed import COPY_SCALE, PartSeen, copy_sd
from tests.virtual_archive.worlds import CUT_SHARE, RUN_SCALE_SD, Size, Tool, World

Array = NDArray[np.float64]
NODES = 41
REACH = 4.5
STEPS = 30
"""Into how many steps the shortest and the longest cut are taken apart."""


class SizesExactly:
    """One tool of a world: where each state's sizes can stand, given the sheets that are left."""

    def __init__(self, world: World, tool: int, lost: Lost) -> None:
        self.world, self.tool, self.number = world, world.tools[tool], tool
        self.lost = {state for j, state in lost.sizes if j == tool}
        left = [k for k in range(self.tool.states) if k not in self.lost]
        self.where = {
            (state, i): where_it_stood(self.tool, i, state, left)
            for state in self.lost
            for i in range(len(self.tool.sizes))
        }

    def logs(self, part: PartSeen) -> Array:
        """For each run, and last for copies."""
        if not part.sizes:
            return np.zeros(len(self.world.runs) + 1)
        known: dict[tuple[int, float], float] = {}
        found = []
        for run in self.world.runs:
            state = run.state[self.number]
            key = (state, 0.0 if state in self.lost else run.scale[self.number])
            if key not in known:
                known[key] = self._of_state(part, *key)
            found.append(known[key])
        return np.array([*found, self._of_copy(part)])

    def _of_state(self, part: PartSeen, state: int, scale: float) -> float:
        """Cavities and the shared scale summed out; what a set-up did is lost with its sheet."""
        spread = self.world.habits.age_sd
        if state in self.lost:
            spread = float(np.hypot(spread, RUN_SCALE_SD))
        nodes, weights = _nodes(scale, spread)
        cavities = range(self.tool.cavities) if part.cavity is None else [part.cavity]
        logs = [
            np.logaddexp.reduce(np.log(weights) + self._all_sizes(part, state, cavity, nodes))
            for cavity in cavities
        ]
        return float(np.logaddexp.reduce(logs) - np.log(len(logs)))

    def _all_sizes(self, part: PartSeen, state: int, cavity: int, nodes: Array) -> Array:
        total = np.zeros(nodes.size)
        for i, (value, uncertainty) in part.sizes.items():
            size = self.tool.sizes[i]
            centres, shares = self._where(i, state, cavity)
            sd = float(np.hypot(size.sd, uncertainty))
            at = centres[:, None] * (1 + size.grows * nodes)
            good = shares @ _normal(value, at, sd)
            total += np.log(
                _read(
                    good,
                    value,
                    float(shares @ centres),
                    size,
                    self.world.habits.misread,
                )
            )
        return total

    def _where(self, i: int, state: int, cavity: int) -> tuple[Array, Array]:
        base = self.tool.base[cavity, i]
        if state not in self.lost:
            return np.array([base + self.tool.moved[state, i]]), np.ones(1)
        moved, shares = self.where[state, i]
        return base + moved, shares

    def _of_copy(self, part: PartSeen) -> float:
        nodes, weights = _nodes(*COPY_SCALE)
        total = np.log(weights)
        for i, (value, uncertainty) in part.sizes.items():
            size = self.tool.sizes[i]
            sd = float(np.hypot(copy_sd(size.unit, size.nominal), uncertainty))
            good = _normal(value, size.nominal * (1 + size.grows * nodes), sd)
            total = total + np.log(_read(good, value, size.nominal, size, self.world.habits.misread))
        return float(np.logaddexp.reduce(total))


def where_it_stood(tool: Tool, i: int, state: int, left: list[int]) -> tuple[Array, Array]:
    """How far a size had been moved in a state whose sheet is lost, and how probable each is.

    Each change of steel cuts it with the world's share, by an amount that is evenly spread; of all ways only
    those count that lead from the last sheet before to the first sheet after.
    """
    size, moved = tool.sizes[i], tool.moved[:, i]
    before = max((k for k in left if k < state), default=None)
    after = min((k for k in left if k > state), default=None)
    if before is None:
        assert after is not None
        by, shares = _law(size, after - state)
        return moved[after] - size.sign * by, shares
    by, shares = _law(size, state - before)
    if after is None:
        return moved[before] + size.sign * by, shares
    return _between(size, moved[before], moved[after], state - before, after - state)


def _between(size: Size, low: float, high: float, first: int, second: int) -> tuple[Array, Array]:
    """Two steps of time that together moved a size by what is known."""
    whole = abs(high - low)
    if whole < 1e-12:
        return np.array([low]), np.ones(1)
    none_first, none_second = (1 - CUT_SHARE) ** first, (1 - CUT_SHARE) ** second
    width = size.cut[1] / 100
    by = np.arange(width / 2, whole, width)
    both = _density(size, first, by) * _density(size, second, whole - by) * width
    ends = np.array(
        [
            none_first * _density(size, second, np.array([whole]))[0],
            none_second * _density(size, first, np.array([whole]))[0],
        ]
    )
    shares = np.concatenate([ends, both])
    return low + size.sign * np.concatenate([[0.0, whole], by]), shares / shares.sum()


def _law(size: Size, steps: int) -> tuple[Array, Array]:
    """Of the movement by so many changes of steel: nothing, or an amount."""
    width = size.cut[1] / STEPS
    by = np.arange(width / 2, size.cut[1] * steps, width)
    shares = np.append((1 - CUT_SHARE) ** steps, _density(size, steps, by) * width)
    return np.append(0.0, by), shares / shares.sum()


def _density(size: Size, steps: int, by: Array) -> Array:
    """Of a movement that is not nothing: one cut, or two and more that add up."""
    width = size.cut[1] / 200
    grid = np.arange(0, size.cut[1] * steps + width, width)
    once = ((grid >= size.cut[0]) & (grid <= size.cut[1])) / (size.cut[1] - size.cut[0])
    total, nothing = np.zeros(grid.size), 1.0
    for _ in range(steps):
        further = np.convolve(total, once)[: grid.size] * width
        total = (1 - CUT_SHARE) * total + CUT_SHARE * (nothing * once + further)
        nothing *= 1 - CUT_SHARE
    return np.asarray(np.interp(by, grid, total, left=0.0, right=0.0))


def _nodes(mean: float, sd: float) -> tuple[Array, Array]:
    z = np.linspace(-REACH, REACH, NODES)
    weights = np.exp(-(z**2) / 2)
    return mean + z * sd, weights / weights.sum()


def _normal(value: float, mean: Array, sd: float) -> Array:
    return np.asarray(np.exp(-0.5 * ((value - mean) / sd) ** 2) / (sd * np.sqrt(2 * np.pi)))


def _read(good: Array, value: float, about: float, size: Size, misread: float) -> Array:
    """A value that is read right, or anywhere."""
    anywhere = (abs(value - about) <= size.misread_by) / (2 * size.misread_by)
    return np.maximum((1 - misread) * good + misread * anywhere, 1e-300)

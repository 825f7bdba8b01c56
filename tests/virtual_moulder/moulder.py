"""One virtual tool: its hidden truth, what a trial of it measures, and what a cut does to it."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from math import exp, log

import numpy as np
from numpy.random import Generator, default_rng
from numpy.typing import NDArray

from tests.virtual_moulder.worlds import World

DIRECTIONS = ("flow", "cross", "thickness")


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnSize:
    """What the drawing and the tool drawing say of a size and the feature that forms it."""

    name: str
    nominal: float
    lower: float
    upper: float
    required_index: float
    direction: str
    allowed: float
    drawn_mm: float
    sign: int
    can_add: bool
    also_moves: int | None

    @property
    def target(self) -> float:
        """The middle of the limits."""
        return (self.lower + self.upper) / 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Readings:
    """One trial: value[shot, size, cavity] at the given shot numbers."""

    shots: NDArray[np.int64]
    value: NDArray[np.float64]


@dataclass(slots=True)
class VirtualTool:
    """Hidden: steel, shrinkage, spread, press, gauge and toolmaker. Seen: `drawn`, measured steel, trials."""

    world: World
    drawn: list[DrawnSize]
    cavities: int
    steel: NDArray[np.float64]
    shrinkage: NDArray[np.float64]
    spread: NDArray[np.float64]
    gauge_sd: NDArray[np.float64]
    allowance: NDArray[np.float64]
    setup_sd: float
    unsettled: float
    settling: float
    cut_bias: float
    rng: Generator
    removed: NDArray[np.float64] = field(init=False)
    measured_steel: NDArray[np.float64] = field(init=False)
    first_steel: NDArray[np.float64] = field(init=False)

    def __post_init__(self) -> None:
        self.removed = np.zeros_like(self.steel)
        self.measured_steel = self._measure_steel()
        self.first_steel = self.measured_steel

    @property
    def allowance_left(self) -> NDArray[np.float64]:
        """What may still be removed, by the steel as first measured and as measured now."""
        sign = np.array([d.sign for d in self.drawn])[:, None]
        return np.maximum(self.allowance - sign * (self.measured_steel - self.first_steel), 0.0)

    def true_mean(self) -> NDArray[np.float64]:
        """Mean of each size and cavity over set-ups, settled."""
        return self._cavity() * (1 - self.shrinkage)

    def window(self, margin: float) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Where a true mean must lie for its true index to be `margin` times the required one."""
        required, lower, upper = (
            np.array([getattr(d, what) for d in self.drawn])[:, None]
            for what in ("required_index", "lower", "upper")
        )
        reach = 3 * margin * required * self.seen_spread()
        return lower + reach, upper - reach

    def seen_spread(self) -> NDArray[np.float64]:
        """Standard deviation of readings: parts and gauge."""
        return np.sqrt(self.spread**2 + self.gauge_sd**2)

    def trial(self) -> Readings:
        """The shots an engineer measures, the unsettled first ones included, all in one set-up."""
        count, every = self.world.shots_measured
        shots = np.arange(1, count + 1) * every
        return Readings(shots=shots, value=self._mould(shots))

    def check_run(self, parts: int) -> NDArray[np.float64]:
        """Settled parts of a set-up of their own."""
        return self._mould(np.full(parts, 10_000))

    def cut(self, asked: NDArray[np.float64]) -> NDArray[np.float64]:
        """Remove (or add) steel as asked for each feature and cavity, inaccurately; what was measured
        removed."""
        done = asked != 0
        error = self.cut_bias + self.rng.normal(0, self.world.cut_sd_mm, asked.shape)
        removed = np.where(done, asked + error, 0.0)
        sign = np.array([d.sign for d in self.drawn])[:, None]
        self.steel = self.steel + sign * removed
        self.removed = self.removed + removed
        before = self.measured_steel
        self.measured_steel = np.where(done, self._measure_steel(), before)
        return np.where(done, sign * (self.measured_steel - before), 0.0)

    def _cavity(self) -> NDArray[np.float64]:
        """Effective cavity size: the forming feature's steel, moved by what was cut from a coupled one."""
        cavity = self.steel.copy()
        for i, drawn in enumerate(self.drawn):
            if drawn.also_moves is not None:
                cavity[drawn.also_moves] += 0.5 * drawn.sign * self.removed[i]
        return cavity

    def _measure_steel(self) -> NDArray[np.float64]:
        return self.steel + self.rng.normal(0, self.world.steel_uncertainty_mm, self.steel.shape)

    def _mould(self, shots: NDArray[np.int64]) -> NDArray[np.float64]:
        setup = {d: self.rng.normal(0, self.setup_sd) for d in DIRECTIONS}
        shift = np.array([setup[d.direction] for d in self.drawn])[None, :, None]
        warming = (self.unsettled * np.exp(-shots / self.settling))[:, None, None]
        mean = self._cavity() * (1 - self.shrinkage - shift - warming)
        share = self.world.shot_share
        common = self.rng.normal(0, np.sqrt(share), (len(shots), len(self.drawn), 1))
        own = self.rng.normal(0, np.sqrt(1 - share), (len(shots), len(self.drawn), self.cavities))
        gauge = self.rng.normal(0, self.gauge_sd, own.shape)
        return mean + self.spread * (common + own) + gauge


def make_tool(world: World, seed: int) -> VirtualTool:
    """The tool of a world and seed; the same seed gives the same hidden truth to every decider."""
    rng = default_rng([seed, *map(ord, world.name)])
    cavities = int(rng.choice(world.cavities))
    allowed = float(rng.choice(world.allowed))
    found = {d: allowed * (1 + rng.normal(0, world.allowance_error)) for d in DIRECTIONS}
    setup_sd = float(rng.uniform(*world.setup_sd))
    made = [
        _draw(world, rng, i, allowed, setup_sd) for i in range(int(rng.integers(*world.sizes, endpoint=True)))
    ]
    drawn = _coupled(world, rng, [one for one, _ in made])
    seen = np.array([spread for _, spread in made])
    gauge = np.minimum(world.gauge_sd_mm, 0.5 * seen)
    shape = (len(drawn), cavities)
    local = rng.normal(0, world.local_sd, len(drawn))
    local[rng.random(len(drawn)) < world.odd_share] *= 4
    shrinkage = np.array([found[d.direction] for d in drawn])[:, None] + local[:, None]
    shrinkage = shrinkage + rng.normal(0, world.cavity_sd, shape)
    if rng.random() < world.bad_cavity_share:
        shrinkage[:, int(rng.integers(cavities))] += rng.choice([-1, 1]) * 10 * world.cavity_sd
    return VirtualTool(
        world=world,
        drawn=drawn,
        cavities=cavities,
        steel=np.array([d.drawn_mm for d in drawn])[:, None] + rng.normal(0, world.first_cut_sd_mm, shape),
        shrinkage=shrinkage,
        spread=np.repeat(np.sqrt(seen**2 - gauge**2)[:, None], cavities, axis=1),
        gauge_sd=np.repeat(gauge[:, None], cavities, axis=1),
        allowance=np.repeat(
            (
                rng.uniform(*world.allowance_mm, len(drawn))
                + world.allowance_share * np.array([d.nominal for d in drawn])
            )[:, None],
            cavities,
            axis=1,
        ),
        setup_sd=setup_sd,
        unsettled=float(rng.uniform(*world.unsettled)),
        settling=float(rng.uniform(*world.settling_shots)),
        cut_bias=float(rng.normal(*world.cut_bias_mm)),
        rng=rng,
    )


def _draw(
    world: World, rng: Generator, place: int, allowed: float, setup_sd: float
) -> tuple[DrawnSize, float]:
    """A size as drawn, and the spread of its readings, the gauge's included."""
    nominal = round(exp(rng.uniform(log(world.size_mm[0]), log(world.size_mm[1]))), 2)
    tight = nominal <= world.fit_mm and rng.random() < world.tight_share
    base, slope = world.tight_half_mm if tight else world.general_half_mm
    required = 1.33 if rng.random() < world.critical_share else 1.0
    index = required * rng.uniform(*world.centred_index)
    placing = float(np.hypot(setup_sd * nominal, world.cut_sd_mm))
    total = max((base + slope * nominal) / (3 * index), placing / world.placing_share)
    half = round(3 * index * total, 3)
    sign = -1 if rng.random() < world.core_share else 1
    left = rng.uniform(*world.steel_safe) * half if rng.random() < world.steel_safe_share else 0.0
    drawn = DrawnSize(
        name=f"size {place + 1}",
        nominal=nominal,
        lower=round(nominal - half, 3),
        upper=round(nominal + half, 3),
        required_index=required,
        direction="thickness" if nominal < 3 else str(rng.choice(["flow", "cross"])),
        allowed=allowed,
        # Steel left on: a recess is cut small, a core is left large, so removing steel leads back to nominal.
        drawn_mm=nominal / (1 - allowed) - sign * left / (1 - allowed),
        sign=sign,
        can_add=bool(rng.random() < world.insert_share),
        also_moves=None,
    )
    return drawn, float(np.sqrt(total**2 - placing**2))


def _coupled(world: World, rng: Generator, drawn: list[DrawnSize]) -> list[DrawnSize]:
    coupled = []
    for i, one in enumerate(drawn):
        other = int(rng.integers(len(drawn)))
        moves = other if rng.random() < world.coupled_share and other != i else None
        coupled.append(replace(one, also_moves=moves))
    return coupled

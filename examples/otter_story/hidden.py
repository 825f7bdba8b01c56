"""The hidden truth of the three tools: what the steel, the press and the gauges really do.

The program never reads this module; it sees what is measured. Every value is made up for the story. Tests
hold the program's findings against this truth, not against its own output.
"""

from __future__ import annotations

from copy import deepcopy
from dataclasses import dataclass, field

import numpy as np
from examples.otter_story.drawings import Size, ToolDrawing
from numpy.random import Generator, default_rng
from numpy.typing import NDArray
from tests.virtual_moulder.moulder import DIRECTIONS, DrawnSize, Readings, VirtualTool
from tests.virtual_moulder.worlds import World

ALLOWED = {
    "ABS": {"flow": 0.005, "cross": 0.005, "thickness": 0.005},
    "POM": {"flow": 0.020, "cross": 0.018, "thickness": 0.018},
}
"""Shrinkage the steel was drawn with."""
REQUIRED_INDEX = {"critical": 1.33, "major": 1.0, "minor": 1.0}
GAUGE_SD = {"MIC-07": 0.0012, "MSC-02": 0.0015, "CAL-11": 0.008, "SCL-03": 0.004, "PRO-05": 0.08}
"""Repeatability of each gauge, in its unit."""
CENTRED_INDEX = {"critical": 3.0, "major": 2.6, "minor": 2.2}
"""True index of a size that stands in the middle of its limits, parts and gauge taken together."""
FLATNESS_MM = 0.07
STIFFNESS = {"ABS": (2300.0, 0.39), "POM": (2800.0, 0.37)}
"""True modulus in MPa and Poisson's ratio: those that are usual, so that a true friction has a meaning."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Press:
    """What one tool's press, resin and water do."""

    shrinkage: dict[str, float]
    seed: int
    unsettled: float
    settling: float
    setup_sd: float = 0.0001
    local_sd: float = 0.0002
    first_cut_sd_mm: float = 0.006
    cut_sd_mm: float = 0.0035
    cut_bias_mm: float = -0.002
    odd_cavity: str = ""
    odd_shrinkage: float = 0.0
    """A cavity that shrinks by so much more than the others, in all its sizes."""


PRESSES = {
    # the resin's data sheet promised 0.50 %; this wall and this gate make 0.73 % along the flow
    "M1": Press(
        shrinkage={"flow": 0.0073, "cross": 0.0050, "thickness": 0.0050},
        seed=8,
        unsettled=0.003,
        settling=3,
    ),
    # the water of cavity 2 is throttled: it runs warmer and shrinks more
    "M2": Press(
        shrinkage={"flow": 0.0043, "cross": 0.0041, "thickness": 0.0042},
        seed=15,
        unsettled=0.003,
        settling=3,
        odd_cavity="2",
        odd_shrinkage=0.0031,
    ),
    "M3": Press(
        shrinkage={"flow": 0.0203, "cross": 0.0181, "thickness": 0.0181},
        seed=5,
        unsettled=0.004,
        settling=3,
    ),
}
"""Shrinkage, warming up and cutting of each tool."""


@dataclass(slots=True)
class OtterTool(VirtualTool):
    """A virtual tool whose features may move a second size of the part by a factor of their own."""

    coupled: tuple[tuple[int, int, float], ...] = ()
    """(feature's place, moved size's place, mm for each mm removed)."""
    set_up_mean: NDArray[np.float64] = field(init=False)
    """Mean of each size and cavity in the set-up of the last trial, settled."""

    def trial(self) -> Readings:
        """A trial; what its set-up does is kept, for pieces of it that are put together later."""
        draws = deepcopy(self.rng)
        set_up = {way: draws.normal(0, self.setup_sd) for way in DIRECTIONS}
        shift = np.array([set_up[drawn.direction] for drawn in self.drawn])[:, None]
        self.set_up_mean = self._cavity() * (1 - self.shrinkage - shift)
        return VirtualTool.trial(self)

    def _cavity(self) -> NDArray[np.float64]:
        cavity = self.steel.copy()
        for mover, moved, by in self.coupled:
            cavity[moved] += by * self.removed[mover]
        return cavity

    def true_index(self) -> NDArray[np.float64]:
        """The index of each size and cavity that no number of parts could show better."""
        mean, spread = self.true_mean(), 3 * self.seen_spread()
        lower = np.array([drawn.lower for drawn in self.drawn])[:, None]
        upper = np.array([drawn.upper for drawn in self.drawn])[:, None]
        return np.asarray(np.minimum(mean - lower, upper - mean) / spread)


def make_tool(drawing: ToolDrawing) -> OtterTool:
    """The tool as first cut, with its hidden truth; the same every time."""
    press = PRESSES[drawing.code]
    rng = default_rng(press.seed)
    sizes, shape = drawing.sizes, (len(drawing.sizes), drawing.cavities)
    total = np.array([_total_sd(size) for size in sizes])
    gauge = np.array([min(GAUGE_SD[size.gauge], 0.6 * sd) for size, sd in zip(sizes, total, strict=True)])
    drawn = [_drawn(size, ALLOWED[drawing.resin]) for size in sizes]
    return OtterTool(
        world=World(name=drawing.code, cut_sd_mm=press.cut_sd_mm, steel_uncertainty_mm=0.002),
        drawn=drawn,
        cavities=drawing.cavities,
        steel=np.array([d.drawn_mm for d in drawn])[:, None] + _first_cut(sizes, press, rng, shape),
        shrinkage=_shrinkage(drawing, press, rng),
        spread=np.repeat(np.sqrt(total**2 - gauge**2)[:, None], drawing.cavities, axis=1),
        gauge_sd=np.repeat(gauge[:, None], drawing.cavities, axis=1),
        allowance=np.full(shape, np.inf),  # it stands in the drawings; here nothing is refused
        setup_sd=press.setup_sd,
        unsettled=press.unsettled,
        settling=press.settling,
        cut_bias=press.cut_bias_mm,
        rng=rng,
        coupled=tuple(
            (i, drawing.place(f"{size.part} {size.steel.also_moves}"), size.steel.also_by)
            for i, size in enumerate(sizes)
            if size.steel and size.steel.also_moves
        ),
    )


def _half(size: Size) -> float:
    return (size.upper - size.lower) / 2 if size.lower is not None and size.upper is not None else FLATNESS_MM


def _total_sd(size: Size) -> float:
    return _half(size) / (3 * CENTRED_INDEX[size.weight_class])


def _drawn(size: Size, allowed: dict[str, float]) -> DrawnSize:
    """What the tool drawing says; a weight or angle is taken as a size that does not shrink."""
    shrinks = allowed[size.direction] if size.steel else 0.0
    sign, safe = (size.steel.sign, size.steel.safe_mm) if size.steel else (1, 0.0)
    aim = FLATNESS_MM if size.lower is None else size.target
    return DrawnSize(
        name=size.key,
        nominal=size.nominal,
        lower=-np.inf if size.lower is None else size.lower,
        upper=np.inf if size.upper is None else size.upper,
        required_index=REQUIRED_INDEX[size.weight_class],
        direction=size.direction or "thickness",
        allowed=shrinks,
        drawn_mm=round((aim - sign * safe) / (1 - shrinks), 3),
        sign=sign,
        can_add=bool(size.steel and size.steel.can_add),
        also_moves=None,
    )


def _first_cut(
    sizes: tuple[Size, ...], press: Press, rng: Generator, shape: tuple[int, int]
) -> NDArray[np.float64]:
    """How far the steel as first cut lies from its drawing; for weights and angles, how far the part does."""
    scale = [press.first_cut_sd_mm if size.steel else _half(size) / 10 for size in sizes]
    return rng.normal(0, 1, shape) * np.array(scale)[:, None]


def _shrinkage(drawing: ToolDrawing, press: Press, rng: Generator) -> NDArray[np.float64]:
    found = np.array([press.shrinkage[size.direction] if size.steel else 0.0 for size in drawing.sizes])
    local = rng.normal(0, press.local_sd, len(found))
    shrinkage = np.repeat((found + np.where(found > 0, local, 0.0))[:, None], drawing.cavities, axis=1)
    if press.odd_cavity:
        shrinkage[found > 0, drawing.labels.index(press.odd_cavity)] += press.odd_shrinkage
    return shrinkage


@dataclass(frozen=True, slots=True, kw_only=True)
class TrueJoint:
    """What a peg in its closed socket truly does once two pieces are put together."""

    peg: str
    """Part and number of the peg's diameter; `socket` of the bore."""
    socket: str
    peg_resin: str
    socket_resin: str
    outer_mm: float
    length_mm: float
    friction: float
    friction_sd: float
    """From piece to piece, as a share of it."""
    loss_per_decade: float
    """Share of the torque after an hour that each tenfold of time takes."""
    aged_share: float
    """What 24 h at 60 °C leave of the torque."""

    def torque_nm(self, peg_mm: NDArray[np.float64], bore_mm: NDArray[np.float64]) -> NDArray[np.float64]:
        """Torque after an hour at the mean friction: the pressure that makes both surfaces meet (Lamé).

        The bore grows by p c d / 2 and the peg shrinks by p b d / 2, together by half the interference.
        """
        (e_peg, nu_peg), (e_socket, nu_socket) = STIFFNESS[self.peg_resin], STIFFNESS[self.socket_resin]
        inside, outside = bore_mm**2, self.outer_mm**2
        c = (outside + inside) / (outside - inside) / e_socket + nu_socket / e_socket
        b = (1 - nu_peg) / e_peg
        pressure = np.maximum(peg_mm - bore_mm, 0.0) / (bore_mm * (b + c))
        area, lever_m = np.pi * bore_mm * self.length_mm, bore_mm / 2000
        return np.asarray(self.friction * pressure * area * lever_m)


TRUE_JOINTS = {
    "shoulder": TrueJoint(
        peg="HO-04 2",
        socket="HO-02 4",
        peg_resin="POM",
        socket_resin="ABS",
        outer_mm=7.2,
        length_mm=4.0,
        friction=0.19,
        friction_sd=0.05,
        loss_per_decade=0.14,
        aged_share=0.7,
    ),
    "tail": TrueJoint(
        peg="HO-06 3",
        socket="HO-03 4",
        peg_resin="ABS",
        socket_resin="ABS",
        outer_mm=9.0,
        length_mm=5.0,
        friction=0.38,
        friction_sd=0.05,
        loss_per_decade=0.11,
        aged_share=0.8,
    ),
}
TORQUE_SD_NM = 0.0006
"""Repeatability of the torque gauge."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TrueWeld:
    """What the welder truly does to the torso's seam; settings are in s, bar and µm peak-to-peak."""

    joules: float
    """Energy at 1 s, 2 bar and 50 µm."""
    strongest_n: float
    begins_j: float
    scale_j: float
    strength_sd: float
    """Of one seam, as a share of its mean; so is that of the energy."""
    energy_sd: float
    flash_from_j: float
    flash_mm_per_j: float
    flash_sd_mm: float
    collapse_mm_per_j: float
    most_collapse_mm: float
    open_height_mm: float

    def energy_j(self, time_s: float, pressure_bar: float, amplitude_um: float) -> float:
        """Mean energy of a setting."""
        return self.joules * time_s * (pressure_bar / 2) ** 0.7 * (amplitude_um / 50) ** 1.3

    def strength_n(self, energy: NDArray[np.float64]) -> NDArray[np.float64]:
        """Mean pull of seams with that energy."""
        melted = np.maximum(energy - self.begins_j, 0.0) / self.scale_j
        return np.asarray(self.strongest_n * (1 - np.exp(-(melted**1.6))))

    def flash_mm(self, energy: NDArray[np.float64]) -> NDArray[np.float64]:
        """Mean flash of seams with that energy; below zero there is none."""
        return np.asarray(self.flash_mm_per_j * (energy - self.flash_from_j))


TRUE_TORSO_WELD = TrueWeld(
    joules=330.0,
    strongest_n=480.0,
    begins_j=15.0,
    scale_j=75.0,
    strength_sd=0.05,
    energy_sd=0.03,
    flash_from_j=80.0,
    flash_mm_per_j=0.0018,
    flash_sd_mm=0.012,
    collapse_mm_per_j=0.0046,
    most_collapse_mm=0.52,
    open_height_mm=18.55,
)

"""Virtual tools made by hand: every hidden number is known."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.random import default_rng

from tests.virtual_moulder.moulder import DrawnSize, VirtualTool
from tests.virtual_moulder.worlds import WORLDS, World

EXACT = replace(
    WORLDS["middling"], name="exact", steel_uncertainty_mm=1e-9, cut_sd_mm=1e-9, shots_measured=(12, 1)
)
"""Nothing is uncertain in it but what a test says."""


def size(
    nominal: float = 4.0,
    *,
    half: float = 0.03,
    sign: int = 1,
    target: float | None = None,
    allowed: float = 0.005,
    required: float = 1.33,
    can_add: bool = False,
    also_moves: int | None = None,
    name: str = "",
) -> DrawnSize:
    """A size about its nominal, or about another target."""
    centre = nominal if target is None else target
    return DrawnSize(
        name=name or f"size {nominal:g}",
        nominal=nominal,
        lower=centre - half,
        upper=centre + half,
        required_index=required,
        direction="flow",
        allowed=allowed,
        drawn_mm=nominal / (1 - allowed),
        sign=sign,
        can_add=can_add,
        also_moves=also_moves,
    )


def tool(
    drawn: list[DrawnSize],
    means: list[float],
    *,
    cavities: int = 1,
    shrinkage: float = 0.005,
    spread: float = 0.001,
    gauge_sd: float = 1e-9,
    allowance: float = 0.5,
    setup_sd: float = 1e-12,
    unsettled: float = 0.0,
    settling: float = 5.0,
    cut_bias: float = 0.0,
    world: World = EXACT,
    seed: int = 0,
) -> VirtualTool:
    """A tool whose sizes truly stand at these means."""
    shape = (len(drawn), cavities)
    return VirtualTool(
        world=world,
        drawn=drawn,
        cavities=cavities,
        steel=np.broadcast_to(np.array(means)[:, None] / (1 - shrinkage), shape).copy(),
        shrinkage=np.full(shape, shrinkage),
        spread=np.full(shape, spread),
        gauge_sd=np.full(shape, gauge_sd),
        allowance=np.full(shape, allowance),
        setup_sd=setup_sd,
        unsettled=unsettled,
        settling=settling,
        cut_bias=cut_bias,
        rng=default_rng(seed),
    )

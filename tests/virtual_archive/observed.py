"""Pieces that turn up, and what somebody sees on them: not everything, and not all of it right."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np
from numpy.random import Generator, default_rng
from numpy.typing import NDArray

from offtool.handbook.sample_signs import SIGNS
from tests.virtual_archive.colours import any_colour, strayed
from tests.virtual_archive.worlds import COPY, STAGE_LIST, Tool, World

LOOSE = 0.3
"""Pieces that are one part by itself."""
NOT_LOOKED = (0.3, 0.6)
LOOKED_THROUGH = (0.0, 0.2)
"""By somebody who has the list of signs in hand and goes through it."""
UNSURE = 0.12
CAVITY_READ = 0.4
TAGGED = 0.08
TAG_RIGHT = 0.95
GAUGES_MM = (0.004, 0.015)
"""A micrometer, or a caliper."""
SCALE_G = 0.001
"""A pair of scales, as a share of the weight."""
COLOUR_DE = (0.4, 2.5)
"""An instrument, or a photograph with a card."""
COPY_SCALE = (-0.010, 0.004)
"""Copies are cast from a piece and shrink once more: mean and standard deviation."""
COPY_SD_MM, COPY_SD_WEIGHT = 0.15, 0.02
COPY_HAS_DETAIL = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class PartSeen:
    """What somebody saw of one part; what is in no mapping was not looked at."""

    tool: int
    details: dict[int, tuple[bool, bool]]
    """There or not, and sure or not."""
    signs: dict[str, tuple[int, bool]]
    """Number of the outcome, and sure or not."""
    sizes: dict[int, tuple[float, float]]
    """Value and its standard uncertainty."""
    cavity: int | None
    colour: NDArray[np.float64] | None
    colour_de: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """One piece: what was seen, and the truth that nobody in the world knows."""

    parts: tuple[PartSeen, ...]
    signs: dict[str, tuple[int, bool]]
    tag: int | None
    truth: int = field(repr=False)
    """The origin; the number of origins for a copy."""
    swapped: tuple[bool, ...] = field(repr=False)
    """Parts whose own origin is another one."""


def pieces(world: World, count: int, not_looked: tuple[float, float] = NOT_LOOKED) -> Iterator[Piece]:
    """So many pieces of a world, always the same; `not_looked` is the share of things not looked at."""
    rng = default_rng([world.seed, 2])
    for _ in range(count):
        yield _piece(rng, world, not_looked)


def _piece(rng: Generator, world: World, not_looked: tuple[float, float]) -> Piece:
    truth = _origin(rng, world)
    tools = list(range(len(world.tools)))
    if rng.random() < LOOSE:
        tools = [int(rng.choice(tools))]
    look = 1 - rng.uniform(*not_looked)
    strange = [_origin(rng, world) if rng.random() < world.habits.elsewhere else None for _ in tools]
    own = {code: _outcome(rng, world, code, truth) for code, one in SIGNS.items() if one.of_each_part}
    gauge, colour_de = float(rng.choice(GAUGES_MM)), float(rng.choice(COLOUR_DE))
    parts = []
    for tool, other in zip(tools, strange, strict=True):
        alike = own if other is None else None
        origin = truth if other is None else other
        parts.append(_part(rng, world, tool, origin, alike, look, gauge, colour_de))
    whole = {
        code: _read_sign(rng, world, code, _outcome(rng, world, code, truth))
        for code, one in SIGNS.items()
        if not one.of_each_part and rng.random() < look and not (code == "seam" and len(tools) == 1)
    }
    return Piece(
        parts=tuple(parts),
        signs=whole,
        tag=_tag(rng, len(world.origins), truth) if rng.random() < TAGGED else None,
        truth=truth,
        swapped=tuple(one is not None and one != truth for one in strange),
    )


def _origin(rng: Generator, world: World) -> int:
    shares = [*(one.share for one in world.origins), world.habits.copies]
    return int(rng.choice(len(shares), p=shares))


def stage_place(world: World, origin: int) -> int:
    """The row of the tables of an origin."""
    return STAGE_LIST.index(world.origins[origin].stage) if origin < len(world.origins) else COPY


def _outcome(rng: Generator, world: World, code: str, origin: int) -> int:
    shares = world.tables[code][stage_place(world, origin)]
    return int(rng.choice(shares.size, p=shares))


def _read_sign(rng: Generator, world: World, code: str, outcome: int) -> tuple[int, bool]:
    sure = bool(rng.random() >= UNSURE)
    if rng.random() < (world.habits.misread if sure else world.habits.unsure_any):
        outcome = int(rng.integers(len(SIGNS[code].outcomes)))
    return outcome, sure


def _tag(rng: Generator, origins: int, truth: int) -> int:
    if truth < origins and rng.random() < TAG_RIGHT:
        return truth
    others = [one for one in range(origins) if one != truth]
    return int(rng.choice(others))


def _part(
    rng: Generator,
    world: World,
    tool: int,
    origin: int,
    alike: dict[str, int] | None,
    look: float,
    gauge: float,
    colour_de: float,
) -> PartSeen:
    made = world.tools[tool]
    run = _run(rng, world, origin)
    cavity = int(rng.integers(made.cavities))
    signs = {}
    for code, one in SIGNS.items():
        if one.of_each_part and rng.random() < look:
            follows = alike is not None and rng.random() < world.habits.alike
            outcome = alike[code] if alike is not None and follows else _outcome(rng, world, code, origin)
            signs[code] = _read_sign(rng, world, code, outcome)
    true = _copy_sizes(rng, made) if run is None else _sizes(rng, world, tool, run, cavity)
    colour = None
    if rng.random() < look:
        is_any = run is None or rng.random() < world.habits.misread
        if run is None or is_any:
            colour = strayed(rng, any_colour(rng), colour_de)
        else:
            colour = world.runs[run].colour[tool].drawn(rng, colour_de)
    return PartSeen(
        tool=tool,
        details=dict(_details(rng, world, tool, run, look)),
        signs=signs,
        sizes=dict(_measured(rng, world, made, true, look, gauge)),
        cavity=cavity if run is not None and rng.random() < CAVITY_READ else None,
        colour=colour,
        colour_de=colour_de,
    )


def _run(rng: Generator, world: World, origin: int) -> int | None:
    if origin == len(world.origins):
        return None
    runs, shares = zip(*world.origins[origin].runs, strict=True)
    return int(rng.choice(runs, p=shares))


def _sizes(rng: Generator, world: World, tool: int, run: int, cavity: int) -> NDArray[np.float64]:
    made, ran = world.tools[tool], world.runs[run]
    grows = np.array([one.grows for one in made.sizes])
    scale = 1 + grows * (ran.scale[tool] + rng.normal(0, world.habits.age_sd))
    sd = np.array([one.sd for one in made.sizes])
    return np.asarray(made.mean[ran.state[tool], cavity] * scale + rng.normal(0, sd))


def _copy_sizes(rng: Generator, made: Tool) -> NDArray[np.float64]:
    scale = rng.normal(*COPY_SCALE)
    return np.array(
        [
            one.nominal * (1 + one.grows * scale) + rng.normal(0, copy_sd(one.unit, one.nominal))
            for one in made.sizes
        ]
    )


def copy_sd(unit: str, nominal: float) -> float:
    """How far one size of a copy strays by itself."""
    return COPY_SD_MM if unit == "mm" else COPY_SD_WEIGHT * nominal


def _measured(
    rng: Generator,
    world: World,
    made: Tool,
    true: NDArray[np.float64],
    look: float,
    gauge: float,
) -> Iterator[tuple[int, tuple[float, float]]]:
    for k, one in enumerate(made.sizes):
        if rng.random() < look:
            uncertainty = gauge if one.unit == "mm" else SCALE_G * one.nominal
            value = true[k] + rng.normal(0, uncertainty)
            if rng.random() < world.habits.misread:
                value = true[k] + rng.uniform(-one.misread_by, one.misread_by)
            yield k, (float(value), uncertainty)


def _details(
    rng: Generator, world: World, tool: int, run: int | None, look: float
) -> Iterator[tuple[int, tuple[bool, bool]]]:
    habits = world.habits
    for k, one in enumerate(world.tools[tool].details):
        if rng.random() >= look:
            continue
        there = rng.random() < COPY_HAS_DETAIL if run is None else one.there[world.runs[run].state[tool]]
        sure = bool(rng.random() >= UNSURE)
        wrong = (habits.missed if there else habits.imagined) if sure else habits.unsure_wrong
        yield k, (bool(there) != bool(rng.random() < wrong), sure)

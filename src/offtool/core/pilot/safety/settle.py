"""A shape turned and shifted until as little of it as can be stands out of the gauge, near a start."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from offtool.core.pilot.safety.gauge import DEPTH, FLOOR, RADIUS, SLANT, Floats, beyond, rim_of, stands_out
from offtool.core.pilot.safety.turns import SQUARES, frames

ROUNDS = 4
"""Each takes the points in that the last one found outside."""
TRIES = 40
"""Steps of one round."""
ENOUGH = 1e-7
CLOSE = 1e-5
"""In mm: a pose is settled where no point is farther out by more than those that were held."""
ROUND_IT = np.arange(12) * np.pi / 6
SIDES = np.stack([np.cos(ROUND_IT), np.sin(ROUND_IT), 0 * ROUND_IT])
TOPS = np.column_stack([[0, 0, 1.0], 0.2 * SIDES[:, ::2] + [[0], [0], [1]]])
BOTTOMS = np.column_stack([[0, -SLANT, -1.0], 0.2 * SIDES[:, ::2] + [[0], [-SLANT], [-1]]])
"""Ways in which points are looked for that may come to touch the wall, the rim or the floor."""

ALONE: Floats = np.eye(8)[7]
IN_TURN = np.repeat([1.0, 0.0], 4)
"""Which of the eight unknowns is e, and which are the turn."""

Touching = tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.int64]]
"""Which points are held within the wall, the rim, and the floor."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pose:
    """How a gauge is held over a shape: its axes as rows (across, to the deep side, up), the middle of its
    rim, and how far the shape then stands out of it."""

    out_mm: float
    frame: Floats
    rim: Floats


def settle(points: Floats, turn: Floats, place: Floats, *, rounds: int = ROUNDS) -> Pose:
    """The pose with the least that stands out, near a start; checked with every point.

    Least e over the turn q, the place c and the height t with every point within every wall moved out by e.
    """
    held = _touching(points, frames(turn), place)
    poses = []
    for _ in range(rounds):
        turn, place, hoped = _settled(points, held, turn, place)
        frame = frames(turn)
        rim = rim_of(points, frame, place)
        poses.append(Pose(out_mm=beyond(points, frame, rim), frame=frame, rim=rim))
        if poses[-1].out_mm <= hoped + CLOSE:
            break
        wall, top, floor = _touching(points, frame, place)
        held = np.union1d(held[0], wall), np.union1d(held[1], top), np.union1d(held[2], floor)
    return min(poses, key=lambda pose: pose.out_mm)


def _touching(points: Floats, frame: Floats, place: Floats) -> Touching:
    """The points farthest out in each of the ways."""
    seen = points @ frame.T - np.append(place, 0.0)
    wall = np.append((seen @ SIDES).argmax(axis=0), np.hypot(seen[:, 0], seen[:, 1]).argmax())
    return (
        np.unique(wall),
        np.unique((seen @ TOPS).argmax(axis=0)),
        np.unique((seen @ BOTTOMS).argmax(axis=0)),
    )


def _settled(points: Floats, held: Touching, turn: Floats, place: Floats) -> tuple[Floats, Floats, float]:
    """Sequential quadratic programming from a start; the turn as a quaternion kept at length 1."""
    from scipy.optimize import minimize

    frame = frames(turn)
    top, out = (points @ frame[2]).max(), stands_out(points, frame, place)
    near = points[np.concatenate(held)]
    ends = (len(held[0]), len(held[0]) + len(held[1]))
    held_to: Any = [
        {"type": "ineq", "fun": lambda v: _rooms(near, ends, v), "jac": lambda v: _slopes(near, ends, v)},
        {"type": "eq", "fun": lambda v: v[:4] @ v[:4] - 1, "jac": lambda v: 2 * v * IN_TURN},
    ]
    found = minimize(
        _e,
        np.concatenate([turn, place, [out - top, out]]),
        jac=_of_e,
        method="SLSQP",
        constraints=held_to,
        options={"maxiter": TRIES, "ftol": ENOUGH},
    )
    if not np.isfinite(found.x).all():
        return turn, place, -np.inf
    return found.x[:4] / np.linalg.norm(found.x[:4]), found.x[4:6], float(found.x[7])


def _e(at: Floats) -> float:
    return float(at[7])


def _of_e(_at: Floats) -> Floats:
    """How e changes with the unknowns: it is the last of them."""
    return ALONE


def _rooms(near: Floats, ends: tuple[int, int], at: Floats) -> Floats:
    """What is left to wall, rim and floor, each moved out by e; 0 or more inside."""
    wall, rim, floor = np.split(near @ frames(at[:4]).T + [-at[4], -at[5], at[6]], ends)
    return np.concatenate(
        [
            RADIUS + at[7] - np.hypot(wall[:, 0], wall[:, 1]),
            at[7] - rim[:, 2],
            FLOOR * at[7] + DEPTH + floor[:, 2] + SLANT * floor[:, 1],
        ]
    )


def _slopes(near: Floats, ends: tuple[int, int], at: Floats) -> Floats:
    """How the rooms change with the four numbers of the turn, the place, the height and e."""
    wall = near[: ends[0]] @ frames(at[:4])[:2].T - at[4:6]
    away = wall / np.maximum(np.hypot(wall[:, 0], wall[:, 1]), 1e-12)[:, None]
    by_turn = np.einsum("ijab,b,pj->pia", 2 * SQUARES, at[:4], near)
    by_wall, by_rim, by_floor = np.split(by_turn, ends)
    slopes = np.zeros((len(near), 8))
    on_wall, on_rim, on_floor = np.split(slopes, ends)
    on_wall[:, :4] = -(by_wall[:, 0] * away[:, [0]] + by_wall[:, 1] * away[:, [1]])
    on_wall[:, 4:6] = away
    on_rim[:, :4] = -by_rim[:, 2]
    on_floor[:, :4] = by_floor[:, 2] + SLANT * by_floor[:, 1]
    on_rim[:, 6], on_floor[:, 6], on_floor[:, 5] = -1.0, 1.0, -SLANT
    on_wall[:, 7], on_rim[:, 7], on_floor[:, 7] = 1.0, 1.0, FLOOR
    return slopes

"""Does a hull fit into the gauge in any turn: a pose that is checked, or a proof over every turn.

First what no turn changes: a shape inside another has no larger volume, no larger surface (both without
hollows), no longer line and no larger ball in it. Then the best of many turns, each settled. Then the proof:
cells of turns are dropped where no turn in them can fit, and cut smaller where one might, until none is left.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from offtool.core.pilot.safety.bounds import never_fits, promise, seen, too_wide
from offtool.core.pilot.safety.gauge import DEPTH, FLOOR, LONGEST, RADIUS, VOLUME, Floats
from offtool.core.pilot.safety.hull import Hull
from offtool.core.pilot.safety.settle import ROUNDS, Pose, settle
from offtool.core.pilot.safety.turns import DIRECTIONS, TURNS, Cells, all_cells, frames, frames_up

SURFACE = float(np.pi * RADIUS**2 * (1 + FLOOR) + 2 * np.pi * RADIUS * DEPTH)
"""Rim, floor and wall."""
BALL = RADIUS
"""The largest ball in the gauge touches the wall all round; rim and floor would let a larger one in."""
TOUCHES = 1e-6
"""In mm: what stands out by no more does fit; the law asks only whether it does."""
FIRST_SETTLED, SETTLED = 2, 6
"""Turns that are settled before a simple reason is looked for, and before the proof over all turns."""
ALIKE = 0.97
"""Turns nearer to each other than this lead to the same pose: the cosine of a quarter of 56 degrees."""
MOST_CELLS = 40_000
"""Cells that are looked at in one step; where more are left, nothing is proven."""
MOST_DIRECTIONS = 6_000
"""The same for directions alone: a shape that is wide from every side needs few."""
AT_ONCE = 2_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """The best pose, and why no pose fits; blank where that is not proven."""

    pose: Pose
    never: str

    @property
    def fits(self) -> bool:
        return self.pose.out_mm <= TOUCHES


def find(hull: Hull, *, is_round: bool = False) -> Found:
    """The best pose, and whether it is proven that none fits.

    `is_round`: the shape is the same all round its third axis; only where that points to matters then.
    """
    starts = _starts(hull)
    if never := _larger(hull):
        return Found(pose=_best_of(hull, starts[:1]), never=never)
    pose = _best_of(hull, starts[:FIRST_SETTLED])
    if pose.out_mm > TOUCHES and (never := _always_wide(hull)):
        return Found(pose=pose, never=never)
    if pose.out_mm > TOUCHES:
        pose = min(pose, _best_of(hull, starts[FIRST_SETTLED:]), key=lambda one: one.out_mm)
    never = _no_turn(hull, is_round=is_round) if pose.out_mm > TOUCHES else ""
    return Found(pose=pose, never=never)


def near(hull: Hull) -> Pose:
    """A pose that is near the best; for a shape of which it is known that it does not fit."""
    return _best_of(hull, _starts(hull)[:1], rounds=1)


def _starts(hull: Hull) -> Floats:
    """The most promising turns that are not close to one another, best first."""
    cells = all_cells(TURNS).cut()
    turns = cells.vectors()
    likely = np.concatenate([promise(seen(hull.few, frames(part.vectors()))) for part in _parts(cells)])
    chosen: list[int] = []
    for place in np.argsort(likely):
        if all(abs(turns[place] @ turns[other]) < ALIKE for other in chosen):
            chosen.append(int(place))
        if len(chosen) == SETTLED:
            break
    return np.asarray(turns[chosen])


def _best_of(hull: Hull, starts: Floats, *, rounds: int = ROUNDS) -> Pose:
    """The best pose that some turns lead to; it ends early where one fits."""
    poses = []
    for turn in starts:
        above = seen(hull.few, frames(turn[None]))
        poses.append(settle(hull.points, turn, np.array([above.across[0], above.along[0]]), rounds=rounds))
        if poses[-1].out_mm <= TOUCHES:
            break
    return min(poses, key=lambda pose: pose.out_mm)


def _larger(hull: Hull) -> str:
    """Why the shape is larger than the whole gauge, in a measure that no turn changes."""
    margin = 1 + 1e-9
    if hull.longest_mm > LONGEST * margin:
        return (
            f"it is {hull.longest_mm:.1f} mm long, and no straight line in the gauge is over {LONGEST:.1f} mm"
        )
    if hull.inside_mm > BALL * margin:
        return f"it holds a ball of {2 * hull.inside_mm:.2f} mm, and the gauge none over {2 * BALL:.2f} mm"
    if hull.volume_mm3 > VOLUME * margin:
        return (
            f"with its hollows filled it has {hull.volume_mm3 / 1000:.1f} cm³, and the gauge holds "
            f"{VOLUME / 1000:.1f} cm³"
        )
    if hull.surface_mm2 > SURFACE * margin:
        return (
            f"with its hollows filled its surface is {hull.surface_mm2 / 100:.1f} cm2, and that of the gauge "
            f"{SURFACE / 100:.1f} cm2"
        )
    return ""


def _always_wide(hull: Hull) -> str:
    """Why it is too wide from every side, where that is so."""
    cells = all_cells(DIRECTIONS).cut()
    while len(cells):
        if len(cells) > MOST_DIRECTIONS:
            return ""
        keep = [
            ~too_wide(seen(hull.few, frames_up(part.vectors())), hull.reach_mm * part.reach())
            for part in _parts(cells)
        ]
        cells = cells.chosen(np.concatenate(keep)).cut()
    return f"from every side it is wider than the gauge, {2 * RADIUS:.2f} mm"


def _no_turn(hull: Hull, *, is_round: bool) -> str:
    """Why no turn fits, where that is proven within the cells allowed."""
    cells = all_cells(DIRECTIONS if is_round else TURNS).cut()
    while len(cells):
        if len(cells) > MOST_CELLS:
            return ""
        keep = [
            ~never_fits(seen(hull.few, _frames_of(part)), hull.reach_mm * part.reach())
            for part in _parts(cells)
        ]
        cells = cells.chosen(np.concatenate(keep)).cut()
    return "every way to turn it was looked at: in each it is too wide or too long"


def _frames_of(cells: Cells) -> Floats:
    """A frame for each cell; of a direction, the one in which the third axis of the shape points there."""
    if cells.numbers == TURNS:
        return frames(cells.vectors())
    return np.swapaxes(frames_up(cells.vectors()), 1, 2)


def _parts(cells: Cells) -> Iterator[Cells]:
    """So many cells at once that they stay in the fast memory."""
    for start in range(0, len(cells), AT_ONCE):
        yield cells.chosen(np.arange(start, min(start + AT_ONCE, len(cells))))

"""Is a shape a small part: does it fit entirely into the cylinder of the law, in any way it can be turned."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from offtool.core.formulas import formula
from offtool.core.pilot.safety.gauge import RADIUS, Floats, beyond
from offtool.core.pilot.safety.hull import Hull, hull_of
from offtool.core.pilot.safety.search import TOUCHES, Found, find, near
from offtool.core.values import Caution, Range, Verdict
from offtool.handbook.defects import PRACTICE
from offtool.handbook.toy_law import LAW_DECIDES, SMALL_PARTS

NEAR_MM = 0.5
"""Nearer to the limit than this a moulded part may go the other way: shrinkage, flash, wear of the gauge."""
SIDES = 96
"""A round shape is looked at as prisms with so many sides, one inside it and one about it."""
LARGEST_MM = 1000.0

NEAR = Caution(
    f"It is within {NEAR_MM:g} mm of the limit, or near: shrinkage, flash or a worn edge may decide. Try "
    "moulded pieces in the cylinder.",
    PRACTICE,
)
AS_DRAWN = Caution(
    "The shape was looked at as drawn, rigid and whole. The law asks the same of every piece that comes off "
    "in the tests.",
    SMALL_PARTS.section,
)

Place = tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugeHeld:
    """How the gauge is held over the part, in the axes of the part: middle of its rim, up, and deep side."""

    rim: Place
    up: Place
    deep_side: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class SmallPart:
    """Whether a shape is a small part.

    `verdict` holds where it does not fit, and so is no small part; does not hold where it fits. `out_mm`: how
    far it stands beyond the walls in the best pose that was found, shared by the walls; below 0 there is so
    much room. `held`: that pose; None for rods and blocks, which fit in many alike.
    """

    verdict: Verdict
    out_mm: float
    held: GaugeHeld | None
    words: str
    corners: int
    diameter_mm: float
    shallow_mm: float
    deep_mm: float
    section: str
    cautions: tuple[Caution, ...] = ()

    @property
    def fits(self) -> bool | None:
        """Whether it fits; None where that is not shown."""
        return {Verdict.HOLDS: False, Verdict.FAILS: True, Verdict.NOT_SHOWN: None}[self.verdict]


def judge_small_part(vertices_mm: NDArray[np.float64]) -> SmallPart:
    """Whether a part, as the corners of its mesh in mm, fits entirely into the small-parts cylinder.

    Fits: a pose was found in which every corner is inside. Does not fit: no turn can, proven over all of
    them. Neither: the pose that comes nearest is told, and by how much it stands out.

    Returns: SmallPart. Raises: ImpossibleInput for no points, or for what is no point.

    Holds when: the part is rigid, and the mesh is in mm. Hollows do not count: the cylinder has none.

    Example: the eight corners of a cube of 22 mm fit; those of a cube of 24 mm do not.
    """
    hull = hull_of(vertices_mm)
    return _judged(find(hull), hull)


@formula(
    limits={"diameter_mm": Range(meaning="diameter", unit="mm", above=0, at_most=LARGEST_MM)},
    example={"diameter_mm": 30.0},
    source=SMALL_PARTS.section,
)
def small_part_ball(diameter_mm: float) -> SmallPart:
    """Whether a ball is a small part.

    d <= 31.75 mm: the largest ball in the cylinder touches the wall; at the axis there is 41.275 mm of depth,
    of which rim and slanting floor need r (1 + sqrt 2) = 38.3 mm.

    Returns: SmallPart.

    Holds when: the ball is rigid. Balls for small children have a further limit of their own.

    Example: 31.75 mm fits, 31.8 mm does not.
    """
    r = diameter_mm / 2
    out = r - RADIUS
    fits = out <= TOUCHES
    return _small_part(
        Verdict.FAILS if fits else Verdict.HOLDS,
        out,
        GaugeHeld(rim=(0.0, 0.0, r - max(out, 0.0)), up=(0.0, 0.0, 1.0), deep_side=(0.0, 1.0, 0.0)),
        "" if fits else f"from every side it is wider than the gauge, {2 * RADIUS:.2f} mm",
        corners=0,
    )


@formula(
    limits={
        "diameter_mm": Range(meaning="diameter of the rod or disc", unit="mm", above=0, at_most=LARGEST_MM),
        "length_mm": Range(
            meaning="length of the rod, thickness of the disc", unit="mm", above=0, at_most=LARGEST_MM
        ),
    },
    example={"diameter_mm": 8.0, "length_mm": 60.0},
    source=SMALL_PARTS.section,
)
def small_part_rod(diameter_mm: float, length_mm: float) -> SmallPart:
    """Whether a round rod or disc is a small part.

    Wider than the gauge it never fits: from any side it shows a whole diameter. Otherwise it fits where a
    prism about it has a pose inside, and does not where no turn gets a prism within it inside. Between the
    two, 0.05 % of the diameter, nothing is shown.

    Returns: SmallPart.

    Holds when: the rod is rigid and its ends are flat and sharp; rounded ends let a longer one in.

    Example: a thin rod fits up to 65.4 mm, from the rim on the shallow side to the deepest point.
    """
    inside = hull_of(_prism(diameter_mm, length_mm))
    if diameter_mm / 2 > RADIUS + TOUCHES:
        never = f"seen from any side it shows its whole diameter, and the gauge is {2 * RADIUS:.2f} mm wide"
        return _of_many_poses(_judged(Found(pose=near(inside), never=never), inside))
    found = find(inside, is_round=True)
    if not found.fits:
        return _of_many_poses(_judged(found, inside))
    about = _prism(diameter_mm / np.cos(np.pi / SIDES), length_mm) - inside.middle
    out = beyond(about, found.pose.frame, found.pose.rim)
    return _of_many_poses(_judged(Found(pose=replace(found.pose, out_mm=out), never=""), inside))


@formula(
    limits={
        "length_mm": Range(meaning="length", unit="mm", above=0, at_most=LARGEST_MM),
        "width_mm": Range(meaning="width", unit="mm", above=0, at_most=LARGEST_MM),
        "height_mm": Range(meaning="height", unit="mm", above=0, at_most=LARGEST_MM),
    },
    example={"length_mm": 40.0, "width_mm": 20.0, "height_mm": 8.0},
    source=SMALL_PARTS.section,
)
def small_part_box(length_mm: float, width_mm: float, height_mm: float) -> SmallPart:
    """Whether a block is a small part; so is whatever fits into a block that is one.

    As judge_small_part with its eight corners.

    Returns: SmallPart.

    Holds when: the block is rigid; rounded edges let a larger one in.

    Example: a cube fits up to 22.45 mm, where the diagonal of a face is the diameter.
    """
    corners = np.array([[x, y, z] for x in (0, length_mm) for y in (0, width_mm) for z in (0, height_mm)])
    return _of_many_poses(judge_small_part(corners))


def _prism(diameter_mm: float, length_mm: float) -> Floats:
    turns = np.arange(SIDES) * 2 * np.pi / SIDES
    ring = diameter_mm / 2 * np.column_stack([np.cos(turns), np.sin(turns)])
    return np.vstack([np.column_stack([ring, np.full(SIDES, end)]) for end in (0.0, length_mm)])


def _judged(found: Found, hull: Hull) -> SmallPart:
    _, along, up = found.pose.frame
    held = GaugeHeld(rim=_place(found.pose.rim + hull.middle), up=_place(up), deep_side=_place(along))
    verdict = Verdict.FAILS if found.fits else Verdict.HOLDS if found.never else Verdict.NOT_SHOWN
    return _small_part(verdict, found.pose.out_mm, held, found.never, corners=len(hull.points))


def _of_many_poses(found: SmallPart) -> SmallPart:
    """Without the pose: a shape that looks alike from several sides has it from each of them."""
    return replace(found, held=None)


def _place(vector: Floats) -> Place:
    return float(vector[0]), float(vector[1]), float(vector[2])


def _small_part(verdict: Verdict, out: float, held: GaugeHeld, never: str, *, corners: int) -> SmallPart:
    near = (NEAR,) if abs(out) < NEAR_MM or verdict is Verdict.NOT_SHOWN else ()
    return SmallPart(
        verdict=verdict,
        out_mm=out,
        held=held,
        words=_words(verdict, out, never),
        corners=corners,
        diameter_mm=SMALL_PARTS.diameter_mm,
        shallow_mm=SMALL_PARTS.shallow_mm,
        deep_mm=SMALL_PARTS.deep_mm,
        section=SMALL_PARTS.section,
        cautions=(*near, AS_DRAWN, LAW_DECIDES),
    )


def _words(verdict: Verdict, out: float, never: str) -> str:
    if verdict is Verdict.FAILS:
        room = f"with {-out:.2f} mm of room" if out < -0.005 else "touching its walls"
        return f"it fits entirely into the cylinder, {room}: it is a small part"
    nearest = f"in the best pose found it stands out by {out:.2f} mm"
    if verdict is Verdict.HOLDS:
        return f"it does not fit into the cylinder: {never}; {nearest}"
    return f"not shown: {nearest}, and that none fits is not proven; try moulded pieces in the cylinder"

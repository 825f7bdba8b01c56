"""What a part measures: volume, weight, surface, shadow, depth, undercuts and walls, and what of it a fault
of the mesh spoils."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from offtool.core.planning.geometry.inspected import Inspected, Number
from offtool.core.planning.geometry.mesh import Floats, Mesh, unit_vector
from offtool.core.planning.geometry.rays import MISSED, Rays
from offtool.core.planning.geometry.samples import spread_points
from offtool.core.planning.geometry.silhouette import silhouette_mm2
from offtool.core.planning.geometry.walls import POINTS, WallFinding, WallMap, find_walls, map_walls
from offtool.core.values import Caution, ImpossibleInput
from offtool.handbook.defects import PRACTICE

METHOD = "part geometry 2"
"""What a stored result names; it changes whenever a number does."""
MM3_PER_CM3 = 1000.0
UPRIGHT = 0.01
"""A face that leans less than this from the direction, as a sine, is a side wall and no undercut."""
NOT_THE_STEEL = Caution(
    "measured on the drawing as it was sent: whether the steel and the parts are so, only measuring shows"
)
UNDERCUTS = Caution(
    "surface that neither mould half can see along this direction: slides, lifters or a flexible part, or "
    "another direction",
    PRACTICE,
)
UNDERCUT_WORTH_SAYING = 0.005


@dataclass(frozen=True, slots=True, kw_only=True)
class PartGeometry:
    """What a part measures. A number that a fault leaves without meaning is None, one that it falsifies is
    named in `spoiled`."""

    volume_mm3: float | None
    weight_g: float | None
    """None without a density or a volume."""
    density_g_cm3: float | None
    surface_mm2: float
    box_mm: tuple[float, float, float]
    silhouette_mm2: float
    """The area of the shadow along the direction, holes not counted."""
    facets_mm2: float
    """Half of the sum of all faces as seen along the direction: what the shadow would be if nothing covered
    anything; never used for the clamp."""
    depth_mm: float
    """How deep the part is along the direction."""
    undercut_share: float
    direction: tuple[float, float, float]
    walls: WallFinding | None
    spoiled: tuple[Number, ...]
    bodies: int
    triangles: int
    method: str
    cautions: tuple[Caution, ...] = ()

    @property
    def volume_cm3(self) -> float | None:
        """The volume in cm³."""
        return None if self.volume_mm3 is None else self.volume_mm3 / MM3_PER_CM3


@dataclass(frozen=True, slots=True, kw_only=True)
class PartMeasured:
    """What a part measures, and each point of its surface at which the wall was measured."""

    geometry: PartGeometry
    walls: WallMap


def measure_part(
    inspected: Inspected,
    *,
    direction: tuple[float, float, float] = (0.0, 0.0, 1.0),
    density_g_cm3: float | None = None,
    thin_mm: float | None = None,
    points: int = POINTS,
) -> PartMeasured:
    """All that planning asks of a part.

    `direction` is the way the mould opens; `thin_mm` asks for the share of the surface with a thinner wall.

    Raises ImpossibleInput for a direction that points nowhere, a density or a limit that is not above 0.
    """
    _refuse(density_g_cm3, thin_mm)
    mesh, findings = inspected.mesh, inspected.findings
    way = unit_vector(direction)
    rays = inspected.rays
    walls = map_walls(mesh, rays, points)
    volume = mesh.signed_volume() if findings.has_inside else None
    weigh = volume is not None and density_g_cm3 is not None
    undercut = undercut_share(mesh, rays, way)
    seen = np.abs(mesh.normals_doubled @ way).sum() / 4
    x, y, z = (float(one) for one in way)
    return PartMeasured(
        geometry=PartGeometry(
            volume_mm3=volume,
            weight_g=volume * density_g_cm3 / MM3_PER_CM3 if weigh else None,  # type: ignore[operator]
            density_g_cm3=density_g_cm3,
            surface_mm2=float(mesh.areas.sum()),
            box_mm=findings.box_mm,
            silhouette_mm2=silhouette_mm2(mesh, way, is_closed=findings.is_closed),
            facets_mm2=float(seen),
            depth_mm=_depth(mesh, way),
            undercut_share=undercut,
            direction=(x, y, z),
            walls=find_walls(walls, thin_mm),
            spoiled=findings.spoiled,
            bodies=findings.bodies,
            triangles=findings.triangles,
            method=METHOD,
            cautions=(NOT_THE_STEEL, *((UNDERCUTS,) if undercut > UNDERCUT_WORTH_SAYING else ())),
        ),
        walls=walls,
    )


def undercut_share(mesh: Mesh, rays: Rays, way: Floats, count: int = POINTS) -> float:
    """Share of the surface that neither side can see along `way`: it needs more than two halves."""
    spread = spread_points(mesh, count)
    normals = mesh.normals[spread.faces]
    lean = normals @ way
    looks = np.abs(lean) > UPRIGHT
    # a side wall is looked at along its own face, where rounding decides what is met: it is left out
    ways = np.sign(lean[looks])[:, None] * way
    met, far = rays.first(spread.points[looks] + normals[looks] * rays.step + ways * rays.step, ways)
    return float(((met != MISSED) & (far > rays.step)).sum() / count) if count else 0.0


def _depth(mesh: Mesh, way: Floats) -> float:
    along = mesh.used_vertices @ way
    return float(along.max() - along.min())


def _refuse(density_g_cm3: float | None, thin_mm: float | None) -> None:
    if density_g_cm3 is not None and not 0 < density_g_cm3 < 25:
        raise ImpossibleInput("density_g_cm3", density_g_cm3, "g/cm³", "must be above 0 and below 25")
    if thin_mm is not None and not thin_mm > 0:
        raise ImpossibleInput("thin_mm", thin_mm, "mm", "must be above 0")

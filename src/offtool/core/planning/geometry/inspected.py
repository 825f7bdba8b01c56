"""What is sound about a mesh and what is not: each fault with its count, its place, and what it spoils."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from offtool.core.planning.geometry.mesh import Mesh
from offtool.core.planning.geometry.rays import Rays


class Number(StrEnum):
    """What is measured of a part, as far as a fault can spoil it."""

    VOLUME = "volume"
    WEIGHT = "weight"
    SURFACE = "surface"
    SILHOUETTE = "silhouette"
    WALL = "wall thickness"


class FaultKind(StrEnum):
    """What can be wrong with a mesh."""

    OPEN = "open edges"
    CROSSING = "faces that pass through each other"
    NESTED = "bodies inside others"
    SHEET = "sheets without thickness"
    MANY = "edges where more than two faces meet"
    TURNED = "faces turned the wrong way"
    INSIDE_OUT = "bodies inside out"
    ONE_SIDED = "a surface without an inside"
    DOUBLE = "faces that are there twice"
    FOLDED = "faces folded onto each other"
    FLAT = "faces without area"
    GAPS = "gaps between corners"


COUNTED_TWICE = (FaultKind.CROSSING, FaultKind.NESTED)
"""What leaves a volume, of which some counts twice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MeshFault:
    """One thing that is wrong, or was."""

    kind: FaultKind
    count: int
    where_mm: tuple[float, float, float] | None
    """A place where it is seen."""
    spoils: tuple[Number, ...]
    """What cannot be relied on; empty where it was mended or does no harm."""
    words: str
    remedy: str
    is_mended: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class MeshFindings:
    """All that was found of a mesh."""

    triangles: int
    corners: int
    bodies: int
    is_closed: bool
    """Every edge has two faces, or an even number of them."""
    faults: tuple[MeshFault, ...]
    box_mm: tuple[float, float, float]

    @property
    def spoiled(self) -> tuple[Number, ...]:
        """What cannot be relied on, in the order of the list."""
        spoiled = {number for fault in self.faults for number in fault.spoils}
        return tuple(number for number in Number if number in spoiled)

    @property
    def has_inside(self) -> bool:
        """Whether there is a volume at all, be it one that counts some of it twice."""
        return all(
            Number.VOLUME not in fault.spoils for fault in self.faults if fault.kind not in COUNTED_TWICE
        )

    @property
    def is_sound(self) -> bool:
        """Whether all numbers can be relied on."""
        return not self.spoiled


@dataclass(frozen=True, slots=True, kw_only=True)
class Inspected:
    """A mesh as it is measured, mended where that is safe, and what was found of it."""

    mesh: Mesh
    findings: MeshFindings
    rays: Rays = field(repr=False)

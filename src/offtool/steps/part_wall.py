"""Which wall of a part decides its cooling: the thickest that is more than a spot."""

from __future__ import annotations

from offtool.steps.part_found import PartKnown

PIN_AS_WALL = 0.7
"""A round pin cools as long as a wall of 0.7 of its diameter; by the closed forms, within a twentieth."""
BETWEEN_PLATE_AND_PIN = 3.0
THICK_PLACE = 1.5
"""Times the wall from which a place is thick; common practice, no source."""


def deciding_wall_mm(known: PartKnown | None) -> float | None:
    """The wall that 95 % of the surface is thinner than; of a solid round part the wall that cools as long.

    What is thicker is a spot, as a boss or where ribs meet: it leaves the mould warm inside.
    """
    walls = known.geometry.walls if known is not None else None
    if known is None or walls is None or known.thickest_mm is None:
        return None
    most = walls.by_sphere.p95_mm
    return PIN_AS_WALL * most if is_round(known) else most


def is_round(known: PartKnown) -> bool:
    """Whether most of it is a solid pin: diameter times surface over volume is 4, of a plate 2."""
    volume, median = known.geometry.volume_mm3, known.median_mm
    if not volume or median is None:
        return False
    return median * known.geometry.surface_mm2 / volume > BETWEEN_PLATE_AND_PIN


def thick_spot_mm(known: PartKnown) -> float | None:
    """The thickest place, where it is a spot far thicker than the wall that decides; else None."""
    wall = deciding_wall_mm(known)
    if wall is None or known.thickest_mm is None or is_round(known):
        return None
    return known.thickest_mm if known.thickest_mm > THICK_PLACE * wall else None

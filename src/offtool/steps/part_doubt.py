"""Whether a shape can be that of the part at all: its size, and its weight against the scales."""

from __future__ import annotations

from offtool.core.planning.geometry import MM_PER, guess_unit
from offtool.core.planning.geometry.inspected import FaultKind
from offtool.core.planning.geometry.units import box_in_words
from offtool.steps.part_found import PartFound, PartKnown, Weighed

FAR_APART = 2.0
"""Times by which mesh and scales differ when they are not of the same part; common practice, no source."""
LEAST_G = 0.001


def doubt_of(found: PartFound) -> str:
    """What speaks against this shape, size first; empty where nothing does."""
    if found.known is None:
        return ""
    unit = found.mesh.unit if found.mesh is not None else ""
    return doubt_of_known(found.known, found.weighed, unit)


def doubt_of_known(known: PartKnown, weighed: Weighed | None, unit: str = "") -> str:
    """The same of the numbers alone; without its unit no other unit is named."""
    said = (size_doubt(known, unit), weight_doubt(known, weighed))
    return " ".join(f"{one}." for one in said if one)


def size_doubt(known: PartKnown, unit: str = "") -> str:
    """0.945 × 0.354 × 0.433 mm is hardly a moulded part; as inches it is 24 × 9 × 11 mm."""
    box = known.geometry.box_mm
    if max(box) <= 0 or guess_unit(*box).tried[0].is_plausible:
        return ""
    said = f"{box_in_words(box)} is hardly a moulded part"
    if unit not in MM_PER:
        return said
    x, y, z = (side / MM_PER[unit] for side in box)
    others = [
        f"as {'inches' if one.unit == 'in' else one.unit} it is {box_in_words(one.box_mm)}"
        for one in guess_unit(x, y, z).tried
        if one.is_plausible and one.unit != unit
    ]
    return "; ".join([said, ", ".join(others)]) if others else said


def weight_doubt(known: PartKnown, weighed: Weighed | None) -> str:
    """By its mesh P1 weighs 0.0067 g, on the scales 1.35 g (mean of trial T1 of tool M9)."""
    mesh_g = known.weight_g
    if weighed is None or not mesh_g or not is_far_apart(mesh_g, weighed.weight_g):
        return ""
    scales = f"on the scales {weighed.weight_g:.3g} g ({weighed.where})"
    return f"By its mesh {known.part} weighs {grams(mesh_g)}, {scales}"


def mend_of(known: PartKnown) -> str:
    """The mesh of P1 is open: close it and read it again; empty where nothing is spoiled."""
    faults = [fault for fault in known.findings.faults if fault.spoils]
    if not faults:
        return ""
    if faults[0].kind is FaultKind.OPEN:
        return f"The mesh of {known.part} is open: close it and read it again."
    return f"The mesh of {known.part} is not sound: {faults[0].remedy}, and read it again."


def grams(weight_g: float) -> str:
    """6.21 g; less than 0.001 g."""
    return f"{weight_g:.3g} g" if weight_g >= LEAST_G else f"less than {LEAST_G:g} g"


def is_far_apart(mesh_g: float, scales_g: float) -> bool:
    """Whether one is more than twice the other."""
    return max(mesh_g, scales_g) > FAR_APART * min(mesh_g, scales_g)

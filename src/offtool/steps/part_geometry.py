"""The geometry of a part: measured once for each file, unit and direction, and kept beside the file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, cast

import cattrs
import numpy as np

from offtool.core.planning.geometry import (
    METHOD,
    MM_PER,
    Mesh,
    MeshFindings,
    Number,
    PartGeometry,
    inspect_mesh,
    make_picture,
    measure_part,
)
from offtool.exchange.meshes import MeshRead, read_mesh
from offtool.handbook.resins import resin_default
from offtool.records.models import Part, PartMesh, Resin
from offtool.records.operations import keep_measured
from offtool.records.queries import newest_mesh
from offtool.steps.part_found import PartKnown
from offtool.steps.plain import as_plain

Direction = tuple[float, float, float]


@dataclass(frozen=True, kw_only=True)
class ShapeMeasured:
    """What a shape measures, and the picture of it."""

    geometry: PartGeometry
    findings: MeshFindings
    picture: bytes = field(repr=False)

    def as_kept(self) -> dict[str, Any]:
        """As it stands in the record: with the method, so that another one is seen."""
        told = {"geometry": self.geometry, "findings": self.findings}
        return {"method": METHOD, **{name: as_plain(one) for name, one in told.items()}}


def measure_shape(
    read: MeshRead, unit: str, direction: Direction, *, thin_mm: float | None = None
) -> ShapeMeasured:
    """Measure what was read, in its unit. Raises ImpossibleInput, and OfftoolError without the extra."""
    scaled = np.asarray(read.vertices, dtype=float) * MM_PER[unit]
    inspected = inspect_mesh(Mesh(vertices=scaled, faces=read.faces))
    measured = measure_part(inspected, direction=direction, thin_mm=thin_mm)
    return ShapeMeasured(
        geometry=measured.geometry,
        findings=inspected.findings,
        picture=make_picture(inspected.mesh, measured.walls).as_bytes(),
    )


def geometry_of_part(part: Part) -> PartKnown | None:
    """The numbers of the shape of a part that counts; None where none is kept.

    What was computed another way, or not yet, is computed and kept first. Raises OfftoolError where that
    needs an extra that is not installed.
    """
    kept = newest_mesh(part)
    if kept is None:
        return None
    geometry, findings = measured_of(kept)
    return known_from(part, geometry, findings)


def measured_of(kept: PartMesh) -> tuple[PartGeometry, MeshFindings]:
    """What a kept shape measures."""
    told = cast("Mapping[str, Any] | None", kept.measured)
    if told is None or told.get("method") != METHOD:
        told = _measured_anew(kept)
    return (
        cattrs.structure(told["geometry"], PartGeometry),
        cattrs.structure(told["findings"], MeshFindings),
    )


def picture_of(kept: PartMesh) -> bytes:
    """The picture of a kept shape."""
    if kept.picture is None or (kept.measured or {}).get("method") != METHOD:
        _measured_anew(kept)
    return bytes(kept.picture or b"")


def _measured_anew(kept: PartMesh) -> Mapping[str, Any]:
    direction = kept.axis_x, kept.axis_y, kept.axis_z
    measured = measure_shape(read_mesh(bytes(kept.content), kept.file_name), kept.unit, direction)
    keep_measured(kept, measured.as_kept(), measured.picture)
    return measured.as_kept()


def known_from(part: Part, geometry: PartGeometry, findings: MeshFindings) -> PartKnown:
    """The numbers with the weight in the part's resin; what a fault spoils is None."""
    density = density_of(part.resin)
    return known_in(geometry, findings, part=part.code, resin=part.resin.code, density=density)


def known_in(
    geometry: PartGeometry, findings: MeshFindings, *, part: str, resin: str, density: float | None
) -> PartKnown:
    """The numbers with the weight at a density."""
    volume = geometry.volume_cm3 if Number.WEIGHT not in geometry.spoiled else None
    walls = geometry.walls if Number.WALL not in geometry.spoiled else None
    return PartKnown(
        part=part,
        resin=resin,
        geometry=geometry,
        findings=findings,
        density_g_cm3=density,
        weight_g=volume * density if volume is not None and density is not None else None,
        thickest_mm=walls.thickest[0].thickness_mm if walls and walls.thickest else None,
        median_mm=walls.by_sphere.median_mm if walls else None,
        silhouette_mm2=geometry.silhouette_mm2,
        depth_mm=geometry.depth_mm,
    )


def density_of(resin: Resin) -> float | None:
    """The density of the record, else that of the handbook for the resin's code."""
    if resin.density_g_cm3 is not None:
        return float(resin.density_g_cm3)
    known = resin_default(resin.code)
    return known.density_g_cm3 if known is not None else None

"""Shapes of parts: keeping a file as it came, and what was computed from it."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django.db import transaction

from offtool.core.values import ImpossibleInput, NotEnoughData
from offtool.handbook.terms import LONGEST_FILE_NAME, LengthUnit, MeshKind
from offtool.records.models import Part, PartMesh
from offtool.records.operations.tested import AlreadyKept
from offtool.records.plain import plain_json, plain_name, plain_text
from offtool.records.queries.planning import newest_mesh
from offtool.records.refusals import refusals_in_words

Axis = tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class MeshNew:
    """A file with the shape of a part, and how it is meant; what was computed from it may come later."""

    file_name: str
    content: bytes = field(repr=False)
    kind: MeshKind
    unit: LengthUnit
    axis: Axis = (0.0, 0.0, 1.0)
    """The direction in which the tool opens, of any length but 0."""
    measured: Mapping[str, Any] | None = None
    picture: bytes | None = field(default=None, repr=False)
    note: str = ""


def keep_mesh(part: Part, mesh: MeshNew, *, read_at: datetime, read_by: str) -> PartMesh:
    """Keep the shape of a part; it counts from now on. Returns it as kept.

    Raises NotEnoughData for an empty file; ImpossibleInput for no direction; AlreadyKept where the shape that
    counts is the same file, in the same unit and direction.
    """
    if not mesh.content:
        raise NotEnoughData("the file is empty", where=mesh.file_name, remedy="send the whole file")
    axis = _of_length_one(mesh.axis)
    digest = hashlib.sha256(mesh.content).hexdigest()
    with refusals_in_words(mesh.file_name), transaction.atomic():
        Part.objects.select_for_update().get(pk=part.pk)  # two people at once read one after the other
        _refuse_again(part, mesh, digest, axis)
        return PartMesh.objects.create(
            part=part,
            file_name=plain_name(mesh.file_name, "the name of the file", longest=LONGEST_FILE_NAME),
            sha256=digest,
            content=mesh.content,
            size=len(mesh.content),
            kind=mesh.kind.value,
            unit=mesh.unit.value,
            axis_x=axis[0],
            axis_y=axis[1],
            axis_z=axis[2],
            measured=None if mesh.measured is None else plain_json(dict(mesh.measured)),
            picture=mesh.picture,
            read_at=read_at,
            read_by=plain_name(read_by, "your name"),
            note=plain_text(mesh.note),
        )


def keep_measured(mesh: PartMesh, measured: Mapping[str, Any], picture: bytes | None) -> None:
    """Keep what was computed from a shape, in place of what was computed before."""
    mesh.measured = plain_json(dict(measured))
    mesh.picture = picture
    mesh.save(update_fields=["measured", "picture"])


def _of_length_one(axis: Axis) -> Axis:
    length = math.hypot(*axis)
    if not math.isfinite(length) or length == 0:
        what = "must be a direction, such as 0, 0, 1"
        raise ImpossibleInput("axis", str(axis), "", what, "say along which way the tool opens")
    x, y, z = (one / length for one in axis)
    return x, y, z


def _refuse_again(part: Part, mesh: MeshNew, digest: str, axis: Axis) -> None:
    now = newest_mesh(part)
    if now is None or now.sha256 != digest or now.unit != mesh.unit.value:
        return
    if math.dist((now.axis_x, now.axis_y, now.axis_z), axis) < 1e-9:  # the same but for rounding
        raise AlreadyKept(
            f"the same file is the shape of part {part.code} already",
            where=mesh.file_name,
            remedy="nothing is to be done, or give another unit or direction",
        )

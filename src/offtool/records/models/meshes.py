"""The shape of a part, as it came in a file, with what was computed from it."""

from __future__ import annotations

from django.db import models
from django.db.models import CheckConstraint, Q

from offtool.handbook.terms import LONGEST_FILE_NAME, PART_OF_DIRECTION, LengthUnit, MeshKind
from offtool.records.models.base import filled, name_field, once, one_of, within, word_field
from offtool.records.models.parts import Part


class PartMesh(models.Model):
    """A file with the shape of a part, byte for byte. The newest of a part counts.

    What came in the file is never changed; `measured` and `picture` are computed from it, and again when the
    way of computing changes.
    """

    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="meshes")
    file_name = models.CharField(max_length=LONGEST_FILE_NAME, help_text="The file's name as it was sent.")
    sha256 = models.CharField(max_length=64, help_text="SHA-256 of the bytes.")
    content = models.BinaryField(help_text="The bytes of the file themselves.")
    size = models.PositiveBigIntegerField(help_text="How many bytes.")
    kind = word_field(MeshKind, "What sort of file it is.")
    unit = word_field(LengthUnit, "The unit in which its numbers are meant.")
    axis_x = models.FloatField(default=0.0, help_text="The direction in which the tool opens: x.")
    axis_y = models.FloatField(default=0.0, help_text="The direction in which the tool opens: y.")
    axis_z = models.FloatField(default=1.0, help_text="The direction in which the tool opens: z.")
    measured = models.JSONField(
        null=True, blank=True, help_text="What was computed from it, with method and version."
    )
    picture = models.BinaryField(
        null=True, blank=True, help_text="The shape coloured by wall, small enough for a page."
    )
    read_at = models.DateTimeField(help_text="When it was read.")
    read_by = name_field("Who read it.", blank=True, default="")
    note = models.TextField(blank=True, default="", help_text="Anything the next reader should know.")

    class Meta:
        verbose_name_plural = "part meshes"
        constraints = (
            once("part_mesh_once", "part", "read_at"),
            *filled("part_mesh", "file_name"),
            one_of("part_mesh", "kind", MeshKind),
            one_of("part_mesh", "unit", LengthUnit),
            *within("part_mesh", PART_OF_DIRECTION, "axis_x", "axis_y", "axis_z"),
            CheckConstraint(
                condition=~Q(axis_x=0, axis_y=0, axis_z=0),
                name="part_mesh_has_direction",
                violation_error_message="the direction in which the tool opens must not be 0, 0, 0",
            ),
        )

    def __str__(self) -> str:
        return self.file_name

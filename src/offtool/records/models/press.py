"""What was seen at the press: which pieces were looked at, what was wrong with them, and photographs of it.

A look without a flaw is evidence too: it says that the pieces were looked at and were without one.
"""

from __future__ import annotations

from django.db import models
from django.db.models import CheckConstraint, Q

from offtool.handbook.terms import LONGEST_FILE_NAME, PictureType, WeightClass
from offtool.records.models.base import filled, kept_history, name_field, once, one_of, word_field
from offtool.records.models.parts import Programme
from offtool.records.models.tools import Cavity
from offtool.records.models.trials import Trial


class Defect(models.Model):
    """A kind of flaw in this programme's own words; the handbook's list is where it starts from."""

    programme = models.ForeignKey(Programme, on_delete=models.CASCADE, related_name="defects")
    code = name_field("A short word for lists and files, such as short-shot.")
    name = name_field("The flaw as people call it, such as short shot.")
    meaning = models.TextField(
        blank=True, default="", help_text="What counts as this flaw, and what does not."
    )
    weight_class = word_field(WeightClass, "How much hangs on it.", default=WeightClass.MAJOR.value)
    is_listed = models.BooleanField(default=True, help_text="Offered when pieces are looked at.")
    list_changes = models.JSONField(
        default=dict,
        blank=True,
        help_text="When it came onto the list or went off it; empty: it was always so.",
    )
    history = kept_history()

    class Meta:
        constraints = (
            once("defect_code_once", "programme", "code"),
            *filled("defect", "code", "name"),
            one_of("defect", "weight_class", WeightClass),
        )

    def __str__(self) -> str:
        return self.name


class Look(models.Model):
    """Pieces of one cavity (and shot) of a trial that a person looked at for every defect on the list."""

    trial = models.ForeignKey(Trial, on_delete=models.PROTECT, related_name="looks")
    cavity = models.ForeignKey(
        Cavity,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="looks",
        help_text="Blank when nobody knows.",
    )
    shot_number = models.PositiveBigIntegerField(null=True, blank=True, help_text="Blank for several shots.")
    pieces = models.PositiveIntegerField(default=1, help_text="How many pieces were looked at.")
    note = models.TextField(blank=True, default="", help_text="Anything the next reader should know.")
    looked_at = models.DateTimeField(help_text="When.")
    looked_by = name_field("Who.", blank=True, default="")
    set_aside = models.TextField(
        blank=True, default="", help_text="Why it no longer counts; empty while it counts."
    )
    history = kept_history()

    class Meta:
        constraints = (
            CheckConstraint(
                condition=Q(pieces__gte=1, pieces__lte=1_000_000),
                name="look_pieces_range",
                violation_error_message="pieces must be 1 to 1,000,000",
            ),
        )

    def __str__(self) -> str:
        return f"{self.pieces} pieces"


class Flaw(models.Model):
    """A defect that was seen on some of the pieces of a look. Never updated."""

    look = models.ForeignKey(Look, on_delete=models.PROTECT, related_name="flaws")
    defect = models.ForeignKey(Defect, on_delete=models.PROTECT, related_name="flaws")
    pieces = models.PositiveIntegerField(default=1, help_text="On how many of the pieces.")
    place = name_field("Where on the part, such as left ear.", blank=True, default="")
    note = models.TextField(blank=True, default="", help_text="How bad, and anything else.")

    class Meta:
        constraints = (
            once("flaw_once", "look", "defect", "place"),
            CheckConstraint(
                condition=Q(pieces__gte=1),
                name="flaw_pieces_range",
                violation_error_message="a flaw is on at least one piece",
            ),
        )

    def __str__(self) -> str:
        return f"{self.defect_id} on {self.pieces}"


class Photograph(models.Model):
    """A picture of a look, byte for byte as it was taken. Never updated."""

    look = models.ForeignKey(Look, on_delete=models.PROTECT, related_name="photographs")
    flaw = models.ForeignKey(
        Flaw, on_delete=models.PROTECT, null=True, blank=True, related_name="photographs"
    )
    name = models.CharField(max_length=LONGEST_FILE_NAME, help_text="The file's name as it was sent.")
    sha256 = models.CharField(max_length=64, help_text="SHA-256 of the bytes.")
    content = models.BinaryField(help_text="The bytes themselves.")
    media_type = word_field(PictureType, "What kind of picture it is.")
    width = models.PositiveIntegerField(help_text="Pixels across.")
    height = models.PositiveIntegerField(help_text="Pixels down.")
    note = models.TextField(blank=True, default="", help_text="What it shows.")

    class Meta:
        constraints = (
            once("photograph_once", "look", "sha256"),
            *filled("photograph", "name"),
            one_of("photograph", "media_type", PictureType),
            CheckConstraint(
                condition=Q(width__gte=1, height__gte=1),
                name="photograph_has_pixels",
                violation_error_message="a picture is at least one pixel wide and high",
            ),
        )

    def __str__(self) -> str:
        return self.name

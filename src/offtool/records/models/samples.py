"""Samples: pieces that were kept, the parts they are made of, and photographs of them."""

from __future__ import annotations

from django.db import models
from django.db.models import CheckConstraint, Q

from offtool.handbook.terms import LONGEST_FILE_NAME, PictureType
from offtool.records.models.base import filled, kept_history, name_field, once, one_of, word_field
from offtool.records.models.builds import Build
from offtool.records.models.parts import Part, Programme
from offtool.records.models.tools import Cavity, Tool, ToolState
from offtool.records.models.trials import Trial


class Sample(models.Model):
    """A piece that was kept: tagged at the press, or found later with nothing known."""

    programme = models.ForeignKey(Programme, on_delete=models.CASCADE, related_name="samples")
    number = name_field("The number on its label.")
    name = name_field("What it is, such as otter without paint.", blank=True, default="")
    build = models.ForeignKey(
        Build,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="samples",
        help_text="The build that its tag names.",
    )
    found_on = models.DateField(null=True, blank=True, help_text="The day it was taken or turned up.")
    place = name_field("Where it lies: room, drawer, bag.", blank=True, default="")
    holder = name_field("Who has it.", blank=True, default="")
    purpose = name_field("What it is kept for, such as limit sample.", blank=True, default="")
    disposition = name_field("What is to become of it, such as keep.", blank=True, default="")
    note = models.TextField(blank=True, default="", help_text="Anything the next reader should know.")
    registered_at = models.DateTimeField(help_text="When it came into the register.")
    registered_by = name_field("Who entered it.", blank=True, default="")
    history = kept_history()

    class Meta:
        constraints = (once("sample_number_once", "programme", "number"), *filled("sample", "number"))

    def __str__(self) -> str:
        return f"{self.number} {self.name}".rstrip()


class SamplePart(models.Model):
    """A part of a sample, and what its tag says of where it was made; blank where there is none.

    What a tag says is a claim: trial and state may contradict each other here.
    """

    sample = models.ForeignKey(Sample, on_delete=models.CASCADE, related_name="parts")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="in_samples")
    label = name_field("What tells it from the other parts of the piece, such as left arm.")
    tool = models.ForeignKey(Tool, on_delete=models.PROTECT, null=True, blank=True, related_name="in_samples")
    state = models.ForeignKey(
        ToolState,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="in_samples",
        help_text="The state of the steel that the tag names.",
    )
    cavity = models.ForeignKey(
        Cavity, on_delete=models.PROTECT, null=True, blank=True, related_name="in_samples"
    )
    trial = models.ForeignKey(
        Trial,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="in_samples",
        help_text="The trial that the tag names.",
    )
    shot = models.PositiveBigIntegerField(null=True, blank=True, help_text="The shot that the tag names.")
    colour = name_field("The colour in words.", blank=True, default="")
    note = models.TextField(blank=True, default="", help_text="Anything the next reader should know.")
    history = kept_history()

    class Meta:
        constraints = (
            once("sample_part_label_once", "sample", "label"),
            *filled("sample_part", "label"),
            CheckConstraint(
                condition=Q(tool__isnull=False)
                | Q(state__isnull=True, cavity__isnull=True, trial__isnull=True),
                name="sample_part_tool_named",
                violation_error_message="a cavity, a state or a trial is that of a tool: name the tool too",
            ),
        )

    def __str__(self) -> str:
        return self.label


class SamplePhotograph(models.Model):
    """A picture of a sample, without where and when it was taken. Never updated."""

    sample = models.ForeignKey(Sample, on_delete=models.CASCADE, related_name="photographs")
    sample_part = models.ForeignKey(
        SamplePart,
        on_delete=models.CASCADE,
        null=True,
        blank=True,
        related_name="photographs",
        help_text="The part that it shows; blank for the whole piece.",
    )
    name = models.CharField(max_length=LONGEST_FILE_NAME, help_text="The file's name as it was sent.")
    sha256 = models.CharField(max_length=64, help_text="SHA-256 of the bytes as kept.")
    content = models.BinaryField(help_text="The bytes, without metadata.")
    media_type = word_field(PictureType, "What kind of picture it is.")
    width = models.PositiveIntegerField(help_text="Pixels across.")
    height = models.PositiveIntegerField(help_text="Pixels down.")
    note = models.TextField(blank=True, default="", help_text="What it shows.")
    added_at = models.DateTimeField(help_text="When it was added.")
    added_by = name_field("Who added it.", blank=True, default="")

    class Meta:
        constraints = (
            once("sample_photograph_once", "sample", "sha256"),
            *filled("sample_photograph", "name"),
            one_of("sample_photograph", "media_type", PictureType),
            CheckConstraint(
                condition=Q(width__gte=1, height__gte=1),
                name="sample_photograph_has_pixels",
                violation_error_message="a picture is at least one pixel wide and high",
            ),
        )

    def __str__(self) -> str:
        return self.name

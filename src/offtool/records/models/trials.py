"""What was run and measured: trials, the files as they came from the gauge room, shots, readings."""

from __future__ import annotations

from django.db import models
from django.db.models import CheckConstraint, F, Q

from offtool.handbook.measured_colour import DIFFERENCE, LIGHTNESS, SIDEWAYS
from offtool.handbook.terms import ANY_NUMBER, LONGEST_FILE_NAME, LONGEST_NAME, NOT_NEGATIVE, Stage
from offtool.records.models.base import filled, kept_history, name_field, once, within, word_field
from offtool.records.models.parts import Characteristic, Programme
from offtool.records.models.presses import Job, in_order, whole_colour
from offtool.records.models.tools import Cavity, Tool, ToolState

SECONDS_AN_HOUR = 3600


class Trial(models.Model):
    """One time the tool is run to learn something."""

    tool = models.ForeignKey(Tool, on_delete=models.CASCADE, related_name="trials")
    name = name_field("T0, T1, T2 … in your firm's own counting.")
    state = models.ForeignKey(
        ToolState,
        on_delete=models.PROTECT,
        related_name="trials",
        help_text="The steel that was in the press.",
    )
    stage = word_field(Stage, "How far the product had come; blank: not said.", blank=True, default="")
    shot_on = models.DateField(null=True, blank=True, help_text="The day it was run.")
    ended_on = models.DateField(
        null=True, blank=True, help_text="The last day of a run that took several; blank for one day."
    )
    pieces = models.PositiveIntegerField(
        null=True, blank=True, help_text="How many pieces were made or kept, where somebody knows."
    )
    press = name_field("The press it ran on.", blank=True, default="")
    colour = name_field("The colour that was in the barrel.", blank=True, default="")
    lightness = models.FloatField(
        null=True, blank=True, help_text="CIELAB L* of what was shot, for D65 and 10 degrees."
    )
    a = models.FloatField(null=True, blank=True, help_text="CIELAB a*.")
    b = models.FloatField(null=True, blank=True, help_text="CIELAB b*.")
    colour_spread_de = models.FloatField(
        null=True,
        blank=True,
        help_text="How far its pieces are from that colour: standard deviation as ΔE00.",
    )
    interrupted = models.ForeignKey(
        Job,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="interrupted_by",
        help_text="The job that stood still meanwhile; its colour was in the barrel.",
    )
    resin_lot = name_field("The lot of the resin.", blank=True, default="")
    age_h = models.FloatField(
        null=True,
        blank=True,
        help_text="Hours from moulding to measuring, where the times are not given.",
    )
    moulded_at = models.DateTimeField(null=True, blank=True, help_text="When the last shot was moulded.")
    measured_at = models.DateTimeField(null=True, blank=True, help_text="When measuring began.")
    settled_from = models.PositiveIntegerField(
        null=True, blank=True, help_text="The shot from which the press had settled, when you know it."
    )
    settled_reason = models.TextField(
        blank=True, default="", help_text="Why the shots are taken to have settled there."
    )
    note = models.TextField(blank=True, default="", help_text="What was special about this trial.")
    history = kept_history()

    class Meta:
        constraints = (
            once("trial_name_once", "tool", "name"),
            *filled("trial", "name"),
            *within("trial", NOT_NEGATIVE, "age_h"),
            CheckConstraint(
                condition=Q(stage__in=["", *(word.value for word in Stage)]),
                name="trial_stage_word",
                violation_error_message=f"stage must be blank or one of: {', '.join(Stage)}",
            ),
            in_order("trial", "shot_on", "ended_on"),
            CheckConstraint(
                condition=Q(pieces__gte=1) | Q(pieces__isnull=True),
                name="trial_pieces_range",
                violation_error_message="pieces must be 1 or more, or blank when nobody knows",
            ),
            *within("trial", LIGHTNESS, "lightness"),
            *within("trial", SIDEWAYS, "a", "b"),
            *within("trial", DIFFERENCE, "colour_spread_de"),
            whole_colour("trial"),
            CheckConstraint(
                condition=Q(colour_spread_de__isnull=True) | Q(lightness__isnull=False),
                name="trial_spread_of_a_colour",
                violation_error_message="a spread is that of a measured colour: give lightness, a and b too",
            ),
            CheckConstraint(
                condition=Q(measured_at__gte=F("moulded_at"))
                | Q(measured_at__isnull=True)
                | Q(moulded_at__isnull=True),
                name="trial_measured_after_moulding",
                violation_error_message="parts are measured after they are moulded: look at the two times",
            ),
        )

    def __str__(self) -> str:
        return self.name

    @property
    def hours_to_measuring(self) -> float | None:
        """Age of the youngest parts when measuring began: from the two times, else as given."""
        if self.moulded_at is not None and self.measured_at is not None:
            return (self.measured_at - self.moulded_at).total_seconds() / SECONDS_AN_HOUR
        return self.age_h


class SourceFile(models.Model):
    """A file as it came from the gauge room, byte for byte, with how it was understood. Never updated."""

    programme = models.ForeignKey(Programme, on_delete=models.PROTECT, related_name="source_files")
    trial = models.ForeignKey(Trial, on_delete=models.PROTECT, related_name="source_files")
    name = models.CharField(max_length=LONGEST_FILE_NAME, help_text="The file's name as it was sent.")
    sheet = models.CharField(
        max_length=LONGEST_NAME, blank=True, default="", help_text="The sheet of a workbook that was read."
    )
    sha256 = models.CharField(max_length=64, help_text="SHA-256 of the bytes.")
    content = models.BinaryField(help_text="The bytes themselves.")
    size = models.PositiveBigIntegerField(help_text="How many bytes.")
    layout = models.CharField(max_length=30, help_text="Wide, long, or the layout of a first-article report.")
    read_options = models.JSONField(
        default=dict, blank=True, help_text="What was understood: encoding, separator, sheet …"
    )
    repairs = models.JSONField(
        default=list, blank=True, help_text="Cells that were read otherwise than written, and why."
    )
    left_out = models.JSONField(default=list, blank=True, help_text="Cells that were refused, and why.")
    read_at = models.DateTimeField(help_text="When it was read.")
    read_by = name_field("Who read it.", blank=True, default="")

    class Meta:
        constraints = (
            once("source_file_once", "programme", "sha256", "sheet"),
            *filled("source_file", "name", "layout"),
        )

    def __str__(self) -> str:
        return self.name


class Shot(models.Model):
    """One press cycle of a trial; gives one part from each cavity."""

    trial = models.ForeignKey(Trial, on_delete=models.PROTECT, related_name="shots", db_index=False)
    number = models.PositiveBigIntegerField(help_text="Counted from the start of the trial.")

    class Meta:
        constraints = (once("shot_number_once", "trial", "number"),)

    def __str__(self) -> str:
        return str(self.number)


class Reading(models.Model):
    """One measured value, with the cell it was read from. Never updated.

    Only `source` is indexed: readings are always fetched by trial, in bulk, and each further index would
    cost its share of every file that is stored.
    """

    source = models.ForeignKey(SourceFile, on_delete=models.PROTECT, related_name="readings")
    characteristic = models.ForeignKey(
        Characteristic, on_delete=models.PROTECT, related_name="readings", db_index=False
    )
    cavity = models.ForeignKey(
        Cavity, on_delete=models.PROTECT, related_name="readings", null=True, blank=True, db_index=False
    )
    shot = models.ForeignKey(
        Shot, on_delete=models.PROTECT, related_name="readings", null=True, blank=True, db_index=False
    )
    part_no = models.PositiveBigIntegerField(
        null=True, blank=True, help_text="Number of the piece, as in the file."
    )
    value = models.FloatField(help_text="The value in the characteristic's unit.")
    row = models.PositiveIntegerField(help_text="Row of the cell in the file, from 1.")
    column = models.PositiveIntegerField(help_text="Column of the cell in the file, from 1.")

    class Meta:
        constraints = (*within("reading", ANY_NUMBER, "value"),)

    def __str__(self) -> str:
        return str(self.value)

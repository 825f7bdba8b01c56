"""Seams: two parts closed by ultrasonic welding, the welder they are closed on, and the runs of its study."""

from __future__ import annotations

from django.db import models
from django.db.models import CheckConstraint, Q

from offtool.handbook.terms import (
    ANY_NUMBER,
    NOT_NEGATIVE,
    POSITIVE,
    Appearance,
    Failure,
    Ridge,
    SeamKind,
)
from offtool.records.models.base import (
    ReadFromFile,
    filled,
    kept_history,
    name_field,
    once,
    one_of,
    within,
    word_field,
)
from offtool.records.models.parts import Characteristic, Gauge, Part, Programme
from offtool.records.models.tools import Cavity
from offtool.records.models.trials import Trial


class Seam(models.Model):
    """A joint closed by ultrasonic welding."""

    programme = models.ForeignKey(Programme, on_delete=models.CASCADE, related_name="seams")
    code = name_field("The seam's short name, such as torso.")
    name = name_field("The seam in words.", blank=True, default="")
    kind = word_field(SeamKind, "How the two parts meet.")
    top_part = models.ForeignKey(
        Part, on_delete=models.PROTECT, related_name="top_seams", help_text="The part under the horn."
    )
    bottom_part = models.ForeignKey(
        Part, on_delete=models.PROTECT, related_name="bottom_seams", help_text="The part in the nest."
    )
    required_n = models.FloatField(null=True, blank=True, help_text="Pull that it must hold, N.")
    largest_flash_mm = models.FloatField(
        null=True, blank=True, help_text="Flash that may stand out at most, mm."
    )
    frequency_khz = models.FloatField(null=True, blank=True, help_text="The welder's frequency, kHz.")
    converter_um = models.FloatField(
        null=True, blank=True, help_text="Amplitude of the converter at full power, µm peak-to-peak."
    )
    amplitude_pct = models.FloatField(default=100.0, help_text="Amplitude set at the welder, % of full.")
    booster_gain = models.FloatField(null=True, blank=True, help_text="Gain of the booster, such as 1.5.")
    horn_gain = models.FloatField(null=True, blank=True, help_text="Gain of the horn, such as 2.")
    horn_distance_mm = models.FloatField(
        null=True, blank=True, help_text="From the face of the horn to the seam, mm."
    )
    note = models.TextField(blank=True, default="", help_text="Anything the next reader should know.")
    history = kept_history()

    class Meta:
        constraints = (
            once("seam_code_once", "programme", "code"),
            *filled("seam", "code"),
            one_of("seam", "kind", SeamKind),
            *within("seam", POSITIVE, "required_n", "largest_flash_mm", "frequency_khz", "converter_um"),
            *within("seam", POSITIVE, "booster_gain", "horn_gain"),
            *within("seam", {"above": 0, "at_most": 100}, "amplitude_pct"),
            *within("seam", NOT_NEGATIVE, "horn_distance_mm"),
        )

    def __str__(self) -> str:
        return f"{self.code} {self.name}".rstrip()


class SeamSize(models.Model):
    """One size of a seam: a characteristic that is measured, or a number."""

    seam = models.ForeignKey(Seam, on_delete=models.CASCADE, related_name="sizes")
    role = name_field("What the size is in the seam, such as ridge_height.")
    characteristic = models.ForeignKey(
        Characteristic,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="in_seams",
        help_text="The size that is measured; blank for a number.",
    )
    value = models.FloatField(null=True, blank=True, help_text="The number, where it is not measured.")
    plus_minus = models.FloatField(default=0.0, help_text="How far the number may be off, either way.")
    history = kept_history()

    class Meta:
        constraints = (
            once("seam_size_role_once", "seam", "role"),
            *filled("seam_size", "role"),
            *within("seam_size", ANY_NUMBER, "value"),
            *within("seam_size", NOT_NEGATIVE, "plus_minus"),
            CheckConstraint(
                condition=Q(characteristic__isnull=True) | Q(value__isnull=True),
                name="seam_size_one_source",
                violation_error_message="give a characteristic or a number, not both",
            ),
        )

    def __str__(self) -> str:
        return self.role


class WeldStudy(ReadFromFile):
    """Runs of the welder on one seam, from one file. They never change; a study is set aside
    with a reason."""

    seam = models.ForeignKey(Seam, on_delete=models.PROTECT, related_name="studies")
    name = name_field("The study's own name or number.")
    gauge = models.ForeignKey(
        Gauge,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="weld_studies",
        help_text="What the strength was measured with.",
    )
    top_trial = models.ForeignKey(
        Trial,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="top_weld_studies",
        help_text="The trial that the pieces under the horn are from.",
    )
    bottom_trial = models.ForeignKey(
        Trial,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="bottom_weld_studies",
        help_text="The trial that the pieces in the nest are from.",
    )
    history = kept_history(without=("content",))

    class Meta:
        verbose_name_plural = "weld studies"
        constraints = (
            once("weld_study_once", "seam", "name"),
            *filled("weld_study", "name", "file_name"),
        )

    def __str__(self) -> str:
        return self.name


class WeldRun(models.Model):
    """One piece that was welded: the settings, and what became of it. Never updated."""

    study = models.ForeignKey(WeldStudy, on_delete=models.PROTECT, related_name="runs")
    piece = name_field("The piece, as marked.")
    top_cavity = models.ForeignKey(
        Cavity, on_delete=models.PROTECT, null=True, blank=True, related_name="top_weld_runs"
    )
    bottom_cavity = models.ForeignKey(
        Cavity, on_delete=models.PROTECT, null=True, blank=True, related_name="bottom_weld_runs"
    )
    time_s = models.FloatField(null=True, blank=True, help_text="Weld time, s.")
    pressure_bar = models.FloatField(null=True, blank=True, help_text="Air pressure of the welder, bar.")
    amplitude_um = models.FloatField(
        null=True, blank=True, help_text="Amplitude at the horn, µm peak-to-peak."
    )
    hold_s = models.FloatField(null=True, blank=True, help_text="Hold time, s.")
    energy_j = models.FloatField(null=True, blank=True, help_text="Energy that the welder shows, J.")
    collapse_mm = models.FloatField(null=True, blank=True, help_text="How far the horn went down, mm.")
    strength_n = models.FloatField(
        null=True, blank=True, help_text="Pull at which it came apart, or was stopped, N."
    )
    failure = word_field(Failure, "How it came apart.", blank=True, default=Failure.NOT_LOOKED)
    height_mm = models.FloatField(null=True, blank=True, help_text="Height of the welded piece, mm.")
    flash_mm = models.FloatField(null=True, blank=True, help_text="Flash that stands out, mm.")
    appearance = word_field(Appearance, "What is seen of it.", blank=True, default=Appearance.NOT_LOOKED)
    ridge = word_field(Ridge, "What is left of the ridge.", blank=True, default=Ridge.NOT_LOOKED)
    row = models.PositiveIntegerField(help_text="Row in the file, from 1.")

    class Meta:
        constraints = (
            once("weld_run_once", "study", "row"),
            *filled("weld_run", "piece"),
            one_of("weld_run", "failure", Failure),
            one_of("weld_run", "appearance", Appearance),
            one_of("weld_run", "ridge", Ridge),
            *within("weld_run", NOT_NEGATIVE, "time_s", "pressure_bar", "amplitude_um", "hold_s"),
            *within("weld_run", NOT_NEGATIVE, "energy_j", "strength_n", "flash_mm", "height_mm"),
            *within("weld_run", ANY_NUMBER, "collapse_mm"),
        )

    def __str__(self) -> str:
        return self.piece

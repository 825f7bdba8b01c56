"""Gauge studies as they were carried out. Their readings never change; a study is set aside with a reason."""

from __future__ import annotations

from django.db import models
from django.db.models import CheckConstraint, Q

from offtool.handbook.terms import ANY_NUMBER, NOT_NEGATIVE, POSITIVE, StudyKind
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
from offtool.records.models.parts import Characteristic, Gauge


class GaugeStudy(ReadFromFile):
    """What one gauge does to one kind of size: who measured which parts how often."""

    gauge = models.ForeignKey(Gauge, on_delete=models.PROTECT, related_name="studies")
    characteristic = models.ForeignKey(
        Characteristic,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="gauge_studies",
        help_text="The size that was measured; its limits are the tolerance. Blank for a reference part.",
    )
    name = name_field("The study's own name or number.")
    kind = word_field(StudyKind, "How the study was laid out.")
    tolerance = models.FloatField(
        null=True,
        blank=True,
        help_text="Upper less lower limit the gauge is judged by; blank for that of the characteristic.",
    )
    reference_uncertainty = models.FloatField(
        default=0.0, help_text="Standard uncertainty of the reference parts; 0 when not known."
    )
    history = kept_history(without=("content",))

    class Meta:
        verbose_name_plural = "gauge studies"
        constraints = (
            once("gauge_study_once", "gauge", "name"),
            *filled("gauge_study", "name", "file_name"),
            one_of("gauge_study", "kind", StudyKind),
            *within("gauge_study", POSITIVE, "tolerance"),
            *within("gauge_study", NOT_NEGATIVE, "reference_uncertainty"),
        )

    def __str__(self) -> str:
        return self.name


class GaugeReading(models.Model):
    """One reading of a gauge study, with the cell it was read from. Never updated."""

    study = models.ForeignKey(GaugeStudy, on_delete=models.PROTECT, related_name="readings")
    part = name_field("The part, as marked.")
    operator = name_field("Who measured; blank where it does not matter.", blank=True, default="")
    repeat = models.PositiveIntegerField(help_text="First, second, third reading of the same part, from 1.")
    reference = models.FloatField(null=True, blank=True, help_text="The part's own size, where it is known.")
    value = models.FloatField(help_text="The value that was read.")
    row = models.PositiveIntegerField(help_text="Row of the cell in the file, from 1.")
    column = models.PositiveIntegerField(help_text="Column of the cell in the file, from 1.")

    class Meta:
        constraints = (
            once("gauge_reading_once", "study", "part", "operator", "repeat"),
            *filled("gauge_reading", "part"),
            *within("gauge_reading", ANY_NUMBER, "value", "reference"),
            CheckConstraint(
                condition=Q(repeat__gte=1),
                name="gauge_reading_repeat_range",
                violation_error_message="repeats are counted from 1",
            ),
        )

    def __str__(self) -> str:
        return str(self.value)

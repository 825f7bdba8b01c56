"""What was seen and measured on a sample. It never changes; an observation is set aside with a reason.

Something seen, something looked for and missing, and something not looked at are three findings: the first
two are rows here, the third is no row.
"""

from __future__ import annotations

from django.db import models
from django.db.models import CheckConstraint, Q

from offtool.handbook.measured_colour import (
    DIFFERENCE,
    LIGHTNESS,
    PART_OF_ALL,
    SIDEWAYS,
    USUAL_OBSERVER,
    Illuminant,
)
from offtool.handbook.terms import ANY_NUMBER, NOT_NEGATIVE, ColourBy
from offtool.records.models.base import filled, kept_history, name_field, once, one_of, within, word_field
from offtool.records.models.details import Detail
from offtool.records.models.parts import Characteristic
from offtool.records.models.presses import known_observer
from offtool.records.models.samples import Sample, SamplePart


class Observed(models.Model):
    """What all observations have in common."""

    seen_at = models.DateTimeField(help_text="When.")
    seen_by = name_field("Who.", blank=True, default="")
    note = models.TextField(blank=True, default="", help_text="Anything the next reader should know.")
    set_aside = models.TextField(
        blank=True, default="", help_text="Why it no longer counts; empty while it counts."
    )

    class Meta:
        abstract = True


def counted_from_one(table: str) -> CheckConstraint:
    """Repeats of one measurement are counted from 1."""
    return CheckConstraint(
        condition=Q(repeat__gte=1),
        name=f"{table}_repeat_range",
        violation_error_message="repeats are counted from 1",
    )


class SeenDetail(Observed):
    """A detail that was looked for on a part: there, or missing."""

    sample_part = models.ForeignKey(SamplePart, on_delete=models.PROTECT, related_name="seen_details")
    detail = models.ForeignKey(Detail, on_delete=models.PROTECT, related_name="seen")
    is_there = models.BooleanField(help_text="It is there; no: it was looked for and is missing.")
    is_sure = models.BooleanField(default=True, help_text="No: worn, damaged or hard to see.")
    history = kept_history()

    class Meta:
        constraints = (once("seen_detail_once", "sample_part", "detail", "seen_at", "seen_by"),)

    def __str__(self) -> str:
        return "there" if self.is_there else "missing"


class SeenSign(Observed):
    """What a sign of the handbook showed, on the piece or on one part of it."""

    sample = models.ForeignKey(Sample, on_delete=models.PROTECT, related_name="seen_signs")
    sample_part = models.ForeignKey(
        SamplePart,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="seen_signs",
        help_text="The part it was seen on; blank for the whole piece.",
    )
    sign = name_field("Which sign of the handbook.")
    outcome = name_field("What it showed.")
    is_sure = models.BooleanField(default=True, help_text="No: worn, damaged or hard to see.")
    history = kept_history()

    class Meta:
        constraints = (
            once(
                "seen_sign_once",
                *("sample", "sign", "seen_at", "seen_by"),
                condition=Q(sample_part__isnull=True),
            ),
            once("seen_sign_on_part_once", "sample_part", "sign", "seen_at", "seen_by"),
            *filled("seen_sign", "sign", "outcome"),
        )

    def __str__(self) -> str:
        return f"{self.sign}: {self.outcome}"


class SampleSize(Observed):
    """A size or a weight that was measured on a part."""

    sample_part = models.ForeignKey(SamplePart, on_delete=models.PROTECT, related_name="sizes")
    characteristic = models.ForeignKey(
        Characteristic, on_delete=models.PROTECT, related_name="measured_on_samples"
    )
    value = models.FloatField(help_text="The value in the characteristic's unit.")
    uncertainty = models.FloatField(
        null=True, blank=True, help_text="Standard uncertainty of it; blank when not known."
    )
    repeat = models.PositiveIntegerField(default=1, help_text="Counts what was measured again at once.")
    history = kept_history()

    class Meta:
        constraints = (
            once("sample_size_once", "sample_part", "characteristic", "seen_at", "seen_by", "repeat"),
            *within("sample_size", ANY_NUMBER, "value"),
            *within("sample_size", NOT_NEGATIVE, "uncertainty"),
            counted_from_one("sample_size"),
        )

    def __str__(self) -> str:
        return str(self.value)


class SampleColour(Observed):
    """The colour of a place on a part, in CIELAB."""

    sample_part = models.ForeignKey(SamplePart, on_delete=models.PROTECT, related_name="colours")
    place = name_field("Where on the part, such as back.", blank=True, default="")
    lightness = models.FloatField(help_text="CIELAB L*.")
    a = models.FloatField(help_text="CIELAB a*.")
    b = models.FloatField(help_text="CIELAB b*.")
    uncertainty_de = models.FloatField(help_text="Standard uncertainty as a colour difference ΔE00.")
    by = word_field(ColourBy, "How it was measured.")
    illuminant = word_field(Illuminant, "The light it is stated for.", default=Illuminant.D65.value)
    observer = models.PositiveSmallIntegerField(
        default=USUAL_OBSERVER, help_text="The eye it is stated for: 2 or 10 degrees."
    )
    clipped_share = models.FloatField(
        null=True, blank=True, help_text="Share of the pixels that were burnt out; blank for an instrument."
    )
    repeat = models.PositiveIntegerField(default=1, help_text="Counts what was measured again at once.")
    history = kept_history()

    class Meta:
        constraints = (
            once("sample_colour_once", "sample_part", "place", "seen_at", "seen_by", "repeat"),
            *within("sample_colour", LIGHTNESS, "lightness"),
            *within("sample_colour", SIDEWAYS, "a", "b"),
            *within("sample_colour", DIFFERENCE, "uncertainty_de"),
            one_of("sample_colour", "by", ColourBy),
            one_of("sample_colour", "illuminant", Illuminant),
            known_observer("sample_colour"),
            *within("sample_colour", PART_OF_ALL, "clipped_share"),
            counted_from_one("sample_colour"),
        )

    def __str__(self) -> str:
        return f"{self.lightness:g}, {self.a:g}, {self.b:g}"

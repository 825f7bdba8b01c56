"""The steel: tools, their cavities and states, the features that form sizes, and the steel as measured."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from offtool.handbook.terms import ANY_NUMBER, NOT_NEGATIVE, POSITIVE, STEP_MM, Feed, Half, Stated
from offtool.records.models.base import (
    filled,
    kept_history,
    name_field,
    not_zero,
    number_field,
    once,
    one_of,
    within,
    word_field,
)
from offtool.records.models.parts import Characteristic, Part, Programme


class Tool(models.Model):
    """The mould that makes one or several parts."""

    programme = models.ForeignKey(Programme, on_delete=models.CASCADE, related_name="tools")
    code = name_field("The tool number.")
    name = name_field("The tool as people call it.", blank=True, default="")
    step_mm = models.FloatField(
        default=0.01, help_text="The toolmaker's step; corrections are whole steps of it."
    )
    # 0.005 is common practice, no source
    cut_sd_mm = models.FloatField(
        default=0.005, help_text="How inaccurately the toolmaker cuts: standard deviation of a cut, mm."
    )
    wide_mm = number_field("Width of the closed mould, between the tie bars, mm.")
    high_mm = number_field("Height of the closed mould as it hangs in the press, mm.")
    thick_mm = number_field("Height of the closed mould from platen to platen, mm.")
    opening_mm = number_field("How far it must open for the parts to fall out, mm.")
    ejector_mm = number_field("How far the ejectors must come forward, mm.")
    feed = word_field(Feed, "How the melt reaches the cavities; blank: not said.", blank=True, default="")
    runner_g = number_field("Weight of the cold runner and sprue of one shot, g.")
    runner_cm2 = number_field("Area of the runner as seen along the opening, outside the parts, cm².")
    hot_runner_cm3 = number_field("Melt in the hot runner, cm³.")
    cavity_pressure_mpa = number_field(
        "Mean pressure in the cavity while it is filled and packed, MPa; blank for that of the resin."
    )
    setup_h = number_field("Hours to hang it in and set it; blank for what is usual.")
    history = kept_history()

    class Meta:
        constraints = (
            once("tool_code_once", "programme", "code"),
            *filled("tool", "code"),
            *within("tool", STEP_MM, "step_mm"),
            *within("tool", NOT_NEGATIVE, "cut_sd_mm"),
            *within("tool", POSITIVE, "wide_mm", "high_mm", "thick_mm", "opening_mm", "cavity_pressure_mpa"),
            *within(
                "tool", NOT_NEGATIVE, "ejector_mm", "runner_g", "runner_cm2", "hot_runner_cm3", "setup_h"
            ),
            one_of("tool", "feed", Feed),
        )

    def __str__(self) -> str:
        return f"{self.code} {self.name}".rstrip()


class Cavity(models.Model):
    """One impression of one part in a tool."""

    tool = models.ForeignKey(Tool, on_delete=models.CASCADE, related_name="cavities")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="cavities")
    label = name_field("The cavity number, as engraved in the steel.")
    history = kept_history()

    class Meta:
        verbose_name_plural = "cavities"
        constraints = (
            once("cavity_label_once", "tool", "part", "label"),
            *filled("cavity", "label"),
        )

    def __str__(self) -> str:
        return self.label


class ToolState(models.Model):
    """The steel of a tool between two changes. Trials and steel sizes hang on it."""

    tool = models.ForeignKey(Tool, on_delete=models.CASCADE, related_name="states")
    label = name_field("The letter of the state: a as first cut, then b, c …")
    ordinal = models.PositiveIntegerField(help_text="Its place in time: 1 as first cut, then 2, 3 …")
    made_on = models.DateField(null=True, blank=True, help_text="The day the steel was ready.")
    note = models.TextField(blank=True, default="", help_text="What was done to the steel.")
    history = kept_history()

    class Meta:
        constraints = (
            once("tool_state_label_once", "tool", "label"),
            once("tool_state_ordinal_once", "tool", "ordinal"),
            *filled("tool_state", "label"),
            *within("tool_state", POSITIVE, "ordinal"),
        )

    def __str__(self) -> str:
        return self.label


class SteelFeature(models.Model):
    """What in the steel forms a size, and how its own size moves when steel is removed."""

    tool = models.ForeignKey(Tool, on_delete=models.CASCADE, related_name="features")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="features")
    code = name_field("The feature on the tool drawing, such as CP3.")
    name = name_field("The feature in words, such as core pin of the hip socket.", blank=True, default="")
    half = word_field(Half, "Where in the tool it sits.")
    stated = word_field(Stated, "How its size and its corrections are given.")
    size_change_per_mm = models.FloatField(
        help_text=(
            "What the steel size does per mm of steel REMOVED in the stated measure: +1 a recess grows, "
            "−1 a core pin shrinks, ±2 when steel is stated per side and the size is a diameter."
        )
    )
    drawn_mm = models.FloatField(null=True, blank=True, help_text="Steel size on the tool drawing, mm.")
    can_add = models.BooleanField(
        default=False, help_text="Steel can be added by a new pin or insert; else only removed."
    )
    history = kept_history()

    class Meta:
        constraints = (
            once("feature_code_once", "tool", "code"),
            *filled("feature", "code"),
            one_of("feature", "half", Half),
            one_of("feature", "stated", Stated),
            *within("feature", ANY_NUMBER, "size_change_per_mm"),
            not_zero("feature", "size_change_per_mm", "removing steel always changes the steel size"),
            *within("feature", POSITIVE, "drawn_mm"),
        )

    def __str__(self) -> str:
        return f"{self.code} {self.name}".rstrip()


class SteelSize(models.Model):
    """The steel as measured: one feature in one cavity in one state of the tool."""

    feature = models.ForeignKey(SteelFeature, on_delete=models.PROTECT, related_name="sizes")
    cavity = models.ForeignKey(Cavity, on_delete=models.PROTECT, related_name="steel_sizes")
    state = models.ForeignKey(ToolState, on_delete=models.PROTECT, related_name="steel_sizes")
    measured_mm = models.FloatField(help_text="The steel size as measured, mm.")
    # 0.003 is common practice, no source
    uncertainty_mm = models.FloatField(
        default=0.003, help_text="Standard uncertainty of that measurement, mm."
    )
    allowance_mm = models.FloatField(help_text="Steel that may still be removed, mm, in the stated measure.")
    history = kept_history()

    class Meta:
        constraints = (
            once("steel_size_once", "feature", "cavity", "state"),
            *within("steel_size", POSITIVE, "measured_mm"),
            *within("steel_size", NOT_NEGATIVE, "uncertainty_mm", "allowance_mm"),
        )

    def __str__(self) -> str:
        return f"{self.measured_mm} mm"


class Move(models.Model):
    """What a characteristic of the part does when steel is removed from a feature."""

    feature = models.ForeignKey(SteelFeature, on_delete=models.CASCADE, related_name="moves")
    characteristic = models.ForeignKey(Characteristic, on_delete=models.CASCADE, related_name="moves")
    factor = models.FloatField(
        help_text=(
            "mm of part per mm of steel removed in the stated measure, before shrinkage: "
            "−2 for a bore formed by a core pin that is stated per side."
        )
    )
    forms = models.BooleanField(
        default=False, help_text="This feature's size IS the cavity size of the characteristic."
    )
    history = kept_history()

    class Meta:
        constraints = (
            once("move_once", "feature", "characteristic"),
            once(
                "move_one_forming_feature",
                "characteristic",
                condition=Q(forms=True),
                said="the characteristic is formed by another feature already",
            ),
            *within("move", ANY_NUMBER, "factor"),
            not_zero("move", "factor", "leave the row out when the feature does not move the characteristic"),
        )

    def __str__(self) -> str:
        return f"{self.feature_id} moves {self.characteristic_id} by {self.factor}"

"""Presses, which tools they can hold, and the jobs that ran on them: a trial interrupts a job and takes its
colour."""

from __future__ import annotations

from django.db import models
from django.db.models import CheckConstraint, F, Q

from offtool.handbook.measured_colour import (
    DIFFERENCE,
    LIGHTNESS,
    OBSERVERS,
    SIDEWAYS,
    USUAL_OBSERVER,
    USUAL_SPREAD_DE,
    Illuminant,
)
from offtool.handbook.terms import HOUR_OF_DAY, NOT_NEGATIVE, POSITIVE
from offtool.records.models.base import (
    filled,
    kept_history,
    name_field,
    number_field,
    once,
    one_of,
    within,
    word_field,
)
from offtool.records.models.parts import Programme
from offtool.records.models.tools import Tool


def whole_colour(table: str) -> CheckConstraint:
    """Lightness, a and b are all given or all blank."""
    return CheckConstraint(
        condition=Q(lightness__isnull=True, a__isnull=True, b__isnull=True)
        | Q(lightness__isnull=False, a__isnull=False, b__isnull=False),
        name=f"{table}_colour_whole",
        violation_error_message="a measured colour has lightness, a and b: give all of them or none",
    )


def known_observer(table: str) -> CheckConstraint:
    """The eye that a colour is stated for is one of the two that are standard."""
    return CheckConstraint(
        condition=Q(observer__in=OBSERVERS),
        name=f"{table}_observer_known",
        violation_error_message="the observer must be 2 or 10 degrees",
    )


def in_order(table: str, first: str, last: str) -> CheckConstraint:
    """The last day is not before the first; either may be blank where the field allows it."""
    return CheckConstraint(
        condition=Q(**{f"{last}__gte": F(first)})
        | Q(**{f"{first}__isnull": True})
        | Q(**{f"{last}__isnull": True}),
        name=f"{table}_days_in_order",
        violation_error_message=f"{last} must not be before {first}",
    )


class Press(models.Model):
    """A moulding machine."""

    programme = models.ForeignKey(Programme, on_delete=models.CASCADE, related_name="presses")
    code = name_field("The press as it is called on the floor, such as P3.")
    name = name_field("The press in words, such as 80 t, electric.", blank=True, default="")
    clamp_kn = number_field("Clamping force, kN; 1 t is 9.81 kN.")
    barrel_g = number_field("Largest shot in g of polystyrene, as its sheet says.")
    screw_mm = number_field("Diameter of the screw, mm.")
    tie_bars_wide_mm = number_field("Clear width between the tie bars, mm.")
    tie_bars_high_mm = number_field("Clear height between the tie bars, mm.")
    mould_least_mm = number_field("Least height of a mould, mm.")
    mould_most_mm = number_field("Greatest height of a mould, mm.")
    opening_mm = number_field("Largest stroke of the moving platen, mm.")
    daylight_mm = number_field("Largest distance between the platens, mm.")
    ejector_mm = number_field("Stroke of the ejector, mm.")
    dry_cycle_s = number_field("Dry cycle time, s.")
    per_hour = number_field("What an hour of it costs.")
    works_from_h = number_field("Hour of the day from which it runs; blank: round the clock.")
    works_to_h = number_field("Hour of the day to which it runs; blank: round the clock.")
    workdays = name_field(
        "The days it runs, such as Mon Tue Wed Thu Fri Sat; blank: Monday to Saturday.",
        blank=True,
        default="",
    )
    note = models.TextField(blank=True, default="", help_text="Anything the next reader should know.")
    history = kept_history()

    class Meta:
        verbose_name_plural = "presses"
        constraints = (
            once("press_code_once", "programme", "code"),
            *filled("press", "code"),
            *within("press", POSITIVE, "clamp_kn", "barrel_g", "screw_mm"),
            *within("press", POSITIVE, "tie_bars_wide_mm", "tie_bars_high_mm"),
            *within("press", NOT_NEGATIVE, "mould_least_mm"),
            *within("press", POSITIVE, "mould_most_mm", "opening_mm", "daylight_mm"),
            *within("press", POSITIVE, "ejector_mm", "dry_cycle_s"),
            *within("press", NOT_NEGATIVE, "per_hour"),
            *within("press", HOUR_OF_DAY, "works_from_h", "works_to_h"),
            CheckConstraint(
                condition=Q(works_from_h__isnull=True, works_to_h__isnull=True)
                | Q(works_from_h__isnull=False, works_to_h__gt=F("works_from_h")),
                name="press_hours_in_order",
                violation_error_message=(
                    "give the hours from which and to which it runs, the first before the last, or neither"
                ),
            ),
            CheckConstraint(
                condition=Q(mould_most_mm__gte=F("mould_least_mm"))
                | Q(mould_least_mm__isnull=True)
                | Q(mould_most_mm__isnull=True),
                name="press_moulds_in_order",
                violation_error_message="the greatest height of a mould must not be below the least",
            ),
        )

    def __str__(self) -> str:
        return f"{self.code} {self.name}".rstrip()


class PressHolds(models.Model):
    """A press can hold a tool. A tool that stands in no such row may go on any press."""

    press = models.ForeignKey(Press, on_delete=models.CASCADE, related_name="holds")
    tool = models.ForeignKey(Tool, on_delete=models.CASCADE, related_name="goes_on")
    history = kept_history()

    class Meta:
        verbose_name_plural = "press holds"
        constraints = (once("press_holds_once", "press", "tool"),)

    def __str__(self) -> str:
        return f"{self.press_id} holds {self.tool_id}"


class Job(models.Model):
    """Production that ran on a press, of some product in some colour, from day to day."""

    press = models.ForeignKey(Press, on_delete=models.CASCADE, related_name="jobs")
    code = name_field("The number of the job on its press.")
    product = name_field("What was being made, such as wheelbarrow.", blank=True, default="")
    what = name_field("Which part of it, by number or in words.", blank=True, default="")
    colour = name_field("The colour as people call it.", blank=True, default="")
    lightness = models.FloatField(null=True, blank=True, help_text="CIELAB L* of its colour.")
    a = models.FloatField(null=True, blank=True, help_text="CIELAB a*.")
    b = models.FloatField(null=True, blank=True, help_text="CIELAB b*.")
    spread_de = models.FloatField(
        default=USUAL_SPREAD_DE,
        help_text="How far pieces of this job are from its colour: standard deviation as ΔE00.",
    )
    illuminant = word_field(Illuminant, "The light it is stated for.", default=Illuminant.D65.value)
    observer = models.PositiveSmallIntegerField(
        default=USUAL_OBSERVER, help_text="The eye it is stated for: 2 or 10 degrees."
    )
    begins = models.DateField(help_text="The first day it ran.")
    ends = models.DateField(null=True, blank=True, help_text="The last day it ran; blank while it runs.")
    resin = name_field("What it is moulded in, such as ABS or PP.", blank=True, default="")
    may_stop = models.BooleanField(
        null=True, blank=True, help_text="A trial may interrupt it; blank: nobody has said."
    )
    margin_per_h = number_field("Contribution lost for each hour that it stands.")
    restart_min = number_field(
        "Minutes from the way back in until good parts come again, without the colour."
    )
    note = models.TextField(blank=True, default="", help_text="Anything the next reader should know.")
    history = kept_history()

    class Meta:
        constraints = (
            once("job_code_once", "press", "code"),
            *filled("job", "code"),
            *within("job", LIGHTNESS, "lightness"),
            *within("job", SIDEWAYS, "a", "b"),
            *within("job", DIFFERENCE, "spread_de"),
            whole_colour("job"),
            one_of("job", "illuminant", Illuminant),
            known_observer("job"),
            in_order("job", "begins", "ends"),
            *within("job", NOT_NEGATIVE, "margin_per_h", "restart_min"),
        )

    def __str__(self) -> str:
        return self.code

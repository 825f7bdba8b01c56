"""What is planned: trials that are asked for, when a press is off, and when engineers are there."""

from __future__ import annotations

from django.db import models
from django.db.models import CheckConstraint, F, Q

from offtool.handbook.measured_colour import LIGHTNESS, SIDEWAYS
from offtool.handbook.terms import NOT_NEGATIVE, TRIAL_HOURS, ColourWish, TrialPurpose
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
from offtool.records.models.presses import Press, in_order, whole_colour
from offtool.records.models.tools import Tool


def _ends_later(table: str) -> CheckConstraint:
    return CheckConstraint(
        condition=Q(ends_at__gt=F("begins_at")),
        name=f"{table}_times_in_order",
        violation_error_message="ends_at must be after begins_at",
    )


class PressOff(models.Model):
    """A time in which a press stands, for repair or another reason. Nothing runs on it then."""

    press = models.ForeignKey(Press, on_delete=models.CASCADE, related_name="off_times")
    begins_at = models.DateTimeField(help_text="From when.")
    ends_at = models.DateTimeField(help_text="Until when.")
    why = name_field("Why, such as new check ring.", blank=True, default="")
    history = kept_history()

    class Meta:
        verbose_name_plural = "press off times"
        constraints = (once("press_off_once", "press", "begins_at"), _ends_later("press_off"))

    def __str__(self) -> str:
        return f"{self.begins_at:%Y-%m-%d %H:%M}"


class EngineersThere(models.Model):
    """A time in which an engineer is at the shop and can see a trial. Two rows at once: two engineers."""

    programme = models.ForeignKey(Programme, on_delete=models.CASCADE, related_name="engineers_there")
    begins_at = models.DateTimeField(help_text="From when.")
    ends_at = models.DateTimeField(help_text="Until when.")
    who = name_field("Who.", blank=True, default="")
    history = kept_history()

    class Meta:
        verbose_name_plural = "engineers there"
        constraints = (
            once("engineers_there_once", "programme", "begins_at", "who"),
            _ends_later("engineers_there"),
        )

    def __str__(self) -> str:
        return f"{self.who} {self.begins_at:%Y-%m-%d %H:%M}".lstrip()


class TrialRequest(models.Model):
    """A trial that is asked for. It has run once the tool has a trial of this name with findings."""

    tool = models.ForeignKey(Tool, on_delete=models.CASCADE, related_name="requests")
    name = name_field("The trial, such as T4.")
    earliest = models.DateField(null=True, blank=True, help_text="Not before this day.")
    due = models.DateField(null=True, blank=True, help_text="The day by which it should have run.")
    hours = number_field("Hours it holds the press; blank: they are computed.")
    wish = word_field(ColourWish, "Which colour it may be shot in.", default=ColourWish.ANY.value)
    colour = name_field("The product's colour as people call it.", blank=True, default="")
    lightness = number_field("CIELAB L* of the product's colour, for D65 and 10 degrees.")
    a = number_field("CIELAB a*.")
    b = number_field("CIELAB b*.")
    resin = name_field("What it is shot in; blank: the resin of the parts.", blank=True, default="")
    late_per_day = number_field("What each day after the due day costs.")
    needs_engineer = models.BooleanField(default=True, help_text="An engineer must be there to see it.")
    press = models.ForeignKey(
        Press,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="requests",
        help_text="The press of its fixed slot.",
    )
    starts_at = models.DateTimeField(null=True, blank=True, help_text="When its fixed slot starts.")
    asked_by = name_field("Who asks for it.", blank=True, default="")
    note = models.TextField(blank=True, default="", help_text="Anything the next reader should know.")
    history = kept_history()

    class Meta:
        constraints = (
            once("trial_request_once", "tool", "name", said="this trial of the tool is asked for already"),
            *filled("trial_request", "name"),
            in_order("trial_request", "earliest", "due"),
            *within("trial_request", TRIAL_HOURS, "hours"),
            one_of("trial_request", "wish", ColourWish),
            *within("trial_request", LIGHTNESS, "lightness"),
            *within("trial_request", SIDEWAYS, "a", "b"),
            whole_colour("trial_request"),
            *within("trial_request", NOT_NEGATIVE, "late_per_day"),
            CheckConstraint(
                condition=Q(press__isnull=True, starts_at__isnull=True)
                | Q(press__isnull=False, starts_at__isnull=False),
                name="trial_request_slot_whole",
                violation_error_message="a fixed slot has a press and a start: give both or neither",
            ),
        )

    def __str__(self) -> str:
        return self.name

    @property
    def is_fixed(self) -> bool:
        """Its press and its start are fixed; the plan leaves it where it is."""
        return self.press_id is not None and self.starts_at is not None


class TrialWant(models.Model):
    """One thing that a requested trial is to show, and how many pieces of each cavity that takes."""

    request = models.ForeignKey(TrialRequest, on_delete=models.CASCADE, related_name="wants")
    purpose = word_field(TrialPurpose, "What it is to show.")
    pieces = models.PositiveIntegerField(
        null=True, blank=True, help_text="Pieces for it; blank: as many as the handbook says."
    )
    history = kept_history()

    class Meta:
        constraints = (
            once("trial_want_once", "request", "purpose"),
            one_of("trial_want", "purpose", TrialPurpose),
            CheckConstraint(
                condition=Q(pieces__gte=1, pieces__lte=1_000_000) | Q(pieces__isnull=True),
                name="trial_want_pieces_range",
                violation_error_message="pieces must be 1 to 1,000,000, or blank for what is usual",
            ),
        )

    def __str__(self) -> str:
        return self.purpose

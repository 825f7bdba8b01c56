"""Builds: pieces put together from parts of several runs; and a programme's own words for its stages."""

from __future__ import annotations

from django.db import models
from django.db.models import CheckConstraint, Q

from offtool.handbook.terms import POSITIVE, Stage
from offtool.records.models.base import filled, kept_history, name_field, once, one_of, within, word_field
from offtool.records.models.parts import Programme
from offtool.records.models.trials import Trial


class Build(models.Model):
    """Pieces put together on one occasion, such as an engineering build or a line pilot."""

    programme = models.ForeignKey(Programme, on_delete=models.CASCADE, related_name="builds")
    code = name_field("The build's short name, such as EP1.")
    stage = word_field(Stage, "How far the product had come.")
    built_on = models.DateField(null=True, blank=True, help_text="The day it was built.")
    pieces = models.PositiveIntegerField(null=True, blank=True, help_text="How many were built.")
    note = models.TextField(blank=True, default="", help_text="Anything the next reader should know.")
    history = kept_history()

    class Meta:
        constraints = (
            once("build_code_once", "programme", "code"),
            *filled("build", "code"),
            one_of("build", "stage", Stage),
            CheckConstraint(
                condition=Q(pieces__gte=1) | Q(pieces__isnull=True),
                name="build_pieces_range",
                violation_error_message="pieces must be 1 or more, or blank when nobody knows",
            ),
        )

    def __str__(self) -> str:
        return self.code


class BuildPart(models.Model):
    """A run that a build took its parts from."""

    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="from_runs")
    trial = models.ForeignKey(Trial, on_delete=models.PROTECT, related_name="in_builds")
    history = kept_history()

    class Meta:
        constraints = (once("build_part_once", "build", "trial"),)

    def __str__(self) -> str:
        return f"{self.build_id} from {self.trial_id}"


class StageName(models.Model):
    """A stage in the programme's own words; the handbook's are where it starts from."""

    programme = models.ForeignKey(Programme, on_delete=models.CASCADE, related_name="stage_names")
    stage = word_field(Stage, "Which stage.")
    engineer = name_field("What engineers call it; blank for the handbook's word.", blank=True, default="")
    archive = name_field("What archives call it; blank for the handbook's word.", blank=True, default="")
    kept = models.FloatField(
        null=True,
        blank=True,
        help_text=(
            "How many of the pieces that turn up are from this stage, compared with the others; "
            "blank for the handbook's share."
        ),
    )
    history = kept_history()

    class Meta:
        constraints = (
            once("stage_name_once", "programme", "stage"),
            one_of("stage_name", "stage", Stage),
            *within("stage_name", POSITIVE, "kept"),
        )

    def __str__(self) -> str:
        return self.stage

"""Pilots: the line run as in production, and what was counted, timed and torn there."""

from __future__ import annotations

from django.db import models
from django.db.models import CheckConstraint, F, Q

from offtool.handbook.terms import ANY_NUMBER, NOT_NEGATIVE, PEOPLE, POSITIVE, PilotFileKind
from offtool.records.models.base import (
    ReadFromFile,
    count_field,
    filled,
    kept_history,
    name_field,
    note_field,
    number_field,
    once,
    one_of,
    within,
    word_field,
)
from offtool.records.models.joints import Joint
from offtool.records.models.line_tasks import LineTask
from offtool.records.models.lines import Line, LineStation
from offtool.records.models.seams import Seam
from offtool.records.models.trials import Trial


class Pilot(models.Model):
    """One time the whole line is run by its own people, to learn whether it can."""

    line = models.ForeignKey(Line, on_delete=models.CASCADE, related_name="pilots")
    name = name_field("P1, P2 … in your firm's own counting.")
    ran_on = models.DateField(null=True, blank=True, help_text="The day it ran.")
    pieces = count_field("Pieces that were started into the line.")
    hours = number_field("Hours it ran, without breaks.")
    people = count_field("People who worked on it.")
    note = note_field()
    history = kept_history()

    class Meta:
        constraints = (
            once("pilot_name_once", "line", "name"),
            *filled("pilot", "name"),
            *within("pilot", POSITIVE, "pieces", "hours"),
            *within("pilot", PEOPLE, "people"),
        )

    def __str__(self) -> str:
        return self.name


class PilotTrial(models.Model):
    """A run of a tool from which the parts of a pilot came."""

    pilot = models.ForeignKey(Pilot, on_delete=models.CASCADE, related_name="trials")
    trial = models.ForeignKey(Trial, on_delete=models.PROTECT, related_name="in_pilots")
    history = kept_history()

    class Meta:
        constraints = (once("pilot_trial_once", "pilot", "trial"),)

    def __str__(self) -> str:
        return str(self.trial)


class PilotFile(ReadFromFile):
    """A sheet of a pilot as it came. It never changes; it is set aside with a reason."""

    pilot = models.ForeignKey(Pilot, on_delete=models.PROTECT, related_name="files")
    kind = word_field(PilotFileKind, "What it holds.")
    name = name_field("The sheet's own name or number.")
    history = kept_history(without=("content",))

    class Meta:
        constraints = (
            once("pilot_file_once", "pilot", "kind", "name"),
            once(
                "pilot_file_bytes_once",
                "pilot",
                "kind",
                "sha256",
                condition=Q(set_aside=""),
                said="the same file is kept already, and counts",
            ),
            *filled("pilot_file", "name", "file_name"),
            one_of("pilot_file", "kind", PilotFileKind),
        )

    def __str__(self) -> str:
        return self.name


class _FromSheet(models.Model):
    """One line of a sheet, with the cell it was read from. Never updated."""

    station = models.ForeignKey(LineStation, on_delete=models.PROTECT, related_name="+")
    hour = count_field("The hour of the pilot, from 1; blank: not said.")
    row = models.PositiveIntegerField(help_text="Row in the file, from 1.")
    column = models.PositiveIntegerField(default=1, help_text="Column in the file, from 1.")

    class Meta:
        abstract = True


class PilotCount(_FromSheet):
    """What became of the pieces that a station tried, in one hour."""

    file = models.ForeignKey(PilotFile, on_delete=models.PROTECT, related_name="counts")
    station_text = name_field("The station as the file has it.", blank=True, default="")
    tried = models.PositiveIntegerField(help_text="Pieces tried.")
    good_first = models.PositiveIntegerField(help_text="Good at once.")
    reworked_good = models.PositiveIntegerField(default=0, help_text="Good after rework.")
    scrapped = count_field("Scrapped; blank: not counted.")

    class Meta:
        constraints = (
            once("pilot_count_once", "file", "row", "column"),
            *within("pilot_count", POSITIVE, "hour"),
            CheckConstraint(
                condition=Q(tried__gte=F("good_first") + F("reworked_good")),
                name="pilot_count_good_of_tried",
                violation_error_message="good at once and good after rework are more than were tried",
            ),
            CheckConstraint(
                condition=Q(scrapped__isnull=True)
                | Q(tried__gte=F("good_first") + F("reworked_good") + F("scrapped")),
                name="pilot_count_all_of_tried",
                violation_error_message="good, reworked and scrapped are more than were tried",
            ),
        )

    def __str__(self) -> str:
        return f"{self.good_first} of {self.tried}"


class PilotDefect(_FromSheet):
    """How often a defect was found at a station."""

    file = models.ForeignKey(PilotFile, on_delete=models.PROTECT, related_name="defects")
    defect = name_field("The defect as people call it.")
    count = models.PositiveIntegerField(help_text="Pieces that had it.")
    scrapped = count_field("Of these, scrapped; blank: not counted.")
    rework_minutes = number_field("Minutes that the rework of one piece took.")

    class Meta:
        constraints = (
            once("pilot_defect_once", "file", "row", "column"),
            *filled("pilot_defect", "defect"),
            *within("pilot_defect", POSITIVE, "hour"),
            *within("pilot_defect", NOT_NEGATIVE, "rework_minutes"),
            CheckConstraint(
                condition=Q(scrapped__isnull=True) | Q(count__gte=F("scrapped")),
                name="pilot_defect_scrapped_of_count",
                violation_error_message="more were scrapped than had the defect",
            ),
        )

    def __str__(self) -> str:
        return self.defect


class PilotTime(_FromSheet):
    """One cycle that was timed at a station; of one task, or of the whole station."""

    file = models.ForeignKey(PilotFile, on_delete=models.PROTECT, related_name="times")
    task = models.ForeignKey(
        LineTask,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        help_text="The task; blank: all that the station does.",
    )
    time_s = models.FloatField(help_text="How long it took, s.")
    operator = name_field("Who worked.", blank=True, default="")

    class Meta:
        constraints = (
            once("pilot_time_once", "file", "row", "column"),
            *within("pilot_time", POSITIVE, "hour", "time_s"),
        )

    def __str__(self) -> str:
        return f"{self.time_s:g}"


class PilotAudit(models.Model):
    """A piece taken from the line and torn or turned: the strength of a seam, or the measure of a joint."""

    file = models.ForeignKey(PilotFile, on_delete=models.PROTECT, related_name="audits")
    seam = models.ForeignKey(
        Seam, on_delete=models.PROTECT, null=True, blank=True, related_name="pilot_audits"
    )
    joint = models.ForeignKey(
        Joint, on_delete=models.PROTECT, null=True, blank=True, related_name="pilot_audits"
    )
    hour = count_field("The hour of the pilot, from 1; blank: not said.")
    value = models.FloatField(help_text="The value, in N for a seam, in the joint's own unit for a joint.")
    unit = name_field("The unit of the value.", blank=True, default="")
    row = models.PositiveIntegerField(help_text="Row in the file, from 1.")
    column = models.PositiveIntegerField(default=1, help_text="Column in the file, from 1.")

    class Meta:
        constraints = (
            once("pilot_audit_once", "file", "row", "column"),
            *within("pilot_audit", POSITIVE, "hour"),
            *within("pilot_audit", ANY_NUMBER, "value"),
            CheckConstraint(
                condition=Q(seam__isnull=True, joint__isnull=False)
                | Q(seam__isnull=False, joint__isnull=True),
                name="pilot_audit_of_one",
                violation_error_message="an audit is of a seam or of a joint: give one of both",
            ),
        )

    def __str__(self) -> str:
        return f"{self.value:g}"

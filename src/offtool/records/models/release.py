"""What a release asks and rests on: the lines of its list, evidence, changes, and how long its steps take."""

from __future__ import annotations

from django.db import models
from django.db.models import CheckConstraint, F, Q

from offtool.handbook.release_list import Change, Fed
from offtool.handbook.terms import LONGEST_FILE_NAME, NOT_NEGATIVE, POSITIVE, EvidenceSays
from offtool.records.models.base import (
    count_field,
    filled,
    kept_history,
    name_field,
    note_field,
    once,
    one_of,
    within,
    word_field,
)
from offtool.records.models.joints import Joint
from offtool.records.models.parts import Part, Programme
from offtool.records.models.seams import Seam
from offtool.records.models.tools import Tool, ToolState


class ReleaseLine(models.Model):
    """A line of the programme's own list: another than the handbook's, or one that it does not have."""

    programme = models.ForeignKey(Programme, on_delete=models.CASCADE, related_name="release_lines")
    code = name_field("Its short name, such as packaging; one of the handbook's replaces that line.")
    title = name_field("The line in words.", blank=True, default="")
    asks = models.TextField(blank=True, default="", help_text="What must stand in the record for it to hold.")
    fed_by = word_field(Fed, "What of the record answers it.", max_length=60)
    stale_by = models.TextField(
        blank=True, default="", help_text='Changes that make it stale, such as "steel; paint".'
    )
    stale_after_days = count_field(
        "Days after which its evidence is too old; blank: age alone does not matter."
    )
    source = models.TextField(blank=True, default="", help_text="Who asks it: the law, the customer.")
    not_asked = models.TextField(blank=True, default="", help_text="Why it is not asked; blank: it is asked.")
    history = kept_history()

    class Meta:
        constraints = (
            once("release_line_once", "programme", "code"),
            *filled("release_line", "code"),
            one_of("release_line", "fed_by", Fed),
            *within("release_line", POSITIVE, "stale_after_days"),
        )

    def __str__(self) -> str:
        return self.code


class Evidence(models.Model):
    """A paper or a test that answers a line of the list. Never updated; set aside with a reason."""

    programme = models.ForeignKey(Programme, on_delete=models.PROTECT, related_name="evidence")
    code = name_field("The line of the list that it answers.")
    says = word_field(EvidenceSays, "What it says.")
    tested_on = models.DateField(help_text="The day of the test, or from which the paper is valid.")
    lab = name_field("Who tested.", blank=True, default="")
    number = name_field("The number of the report.", blank=True, default="")
    accredited = models.BooleanField(default=False, help_text="The laboratory is accredited for this test.")
    file_name = models.CharField(
        max_length=LONGEST_FILE_NAME, blank=True, default="", help_text="The file's name as it was sent."
    )
    sha256 = models.CharField(max_length=64, blank=True, default="", help_text="SHA-256 of the bytes.")
    content = models.BinaryField(blank=True, default=b"", help_text="The bytes of the file themselves.")
    note = note_field()
    given_by = name_field("Who gave it.", blank=True, default="")
    given_at = models.DateTimeField(help_text="When.")
    set_aside = models.TextField(
        blank=True, default="", help_text="Why it no longer counts; empty while it counts."
    )
    history = kept_history(without=("content",))

    class Meta:
        verbose_name_plural = "evidence"
        constraints = (
            once("evidence_once", "programme", "code", "given_at"),
            *filled("evidence", "code"),
            one_of("evidence", "says", EvidenceSays),
            CheckConstraint(
                condition=Q(file_name="", sha256="") | (~Q(file_name="") & ~Q(sha256="")),
                name="evidence_file_whole",
                violation_error_message="a file has a name and a checksum: give both or neither",
            ),
        )

    def __str__(self) -> str:
        return f"{self.code} {self.number}".rstrip()


class EvidenceState(models.Model):
    """A state of a tool that evidence hangs on. Never updated."""

    evidence = models.ForeignKey(Evidence, on_delete=models.CASCADE, related_name="states")
    state = models.ForeignKey(ToolState, on_delete=models.PROTECT, related_name="in_evidence")

    class Meta:
        constraints = (once("evidence_state_once", "evidence", "state"),)

    def __str__(self) -> str:
        return str(self.state)


class ChangeMade(models.Model):
    """A change after which evidence may be stale. New steel need not be told: the states of tools say it.

    Never updated; set aside with a reason.
    """

    programme = models.ForeignKey(Programme, on_delete=models.PROTECT, related_name="changes")
    what = word_field(Change, "What was changed.")
    on = models.DateField(help_text="From which day.")
    words = models.TextField(help_text="What it was, such as new masterbatch.")
    tool = models.ForeignKey(
        Tool, on_delete=models.PROTECT, null=True, blank=True, related_name="changes_made"
    )
    part = models.ForeignKey(
        Part, on_delete=models.PROTECT, null=True, blank=True, related_name="changes_made"
    )
    joint = models.ForeignKey(
        Joint, on_delete=models.PROTECT, null=True, blank=True, related_name="changes_made"
    )
    seam = models.ForeignKey(
        Seam, on_delete=models.PROTECT, null=True, blank=True, related_name="changes_made"
    )
    told_by = name_field("Who told it.", blank=True, default="")
    told_at = models.DateTimeField(help_text="When it was told.")
    set_aside = models.TextField(
        blank=True, default="", help_text="Why it no longer counts; empty while it counts."
    )
    history = kept_history()

    class Meta:
        verbose_name_plural = "changes made"
        constraints = (
            once("change_made_once", "programme", "what", "told_at"),
            *filled("change_made", "words"),
            one_of("change_made", "what", Change),
        )

    def __str__(self) -> str:
        return f"{self.what}: {self.words}"


class StepDays(models.Model):
    """How many days a step to the release takes in this shop."""

    programme = models.ForeignKey(Programme, on_delete=models.CASCADE, related_name="step_days")
    step = name_field("The step.")
    low_days = models.FloatField(help_text="Days at least.")
    high_days = models.FloatField(help_text="Days at most.")
    history = kept_history()

    class Meta:
        verbose_name_plural = "step days"
        constraints = (
            once("step_days_once", "programme", "step"),
            *filled("step_days", "step"),
            *within("step_days", NOT_NEGATIVE, "low_days", "high_days"),
            CheckConstraint(
                condition=Q(low_days__lte=F("high_days")),
                name="step_days_in_order",
                violation_error_message="low_days must not be above high_days",
            ),
        )

    def __str__(self) -> str:
        return self.step

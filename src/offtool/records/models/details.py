"""Details by which the states of a tool are told apart, and how often a programme meets each sign."""

from __future__ import annotations

from django.db import models

from offtool.handbook.measured_colour import PART_OF_ALL
from offtool.handbook.terms import DetailKind, Stage
from offtool.records.models.base import filled, kept_history, name_field, once, one_of, within, word_field
from offtool.records.models.parts import Part, Programme
from offtool.records.models.tools import ToolState


class Detail(models.Model):
    """Something on a part that one state of its tool makes and another does not: a date mark, a vent."""

    part = models.ForeignKey(Part, on_delete=models.CASCADE, related_name="details")
    code = name_field("A short word for lists and files, such as date-mark.")
    name = name_field("The detail as people call it.", blank=True, default="")
    kind = word_field(DetailKind, "Whether it stays once it is there.", default=DetailKind.STAYS.value)
    where = models.TextField(blank=True, default="", help_text="Where on the part, and how to look.")
    note = models.TextField(blank=True, default="", help_text="Anything the next reader should know.")
    history = kept_history()

    class Meta:
        constraints = (
            once("detail_code_once", "part", "code"),
            *filled("detail", "code"),
            one_of("detail", "kind", DetailKind),
        )

    def __str__(self) -> str:
        return self.name or self.code


class DetailInState(models.Model):
    """Whether a state of the tool makes a detail. No row: nothing is known, the sheet may be lost."""

    detail = models.ForeignKey(Detail, on_delete=models.CASCADE, related_name="in_states")
    state = models.ForeignKey(ToolState, on_delete=models.CASCADE, related_name="details")
    is_there = models.BooleanField(help_text="Pieces of this state have it.")
    history = kept_history()

    class Meta:
        verbose_name_plural = "details in states"
        constraints = (once("detail_in_state_once", "detail", "state"),)

    def __str__(self) -> str:
        return f"{self.detail_id} {'in' if self.is_there else 'not in'} {self.state_id}"


class SignShare(models.Model):
    """How often a programme meets an outcome of a sign at a stage; the handbook's share is the start."""

    programme = models.ForeignKey(Programme, on_delete=models.CASCADE, related_name="sign_shares")
    sign = name_field("Which sign of the handbook.")
    outcome = name_field("Which of its outcomes.")
    stage = word_field(Stage, "At which stage.")
    share = models.FloatField(help_text="Share of the pieces of this stage that show it, from 0 to 1.")
    history = kept_history()

    class Meta:
        constraints = (
            once("sign_share_once", "programme", "sign", "outcome", "stage"),
            *filled("sign_share", "sign", "outcome"),
            one_of("sign_share", "stage", Stage),
            *within("sign_share", PART_OF_ALL, "share"),
        )

    def __str__(self) -> str:
        return f"{self.sign} {self.outcome}"

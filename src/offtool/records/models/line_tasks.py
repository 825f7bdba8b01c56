"""The work of a line: its tasks, what must be done before what, and the presses that feed it."""

from __future__ import annotations

from django.db import models
from django.db.models import CheckConstraint, F, Q

from offtool.handbook.terms import NOT_NEGATIVE, POSITIVE, SHARE_OR_NONE, PairKind, Side
from offtool.records.models.base import (
    filled,
    kept_history,
    listed,
    name_field,
    number_field,
    once,
    one_of,
    within,
    word_field,
)
from offtool.records.models.joints import Joint
from offtool.records.models.lines import Line, LineEquipment, LineStation
from offtool.records.models.parts import Part
from offtool.records.models.presses import Press
from offtool.records.models.seams import Seam
from offtool.records.models.tools import Tool


class LineTask(models.Model):
    """A piece of work that one person does at one station without a break."""

    line = models.ForeignKey(Line, on_delete=models.CASCADE, related_name="tasks")
    name = name_field("Its short name, such as weld.")
    title = name_field("The task in words.", blank=True, default="")
    ordinal = models.PositiveIntegerField(default=0, help_text="Where it stands in the list, from 0.")
    time_s = models.FloatField(help_text="How long it takes, s: the mean of its readings, or an estimate.")
    spread_s = number_field("Standard deviation from piece to piece, s; blank: not known.")
    readings = models.PositiveIntegerField(
        default=0, help_text="How many times it was timed; 0: it was estimated."
    )
    side = word_field(Side, "From which side it is done.", default=Side.EITHER.value)
    part = models.ForeignKey(
        Part,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="line_tasks",
        help_text="The part that it works on.",
    )
    joint = models.ForeignKey(
        Joint,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="line_tasks",
        help_text="The joint that it puts together or checks.",
    )
    seam = models.ForeignKey(
        Seam,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="line_tasks",
        help_text="The seam that it welds or checks.",
    )
    fixed_station = models.ForeignKey(
        LineStation,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="fixed_tasks",
        help_text="The station where it must be done.",
    )
    placed_at = models.ForeignKey(
        LineStation,
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="tasks",
        help_text="The station where the line as adopted does it.",
    )
    history = kept_history()

    class Meta:
        ordering = ("ordinal", "pk")
        constraints = (
            once("line_task_once", "line", "name"),
            *filled("line_task", "name"),
            listed("line_task", "name"),
            *within("line_task", POSITIVE, "time_s"),
            *within("line_task", NOT_NEGATIVE, "spread_s", "readings"),
            one_of("line_task", "side", Side),
        )

    def __str__(self) -> str:
        return self.name


class LineTaskAfter(models.Model):
    """A task that must be done before another."""

    task = models.ForeignKey(LineTask, on_delete=models.CASCADE, related_name="after")
    before = models.ForeignKey(
        LineTask,
        on_delete=models.CASCADE,
        related_name="then",
        help_text="The task that must be done before.",
    )
    history = kept_history()

    class Meta:
        verbose_name_plural = "line task after"
        constraints = (
            once("line_task_after_once", "task", "before"),
            CheckConstraint(
                condition=~Q(task=F("before")),
                name="line_task_after_another",
                violation_error_message="a task cannot be done before itself",
            ),
        )

    def __str__(self) -> str:
        return f"{self.task} after {self.before}"


class LineTaskNeeds(models.Model):
    """Equipment that a task needs."""

    task = models.ForeignKey(LineTask, on_delete=models.CASCADE, related_name="needs")
    equipment = models.ForeignKey(LineEquipment, on_delete=models.CASCADE, related_name="for_tasks")
    history = kept_history()

    class Meta:
        verbose_name_plural = "line task needs"
        constraints = (once("line_task_needs_once", "task", "equipment"),)

    def __str__(self) -> str:
        return f"{self.equipment} for {self.task}"


class LinePair(models.Model):
    """Two tasks that must be done at one station, or must not."""

    one = models.ForeignKey(LineTask, on_delete=models.CASCADE, related_name="pairs")
    other = models.ForeignKey(LineTask, on_delete=models.CASCADE, related_name="paired")
    kind = word_field(PairKind, "Whether they are done together or apart.")
    history = kept_history()

    class Meta:
        constraints = (
            once("line_pair_once", "one", "other", said="two tasks are a pair once: together or apart"),
            one_of("line_pair", "kind", PairKind),
            CheckConstraint(
                condition=~Q(one=F("other")),
                name="line_pair_of_two",
                violation_error_message="a task is no pair with itself",
            ),
        )

    def __str__(self) -> str:
        return f"{self.one} and {self.other} {self.kind}"


class LinePress(models.Model):
    """A tool in a press that feeds the line while it runs."""

    line = models.ForeignKey(Line, on_delete=models.CASCADE, related_name="presses")
    press = models.ForeignKey(
        Press,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="feeds",
        help_text="The press; blank: not said.",
    )
    tool = models.ForeignKey(
        Tool,
        on_delete=models.PROTECT,
        related_name="feeds",
        help_text="The tool; its cavities make the parts.",
    )
    cycle_s = models.FloatField(help_text="Time of one shot, s.")
    cycle_spread_s = number_field("Standard deviation from shot to shot, s.")
    rejects = number_field("Share of its pieces that do not come to the line; 0.02 is 2 %.")
    works_s = number_field("It works so long in the mean until it stops, s.")
    stands_s = number_field("It stands so long in the mean when it stops, s.")
    task = models.ForeignKey(
        LineTask,
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="fed_by",
        help_text="The task that takes its parts; blank: the first task of the part.",
    )
    history = kept_history()

    class Meta:
        verbose_name_plural = "line presses"
        constraints = (
            once("line_press_once", "line", "tool", said="the tool feeds this line already"),
            *within("line_press", POSITIVE, "cycle_s", "works_s", "stands_s"),
            *within("line_press", NOT_NEGATIVE, "cycle_spread_s"),
            *within("line_press", SHARE_OR_NONE, "rejects"),
            CheckConstraint(
                condition=Q(works_s__isnull=True, stands_s__isnull=True)
                | Q(works_s__isnull=False, stands_s__isnull=False),
                name="line_press_stoppage_whole",
                violation_error_message="a stoppage has works_s and stands_s: give both or neither",
            ),
        )

    def __str__(self) -> str:
        return str(self.tool)

"""Changes of colour that were watched on a press: the colour of shot after shot."""

from __future__ import annotations

from datetime import date

from django.db import models
from django.db.models import CheckConstraint, Q

from offtool.handbook.measured_colour import LIGHTNESS, SIDEWAYS, USUAL_OBSERVER, Illuminant
from offtool.handbook.terms import NOT_NEGATIVE, POSITIVE
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
from offtool.records.models.presses import Press, known_observer
from offtool.records.models.tools import Tool


class ColourChange(ReadFromFile):
    """The shots of one change of colour, from one file. They never change; it is set aside with a reason."""

    press = models.ForeignKey(Press, on_delete=models.PROTECT, related_name="colour_changes")
    tool = models.ForeignKey(
        Tool,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="colour_changes",
        help_text="The tool that was in the press; blank when nobody knows.",
    )
    name = name_field("The change's own name or number.")
    from_name = name_field("The old colour as people call it.", blank=True, default="")
    from_lightness = models.FloatField(help_text="CIELAB L* of the old colour.")
    from_a = models.FloatField(help_text="CIELAB a* of the old colour.")
    from_b = models.FloatField(help_text="CIELAB b* of the old colour.")
    to_name = name_field("The new colour as people call it.", blank=True, default="")
    to_lightness = models.FloatField(help_text="CIELAB L* of the new colour.")
    to_a = models.FloatField(help_text="CIELAB a* of the new colour.")
    to_b = models.FloatField(help_text="CIELAB b* of the new colour.")
    illuminant = word_field(Illuminant, "The light they are stated for.", default=Illuminant.D65.value)
    observer = models.PositiveSmallIntegerField(
        default=USUAL_OBSERVER, help_text="The eye they are stated for: 2 or 10 degrees."
    )
    resin = name_field("What was moulded, such as ABS.", blank=True, default="")
    shot_g = models.FloatField(help_text="Weight of one shot with its runner, g.")
    purge_kg = models.FloatField(
        default=0.0, help_text="New material that went through into the open before shot 1, kg."
    )
    history = kept_history(without=("content",))

    class Meta:
        constraints = (
            once("colour_change_once", "press", "name"),
            *filled("colour_change", "name", "file_name"),
            *within("colour_change", LIGHTNESS, "from_lightness", "to_lightness"),
            *within("colour_change", SIDEWAYS, "from_a", "from_b", "to_a", "to_b"),
            one_of("colour_change", "illuminant", Illuminant),
            known_observer("colour_change"),
            *within("colour_change", POSITIVE, "shot_g"),
            *within("colour_change", NOT_NEGATIVE, "purge_kg"),
        )

    def __str__(self) -> str:
        return self.name

    @property
    def changed_on(self) -> date | None:
        """The day of the change."""
        return self.done_on


class ColourShot(models.Model):
    """The colour of one shot of a change. Never updated."""

    change = models.ForeignKey(ColourChange, on_delete=models.PROTECT, related_name="shots")
    number = models.PositiveIntegerField(help_text="The shot, counted from 1 at the change.")
    lightness = models.FloatField(help_text="CIELAB L*.")
    a = models.FloatField(help_text="CIELAB a*.")
    b = models.FloatField(help_text="CIELAB b*.")
    row = models.PositiveIntegerField(help_text="Row in the file, from 1.")

    class Meta:
        constraints = (
            once("colour_shot_once", "change", "row"),
            CheckConstraint(
                condition=Q(number__gte=1),
                name="colour_shot_number_range",
                violation_error_message="shots are counted from 1",
            ),
            *within("colour_shot", LIGHTNESS, "lightness"),
            *within("colour_shot", SIDEWAYS, "a", "b"),
        )

    def __str__(self) -> str:
        return str(self.number)

"""The line that puts the product together: what is planned of it, its stations, equipment and breaks."""

from __future__ import annotations

from django.db import models
from django.db.models import CheckConstraint, F, Q

from offtool.handbook.terms import (
    HOUR_OF_DAY,
    HOURS_A_DAY,
    LEARNING,
    NOT_NEGATIVE,
    PEOPLE,
    POSITIVE,
    SHARE_OR_NONE,
    YIELD,
)
from offtool.records.models.base import (
    count_field,
    filled,
    kept_history,
    listed,
    name_field,
    note_field,
    number_field,
    once,
    within,
)
from offtool.records.models.parts import Programme


class Line(models.Model):
    """One line of a programme, with what is planned of it. What is not said stays blank."""

    programme = models.ForeignKey(Programme, on_delete=models.CASCADE, related_name="lines")
    name = name_field("The line as people call it.")
    planned_per_h = number_field("Good pieces an hour that are planned.")
    people = count_field("People at hand for it.")
    hours_per_day = number_field("Hours it runs a day.")
    quantity = count_field("Pieces that are ordered.")
    starts_on = models.DateField(null=True, blank=True, help_text="The first day of production.")
    piece_cost = number_field("What a piece is worth when it is scrapped at the end of the line.")
    minute_cost = number_field("What a minute of one person costs.")
    planned_first_yield = number_field("Share that is good at once, over all stations; 0.95 is 95 %.")
    planned_final_yield = number_field("Share that is good after rework, over all stations.")
    learning_low = number_field(
        "Least learning rate that is expected; 0.8: a fifth less time at each doubling."
    )
    learning_high = number_field("Highest learning rate that is expected; 1 is no learning.")
    two_sided = models.BooleanField(default=False, help_text="Two people face each other at its stations.")
    note = note_field()
    history = kept_history()

    class Meta:
        constraints = (
            once("line_name_once", "programme", "name"),
            *filled("line", "name"),
            *within("line", POSITIVE, "planned_per_h", "quantity"),
            *within("line", PEOPLE, "people"),
            *within("line", HOURS_A_DAY, "hours_per_day"),
            *within("line", NOT_NEGATIVE, "piece_cost", "minute_cost"),
            *within("line", YIELD, "planned_first_yield", "planned_final_yield"),
            *within("line", LEARNING, "learning_low", "learning_high"),
            CheckConstraint(
                condition=Q(learning_low__lte=F("learning_high"))
                | Q(learning_low__isnull=True)
                | Q(learning_high__isnull=True),
                name="line_learning_in_order",
                violation_error_message="learning_low must not be above learning_high",
            ),
            CheckConstraint(
                condition=Q(planned_first_yield__lte=F("planned_final_yield"))
                | Q(planned_first_yield__isnull=True)
                | Q(planned_final_yield__isnull=True),
                name="line_yields_in_order",
                violation_error_message="planned_final_yield, after rework, must not be below "
                "planned_first_yield",
            ),
        )

    def __str__(self) -> str:
        return self.name


class LineEquipment(models.Model):
    """A machine or fixture that tasks of the line need."""

    line = models.ForeignKey(Line, on_delete=models.CASCADE, related_name="equipment")
    name = name_field("What it is, such as welder.")
    at_most = count_field("How many there are; blank: as many as are needed.")
    history = kept_history()

    class Meta:
        verbose_name_plural = "line equipment"
        constraints = (
            once("line_equipment_once", "line", "name"),
            *filled("line_equipment", "name"),
            listed("line_equipment", "name"),
            *within("line_equipment", POSITIVE, "at_most"),
        )

    def __str__(self) -> str:
        return self.name


class LineStation(models.Model):
    """A place on the line where people work, counted from 1 at its beginning."""

    line = models.ForeignKey(Line, on_delete=models.CASCADE, related_name="stations")
    number = models.PositiveIntegerField(help_text="Its place on the line, from 1.")
    name = name_field("What it is called; blank: by its number.", blank=True, default="")
    people = count_field("People who work there; blank: one.")
    two_sided = models.BooleanField(
        null=True, blank=True, help_text="Two people face each other; blank: as the line says."
    )
    places = count_field("Pieces that may wait before it; blank: not said.")
    cure_s = number_field("A piece must lie so long before it, s.")
    fails = number_field("Share of pieces that fail there; 0.02 is 2 %.")
    rework_to = models.ForeignKey(
        "self",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="rework_from",
        help_text="The station to which a piece goes back; blank: it is scrapped.",
    )
    rounds = count_field("How often a piece is reworked at most.")
    works_s = number_field("It works so long in the mean until it stops, s.")
    stands_s = number_field("It stands so long in the mean when it stops, s.")
    fixtures = count_field("Fixtures it has; blank: they are not what is short.")
    learning = number_field("Learning rate of its people; 0.8: a fifth less time at each doubling.")
    made_before = count_field("Pieces that its people had made before.")
    history = kept_history()

    class Meta:
        ordering = ("number",)
        constraints = (
            once("line_station_once", "line", "number"),
            once(
                "line_station_name_once",
                "line",
                "name",
                condition=~Q(name=""),
                said="two stations of a line must not have the same name",
            ),
            *within("line_station", POSITIVE, "number", "works_s", "stands_s", "fixtures"),
            *within("line_station", PEOPLE, "people"),
            *within("line_station", NOT_NEGATIVE, "places", "cure_s", "rounds", "made_before"),
            *within("line_station", SHARE_OR_NONE, "fails"),
            *within("line_station", LEARNING, "learning"),
            CheckConstraint(
                condition=Q(works_s__isnull=True, stands_s__isnull=True)
                | Q(works_s__isnull=False, stands_s__isnull=False),
                name="line_station_stoppage_whole",
                violation_error_message="a stoppage has works_s and stands_s: give both or neither",
            ),
        )

    def __str__(self) -> str:
        return self.name or f"station {self.number}"


class LineStationHas(models.Model):
    """Equipment that stands at a station."""

    station = models.ForeignKey(LineStation, on_delete=models.CASCADE, related_name="has")
    equipment = models.ForeignKey(LineEquipment, on_delete=models.CASCADE, related_name="at_stations")
    history = kept_history()

    class Meta:
        verbose_name_plural = "line station has"
        constraints = (once("line_station_has_once", "station", "equipment"),)

    def __str__(self) -> str:
        return f"{self.equipment} at {self.station}"


class LineBreak(models.Model):
    """A time in which the line or a station of it stands, or runs with other people, in hours of the day's
    work."""

    line = models.ForeignKey(Line, on_delete=models.CASCADE, related_name="breaks")
    begins_h = models.FloatField(help_text="Hours after work begins.")
    ends_h = models.FloatField(help_text="Hours after work begins.")
    station = models.ForeignKey(
        LineStation,
        on_delete=models.CASCADE,
        null=True,
        blank=True,
        related_name="breaks",
        help_text="Where; blank: the whole line.",
    )
    people = count_field("People who work there meanwhile; blank: none, it stands.")
    history = kept_history()

    class Meta:
        ordering = ("begins_h", "pk")
        constraints = (
            once("line_break_once", "line", "station", "begins_h"),
            once(
                "line_break_of_line_once",
                "line",
                "begins_h",
                condition=Q(station__isnull=True),
                said="the line has a break that begins then",
            ),
            *within("line_break", HOUR_OF_DAY, "begins_h", "ends_h"),
            *within("line_break", NOT_NEGATIVE, "people"),
            CheckConstraint(
                condition=Q(ends_h__gt=F("begins_h")),
                name="line_break_hours_in_order",
                violation_error_message="ends_h must be after begins_h",
            ),
        )

    def __str__(self) -> str:
        return f"{self.begins_h:g} to {self.ends_h:g} h"

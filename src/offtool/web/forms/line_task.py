"""Forms of what is done on a line and what feeds it: a task, equipment, a tool in a press, a break."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms

from offtool.handbook.line_numbers import FEED_NUMBERS, TASK_NUMBERS
from offtool.handbook.terms import Side
from offtool.steps.define_line import BreakSaid, FeedSaid, names_of
from offtool.steps.line_known import EquipmentKnown, LineKnown, LinePressKnown, TaskKnown
from offtool.web.forms.fields import NumberField, name_field
from offtool.web.forms.ground import GroundForm
from offtool.web.forms.line import (
    BETWEEN,
    line_number_field,
    numbers_said,
    numbers_typed,
    whole_field,
)

LISTS = ("after", "needs", "together", "apart")
BESIDE = ("part", "joint", "seam")
JOINED = f"{BETWEEN} "


def names_field(label: str, help_text: str) -> forms.CharField:
    """Names in one field, semicolons between them."""
    return forms.CharField(label=label, help_text=help_text, required=False, max_length=2000)


class TaskForm(GroundForm):
    """A task of the line."""

    task = name_field("Task", "A short name, such as weld.")
    title = name_field("In words", "What the person does.", required=False)
    side = forms.ChoiceField(
        label="Side",
        required=False,
        choices=[(one.value, one.value) for one in (Side.EITHER, Side.LEFT, Side.RIGHT)],
        help_text="It counts where two people face each other.",
    )
    after = names_field("Comes after", "Tasks that must be done before; semicolons between.")
    needs = names_field("Needs", "Equipment, such as welder; semicolons between.")
    together = names_field("At the same station as", "Tasks that must be done where it is.")
    apart = names_field("Not at the station of", "Tasks that must not be done where it is.")
    fixed_station = whole_field("Must be at station", "Blank: wherever it fits.")
    placed_at = whole_field("Is done at station", "As the line is adopted; blank: no place yet.")
    part = forms.ChoiceField(label="Part", required=False)
    joint = forms.ChoiceField(label="Joint", required=False)
    seam = forms.ChoiceField(label="Seam", required=False)
    take_out = forms.BooleanField(label="Take this task out of the line", required=False)

    def __init__(self, known: LineKnown, now: TaskKnown | None, data: Any = None, **options: Any) -> None:
        super().__init__(data, **options)
        for name, number in TASK_NUMBERS.items():
            self.fields[name] = line_number_field(number)
        self.fields["time_s"].required = True
        self.fields["time_s"].error_messages["required"] = "Give a time, or an estimate."
        for kind, codes in (("part", known.parts), ("joint", known.joints), ("seam", known.seams)):
            self.choices(kind, [("", "none"), *((one, one) for one in codes)])
        if now is None:
            del self.fields["take_out"]
        self.layout = (
            ("", "", ("task", "title", *TASK_NUMBERS)),
            ("Order and equipment", "", ("after", "needs")),
            ("Where", "", ("side", "fixed_station", "placed_at", "together", "apart")),
            ("What it works on", "", BESIDE),
            ("", "", (*(("take_out",) if now is not None else ()), "made_by")),
        )

    def said(self) -> TaskKnown:
        """The task as the step takes it."""
        given = self.cleaned_data
        numbers = numbers_said(TASK_NUMBERS, given)
        return TaskKnown(
            task=given["task"].strip(),
            title=given["title"],
            time_s=numbers["time_s"],
            spread_s=numbers["spread_s"],
            readings=numbers["readings"] or 0,
            side=given["side"] or Side.EITHER.value,
            after=names_of(given["after"].split(BETWEEN)),
            needs=names_of(given["needs"].split(BETWEEN)),
            together=names_of(given["together"].split(BETWEEN)),
            apart=names_of(given["apart"].split(BETWEEN)),
            part=given["part"],
            joint=given["joint"],
            seam=given["seam"],
            fixed_station=given["fixed_station"],
            placed_at=given["placed_at"],
        )


def task_typed(now: TaskKnown) -> dict[str, Any]:
    """A task as its form is filled."""
    plain = {name: getattr(now, name) for name in ("task", "title", "side", *BESIDE)}
    places = {"fixed_station": now.fixed_station, "placed_at": now.placed_at}
    lists = {name: JOINED.join(getattr(now, name)) for name in LISTS}
    return {**plain, **places, **lists, **numbers_typed(TASK_NUMBERS, now)}


class EquipmentForm(GroundForm):
    """How many of an equipment there are."""

    at_most = whole_field("How many there are", "Blank: as many as are needed.")
    layout = (("", "", ("at_most", "made_by")),)

    def __init__(self, now: EquipmentKnown, data: Any = None, **options: Any) -> None:
        super().__init__(data, **options)
        self.now = now

    def clean_at_most(self) -> int | None:
        """None, or one at least."""
        number: int | None = self.cleaned_data["at_most"]
        if number is not None and number < 1:
            raise forms.ValidationError("Give 1 or more, or leave it blank.")
        return number


class FeedForm(GroundForm):
    """A tool that feeds the line."""

    tool = forms.ChoiceField(label="Tool", error_messages={"required": "Choose the tool."})
    press = forms.ChoiceField(label="Press", required=False)
    task = forms.ChoiceField(
        label="Task that takes its parts", required=False, help_text="Blank: the first task of the part."
    )
    take_out = forms.BooleanField(label="It does not feed the line", required=False)

    def __init__(
        self, known: LineKnown, now: LinePressKnown | None, data: Any = None, **options: Any
    ) -> None:
        super().__init__(data, **options)
        for name, number in FEED_NUMBERS.items():
            self.fields[name] = line_number_field(number)
        self.now = now
        self.choices("press", [("", "not said"), *((one, one) for one in known.programme_presses)])
        self.choices("task", [("", "the first of the part"), *((one.task, one.task) for one in known.tasks)])
        if now is None:
            del self.fields["take_out"]
            self.choices("tool", [("", "choose"), *((one, one) for one in known.tools)])
        else:
            del self.fields["tool"]
        first: Sequence[str] = ("tool",) if now is None else ()
        self.layout = (
            ("", "", (*first, "press", "cycle_s", "cycle_spread_s", "rejects", "task")),
            ("When it stops", "Both times, or neither.", ("works_s", "stands_s")),
            ("", "", (*(("take_out",) if now is not None else ()), "made_by")),
        )

    def said(self) -> FeedSaid:
        """The tool as the step takes it."""
        given = self.cleaned_data
        tool = self.now.tool if self.now is not None else given["tool"]
        columns = numbers_said(FEED_NUMBERS, given)
        return FeedSaid(tool=tool, columns=columns, press=given["press"], task=given["task"])


def feed_typed(now: LinePressKnown) -> dict[str, Any]:
    """A tool as its form is filled."""
    return {"press": now.press, "task": now.task, **numbers_typed(FEED_NUMBERS, now)}


class BreakForm(GroundForm):
    """A break."""

    begins_h = NumberField(
        label="Begins, h", help_text="Hours after work begins.", min_value=0, max_value=24,
        error_messages={"required": "Give the hour, such as 2."},
    )  # fmt: skip
    ends_h = NumberField(
        label="Ends, h", help_text="Hours after work begins.", min_value=0, max_value=24,
        error_messages={"required": "Give the hour, such as 2.25."},
    )  # fmt: skip
    station = forms.TypedChoiceField(label="Where", required=False, coerce=int, empty_value=None)
    people = whole_field("People meanwhile", "Blank: none, it stands.")
    layout = (("", "", ("begins_h", "ends_h", "station", "people", "made_by")),)

    def __init__(self, known: LineKnown, data: Any = None, **options: Any) -> None:
        super().__init__(data, **options)
        at = [(one.number, f"{one.number} {one.name}".rstrip()) for one in known.stations]
        self.choices("station", [("", "the whole line"), *at])

    def said(self) -> BreakSaid:
        """The break as the step takes it."""
        given = self.cleaned_data
        return BreakSaid(**{name: given[name] for name in ("begins_h", "ends_h", "station", "people")})


class BreakOutForm(forms.Form):
    """A break that is taken out."""

    begins_h = forms.FloatField(widget=forms.HiddenInput)
    station = forms.IntegerField(widget=forms.HiddenInput, required=False)
